"""Hypotheses, likelihoods, posterior, and what each piece of evidence said.

May import: ``packs`` and everything below it.
"""
