"""Repairs of the burner and of the gas side.

All are done with the gas shut.  It is let in again on the way to the closing checks, which look for leaks first.
"""

from __future__ import annotations

from probewright_packs.clothes_dryer.closings import BURNS, HEATS, VENTED
from probewright_packs.clothes_dryer.options_and_states import GAS, ISOLATED, LINT_BURNS
from probewright_packs.clothes_dryer.tests_gas import WORDS
from probewright_packs.common.cautions import HOT_PARTS, LICENCES, NO_FLAME
from probewright_packs.common.gas import TIGHT, open_gas_supply, repair_gas_leak
from probewright_packs.common.repairs import repair

_HEAT = ("heat_source",)
_FRAGILE = "Handle an igniter by its base: it breaks at a knock and is spoilt by greasy fingers."
_COILS = ("valve_holding_open", "valve_booster_open", "valve_secondary_open", "valve_coils_fail_hot")
_GAS_SET = ("gas_pressure_right", "input_right", *HEATS, *BURNS)

_BURNER = (
    repair(
        "replace_igniter", "Replace the igniter", {"igniter_open": 0.98}, minutes=15.0, zones=_HEAT, part="igniter",
        shown=(*HEATS, *BURNS), when=GAS,
        steps=("Fit an igniter of the same kind at the same place and distance, and keep its wires off the burner.",),
        cautions=(_FRAGILE, HOT_PARTS),
    ),
    repair(
        "replace_flame_sensor", "Replace the flame sensor",
        {"flame_sensor_stuck_closed": 0.97, "flame_sensor_open": 0.97}, minutes=8.0, zones=_HEAT,
        part="flame_sensor", shown=(*HEATS, *BURNS), when=GAS,
        steps=("Fit the sensor at the window of the burner's tube, where it sees igniter and flame.",),
        cautions=(HOT_PARTS, _FRAGILE),
    ),
    repair(
        "replace_valve_coils", "Replace the coils of the gas valve", dict.fromkeys(_COILS, 0.97), minutes=14.0,
        zones=_HEAT, part="valve_coils", shown=("no_gas_odour", *HEATS, *BURNS), when=GAS,
        steps=("Replace the coils as a set, each on its own stem, with the bracket tight: no gas joint is opened.",
               "Watch three calls for heat: a coil fails when it is hot."),
        cautions=(NO_FLAME, "Never put mains on a coil by hand to open the valve."),
    ),
    repair(
        "replace_gas_valve", "Replace the gas valve", {"gas_valve_stuck": 0.96, "gas_pressure_wrong": 0.95, **dict.
                                                       fromkeys(_COILS, 0.95)},
        minutes=40.0, zones=(*_HEAT, "gas_line"), part="gas_valve", skill="gas_licence",
        shown=(*TIGHT, *_GAS_SET), when=GAS,
        steps=("Note which wire and which pipe sits where.",
               "Fit a valve for the same fuel, with sealant made for gas, and leave its joints bare until they have "
               "been checked.",
               "Where its pressure can be set, set it by the rating plate."),
        cautions=(NO_FLAME, LICENCES),
    ),
    repair(
        "clean_burner_air", "Clear the air of the burner", {"burner_air_blocked": 0.95}, minutes=14.0, zones=_HEAT,
        shown=(*HEATS, *BURNS), when=GAS,
        steps=("Suck lint out of shutter, venturi and funnel, and set the shutter for a blue flame.",),
        cautions=(LINT_BURNS, "Never widen an orifice."),
    ),
)  # fmt: skip

GAS_REPAIRS = (
    *_BURNER,
    open_gas_supply(WORDS, ISOLATED, "gas_line", (*TIGHT, *HEATS, *BURNS), GAS),
    repair(
        "fit_orifice_for_fuel", "Fit the orifice and the pressure for the fuel", {"orifice_for_other_fuel": 0.95},
        minutes=40.0, zones=(*_HEAT, "gas_line"), part="orifice", skill="gas_licence", shown=(*TIGHT, *_GAS_SET),
        when=GAS,
        steps=("Change orifice, regulator part and air together, by the maker's sheet for the fuel that is supplied.",
               "Leave the joints bare until they have been checked.",
               "Fix the label of the conversion to the dryer."),
        cautions=("Never drill an orifice.", NO_FLAME, LICENCES),
    ),
    repair_gas_leak(ISOLATED, "gas_line", (*TIGHT, *HEATS, *BURNS, *VENTED), GAS),
)  # fmt: skip
