"""Gas ranges: oven and cooktop, by hot surface, spark or standing pilot, under electronic or mechanical control.

May import: the pack contract and ``probewright_packs.common``.
"""

from __future__ import annotations

from probewright.packs import Family, hookimpl
from probewright_packs.gas_range.family import FAMILY
from probewright_packs.gas_range.validators import probewright_validate

#: The version of the pack contract that this pack is written for.
CONTRACT = "1.1"

__all__ = ["CONTRACT", "FAMILY", "probewright_family", "probewright_validate"]


@hookimpl
def probewright_family() -> Family:
    """The gas range."""
    return FAMILY
