"""Streams of cases: answered many at once, or asked again when a meter, a limit or a pack turned out wrong.

May import: ``engine``, ``intake``, ``settings`` and everything below them.
"""
