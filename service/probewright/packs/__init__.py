"""What a pack author imports: the records of a family, the hook specifications, the loader and the registry.

May import: ``circuit``, ``physics``, ``quantities``, ``figures``, ``errors`` and the schemas' records.
"""
