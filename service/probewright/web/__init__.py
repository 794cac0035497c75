"""The HTTP service: the only folder that knows Flask.

May import: everything.
"""
