"""Units behind one door, instruments, uncertainty and conformity of a reading.

May import: ``figures``, ``errors`` and the schemas' records.
"""
