"""Laws of parts as plain functions of numbers.

May import: nothing of ours but ``errors``.
"""
