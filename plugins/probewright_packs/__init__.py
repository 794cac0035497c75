"""First-party packs, loaded through the same entry points as anybody's.

May import: the pack contract (``probewright.packs``, ``circuit``, ``physics``, ``figures``) and the schemas' records.
"""
