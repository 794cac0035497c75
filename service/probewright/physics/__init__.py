"""Laws of parts as plain functions of numbers.

May import: ``figures`` and ``errors``.
"""
