"""Clothes dryers, heated by electricity or by gas, under a timer or an electronic control.

May import: the pack contract and ``probewright_packs.common``.
"""

from __future__ import annotations

from probewright.packs import Family, hookimpl
from probewright_packs.clothes_dryer.family import FAMILY
from probewright_packs.clothes_dryer.validators import probewright_validate

#: The version of the pack contract that this pack is written for.
CONTRACT = "1.1"

__all__ = ["CONTRACT", "FAMILY", "probewright_family", "probewright_validate"]


@hookimpl
def probewright_family() -> Family:
    """The clothes dryer."""
    return FAMILY
