"""Electric ranges on 120/240 V: oven under electronic control, coil or radiant surface units.

May import: the pack contract and ``probewright_packs.common``.
"""

from __future__ import annotations

from probewright.packs import Family, hookimpl
from probewright_packs.electric_range.family import FAMILY
from probewright_packs.electric_range.validators import probewright_validate

#: The version of the pack contract that this pack is written for.
CONTRACT = "1.1"

__all__ = ["CONTRACT", "FAMILY", "probewright_family", "probewright_validate"]


@hookimpl
def probewright_family() -> Family:
    """The electric range."""
    return FAMILY
