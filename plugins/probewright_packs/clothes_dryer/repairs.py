"""All repairs of the family."""

from __future__ import annotations

from probewright_packs.clothes_dryer.options_and_states import ELECTRIC, GAS, ISOLATED
from probewright_packs.clothes_dryer.repairs_drive import DRIVE_REPAIRS
from probewright_packs.clothes_dryer.repairs_gas import GAS_REPAIRS
from probewright_packs.clothes_dryer.repairs_heat import HEAT_REPAIRS
from probewright_packs.common.changes import only
from probewright_packs.common.repairs import covered, repair
from probewright_packs.common.supply_repairs import supply_repairs
from probewright_packs.common.two_legs_repairs import LEGS_WIRED, leg_repairs

_OUTSIDE = "outside"
#: The readings of a supply pull the dryer out.
_WORKS = ("everything_works", "covers_on")


_REWIRED = repair(
    "rewire_outlet_for_two_legs", "Have the outlet wired for two legs", {"leg_two_on_neutral": 0.95}, minutes=60.0,
    zones=(_OUTSIDE,), skill="electrical_licence", shown=("legs_voltage_in_range", *LEGS_WIRED, *_WORKS), when=ELECTRIC,
    steps=("Leave the dryer unplugged and mark the outlet out of use.",
           "Hand over to a licensed electrician with the voltages as found: 120 V from leg to leg, and nothing from "
           "leg two to neutral."),
    cautions=("House wiring is licensed work under most codes: do not open the outlet or the panel.",),
)  # fmt: skip

_REPAIRS = (
    *leg_repairs(ISOLATED, _OUTSIDE, "behind", _WORKS, ELECTRIC, ("no_leak_to_chassis", "ground_continuous")),
    _REWIRED,
    *only(GAS, supply_repairs(ISOLATED, _OUTSIDE, "behind", _WORKS)),
    *DRIVE_REPAIRS,
    *HEAT_REPAIRS,
    *GAS_REPAIRS,
)
REPAIRS = tuple(covered(of) for of in _REPAIRS)
