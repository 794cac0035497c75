"""All repairs of the family."""

from __future__ import annotations

from probewright_packs.common.supply_repairs import supply_repairs
from probewright_packs.gas_range.burner_wiring import BURNERS, LOW_SUPPLY
from probewright_packs.gas_range.options_and_states import ISOLATED
from probewright_packs.gas_range.repairs_burner import burner_repairs
from probewright_packs.gas_range.repairs_cooktop import COOKTOP_REPAIRS
from probewright_packs.gas_range.repairs_gas import GAS_REPAIRS
from probewright_packs.gas_range.repairs_oven import OVEN_REPAIRS

REPAIRS = (
    *supply_repairs(ISOLATED, "outside", "rear_panel", ("everything_works",), low=LOW_SUPPLY),
    *GAS_REPAIRS,
    *(repair for burner in BURNERS for repair in burner_repairs(burner)),
    *OVEN_REPAIRS,
    *COOKTOP_REPAIRS,
)
