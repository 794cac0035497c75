"""Parts that can be carried.  Prices are from memory, in US dollars to a shop: a case's own costs replace them."""

from __future__ import annotations

from probewright.packs import ReplaceablePart, from_memory
from probewright_packs.common.supply import supply_parts
from probewright_packs.common.two_legs_tests import leg_parts


def _part(id_: str, title: str, price: float) -> ReplaceablePart:
    return ReplaceablePart(id_, title, from_memory(price))


PARTS = (
    *leg_parts(),
    *supply_parts(),
    _part("door_switch", "Door switch", 25.0),
    _part("belt_switch", "Belt switch", 20.0),
    _part("belt", "Drum belt", 22.0),
    _part("thermal_fuse", "Thermal fuse of the blower housing", 15.0),
    _part("motor", "Drive motor", 130.0),
    _part("drum_rollers", "Set of drum rollers and idler", 45.0),
    _part("drum_seal", "Felt seal for the drum, with its adhesive", 40.0),
    _part("blower_wheel", "Blower wheel", 35.0),
    _part("vent_duct", "Smooth metal duct with clamps", 30.0),
    _part("lint_screen", "Lint screen", 25.0),
    _part("cycling_thermostat", "Cycling thermostat", 20.0),
    _part("high_limit", "High-limit thermostat", 20.0),
    _part("thermal_cutoff", "Thermal cut-off with its high-limit thermostat", 30.0),
    _part("wiring_kit", "High-temperature wire, plugs and terminals", 15.0),
    _part("element", "Heating element in its case", 65.0),
    _part("start_switch", "Start switch", 25.0),
    _part("timer", "Timer", 120.0),
    _part("control_board", "Control board", 210.0),
    _part("outlet_sensor", "Outlet temperature sensor", 20.0),
    _part("moisture_wiring", "Moisture bars with their wires", 30.0),
    _part("igniter", "Igniter", 40.0),
    _part("flame_sensor", "Flame sensor", 20.0),
    _part("valve_coils", "Set of coils for the gas valve", 35.0),
    _part("gas_valve", "Gas valve", 140.0),
    _part("orifice", "Orifice for the fuel, with its conversion parts", 25.0),
    _part("gas_connector", "Gas connector or joint", 35.0),
)
