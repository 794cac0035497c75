"""All repairs of the family."""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import Repair
from probewright_packs.common.supply_repairs import supply_repairs
from probewright_packs.gas_range.burner_wiring import BURNERS, LOW_SUPPLY
from probewright_packs.gas_range.options_and_states import ISOLATED
from probewright_packs.gas_range.repairs_burner import burner_repairs
from probewright_packs.gas_range.repairs_cooktop import COOKTOP_REPAIRS
from probewright_packs.gas_range.repairs_gas import GAS_REPAIRS
from probewright_packs.gas_range.repairs_oven import OVEN_REPAIRS

_OUTSIDE = "outside"


def _covered(repair: Repair) -> Repair:
    """A repair that opens a zone ends with everything back in its place."""
    if all(zone == _OUTSIDE for zone in repair.zones):
        return repair
    return replace(repair, closing_checks=(*repair.closing_checks, "covers_on"))


_REPAIRS = (
    *supply_repairs(ISOLATED, _OUTSIDE, "rear_panel", ("everything_works",), low=LOW_SUPPLY),
    *GAS_REPAIRS,
    *(repair for burner in BURNERS for repair in burner_repairs(burner)),
    *OVEN_REPAIRS,
    *COOKTOP_REPAIRS,
)
REPAIRS = tuple(_covered(repair) for repair in _REPAIRS)
