"""Choosing the next of several tests and repairs at the least expected cost: pure mathematics, on arrays.

May import: ``errors``.
"""
