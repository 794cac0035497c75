"""What an electric range must do.

A fault that acts through wiring is not listed under ``fails_with``: the circuit and the requirement say what it does.
"""

from __future__ import annotations

from probewright.packs import Function, Requirement, from_memory
from probewright_packs.common.numbers import evenly, remembered
from probewright_packs.common.relay_board import ENOUGH_VOLTS
from probewright_packs.electric_range.heaters import SLOW, heats, rests, unit_heats
from probewright_packs.electric_range.options_and_states import BAKE, IN_USE, LOCK, RADIANT
from probewright_packs.electric_range.wiring import ELEMENTS

#: How often a fault of the sensor, or of what reads it, is shown as an error.
SENSOR_ERROR = {
    "oven_sensor_open": 0.95, "oven_sensor_shorted": 0.93, "oven_sensor_harness_open": 0.95,
    "board_sensor_input_failed": 0.85, "oven_sensor_leaks_to_chassis": 0.4,
}  # fmt: skip
#: What makes the oven miss its temperature with every current as it should be.
MISSES_TEMPERATURE = {
    "oven_sensor_drifted": 0.9, "board_offset_wrong": 0.9, "oven_sensor_leaks_to_chassis": 0.6,
    "oven_door_leaks": 0.5, "oven_vent_covered": 0.35, "bake_relay_welded": 0.9, "broil_relay_welded": 0.9,
    "bake_element_touches_case": 0.7, "broil_element_touches_case": 0.6, "bake_element_open": 0.6,
}  # fmt: skip
#: Amperes that turn the motor of the latch.
_LATCH_TURNS = evenly(0.012, 0.02)
#: What keeps the door from being locked and unlocked otherwise than through its circuit.
LATCH_FAILS = {"latch_jammed": 0.93, "latch_switch_wrong": 0.8}


def board_powered(state: str) -> Requirement:
    """What the control needs."""
    return Requirement("board", "board", "voltage", "off", state, ENOUGH_VOLTS)


def latch_moves(state: str) -> Requirement:
    """What the motor of the door latch needs."""
    return Requirement("latch", "latch_motor", "current", LOCK, state, _LATCH_TURNS)


def _element_heats(name: str) -> Function:
    return Function(f"{name}_heats", f"The oven heats for {name}", requires=(heats(name),),
                    fails_anyway=from_memory(0.0005))  # fmt: skip


FUNCTIONS = (
    Function(
        "display_on", "The display and the control are on", requires=(board_powered(IN_USE),),
        fails_with=remembered({"board_dead": 0.93, "service_neutral_open": 0.3}), fails_anyway=from_memory(0.0001),
    ),
    *(_element_heats(name) for name in ELEMENTS),
    Function(
        "oven_heats_fully", "The oven heats in its usual time", requires=(heats(BAKE, SLOW),),
        fails_with=remembered({"oven_door_leaks": 0.3, "oven_vent_covered": 0.2, "broil_element_open": 0.3,
                               "broil_relay_open": 0.3, "broil_harness_open": 0.3}),
        fails_anyway=from_memory(0.003),
    ),
    Function(
        "oven_holds_temperature", "The oven holds its temperature", requires=(heats(BAKE),),
        fails_with=remembered(MISSES_TEMPERATURE), fails_anyway=from_memory(0.004),
    ),
    Function(
        "oven_cold_at_off", "The oven stays cold with everything off",
        requires=tuple(rests(name) for name in ELEMENTS), fails_anyway=from_memory(0.00005),
    ),
    Function(
        "door_locks", "The door locks and unlocks", requires=(latch_moves(IN_USE),),
        fails_with=remembered(LATCH_FAILS), fails_anyway=from_memory(0.0005),
    ),
    Function(
        "surface_unit_heats", "The surface unit in question heats", requires=(unit_heats(),),
        fails_anyway=from_memory(0.0005),
    ),
    Function(
        "surface_unit_heats_fully", "The surface unit in question gets as hot as it should",
        requires=(unit_heats(share=SLOW),), fails_anyway=from_memory(0.002),
    ),
    Function(
        "surface_unit_regulates", "The surface unit in question follows its knob",
        fails_with=remembered({"surface_switch_welded": 0.97, "surface_element_touches_case": 0.3}),
        fails_anyway=from_memory(0.0005),
    ),
    Function(
        "other_units_heat", "The other surface units heat", requires=(unit_heats("other"),),
        fails_anyway=from_memory(0.001),
    ),
    Function(
        "hot_light_right", "The light for a hot surface goes out when the glass is cool",
        fails_with=remembered({"hot_light_contact_stuck": 0.96}), fails_anyway=from_memory(0.0003), when=RADIANT,
    ),
)  # fmt: skip
