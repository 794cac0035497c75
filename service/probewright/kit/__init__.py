"""A new pack from templates: a distribution that installs, passes its own tests, and is there to be changed.

May import: ``packs`` and ``errors``.
"""

from probewright.kit.naming import checked_name, checked_title
from probewright.kit.plan import KitError, NewPack
from probewright.kit.writing import render, write

__all__ = ["KitError", "NewPack", "checked_name", "checked_title", "render", "write"]
