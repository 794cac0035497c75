"""Wiring as a network of two-terminal parts, faults as changes to it, and its solution.

May import: ``physics``, ``figures``, ``errors``.
"""
