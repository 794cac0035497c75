"""Ice makers, as an example of a pack with a circuit.  The appliance is invented, and so is every number."""

from __future__ import annotations

from ice_maker.family import FAMILY
from probewright.packs import Family, hookimpl

#: The version of the pack contract that this pack is written for.
CONTRACT = "1.1"

__all__ = ["CONTRACT", "FAMILY", "probewright_family"]


@hookimpl
def probewright_family() -> Family:
    """The ice maker."""
    return FAMILY
