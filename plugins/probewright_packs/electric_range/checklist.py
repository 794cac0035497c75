"""The tests in the order in which the trade usually does them, by common practice.

The supply first, then settings, a look with everything closed, and last element by element with the meter: resistance
before voltage, and the board when all else has been read.
"""

from __future__ import annotations

from probewright_packs.electric_range.tests_oven import REACHED
from probewright_packs.electric_range.wiring import ELEMENTS


def _both(*names: str) -> tuple[str, ...]:
    """Tests of the bake element, and the same of the broil element."""
    return tuple(f"{element}_{name}" for element in ELEMENTS for name in names)


def _ends(*names: str) -> tuple[str, ...]:
    """Tests at the ends of each element."""
    return tuple(f"{prefix}_{name}" for prefix, *_ in REACHED for name in names)


CHECKLIST = (
    "legs_voltage", "leg_one_to_neutral", "leg_two_to_neutral", "legs_neutral_to_ground", "terminal_block_condition",
    "display_lit", "control_lock", "display_error",
    "surface_unit_glow", "other_unit_glow", "unit_at_low",
    *_both("glow"), "oven_floor_warmth",
    *_both("element_condition"), "cooktop_glass", "oven_door_seal", "oven_vent_and_floor",
    "receptacle_condition", "coil_in_another_place",
    "wiring_condition",
    *_ends("resistance", "to_chassis"), "oven_insulation_at_plug", "oven_limit_continuity",
    "oven_sensor_resistance", "oven_sensor_to_chassis", "oven_sensor_resistance_at_board",
    "coil_resistance", "coil_to_chassis", "radiant_element_resistance", "radiant_element_to_chassis",
    "limiter_continuity", "hot_light_contact",
    *_ends("voltage"), *_both("element_current", "current_at_off"), "block_voltage_under_load",
    "leg_one_to_chassis_under_load", "leg_two_to_chassis_under_load",
    "surface_switch_voltage", "surface_element_voltage", "surface_element_current",
    "latch_travel", "latch_switch_response", "latch_motor_resistance", "latch_motor_voltage",
    "board_supply_voltage", *_both("relay_voltage"),
    "oven_heat_up", "oven_temperature",
)  # fmt: skip
