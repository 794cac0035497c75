"""The next step, after the interlocks.

May import: ``packs``, ``inference`` and everything below them.
"""
