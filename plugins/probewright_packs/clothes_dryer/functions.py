"""What a clothes dryer must do.

A fault that acts through wiring is not listed under ``fails_with``: the circuit and the requirement say what it does.
"""

from __future__ import annotations

from probewright.packs import Function, from_memory
from probewright_packs.clothes_dryer.burner_wiring import BURNER_LIGHTS, BURNER_LIGHTS_AGAIN
from probewright_packs.clothes_dryer.commands import AIR, DOOR_OPEN, WARM
from probewright_packs.clothes_dryer.motor_wiring import MOTOR_STARTS
from probewright_packs.clothes_dryer.options_and_states import ELECTRONIC
from probewright_packs.clothes_dryer.options_and_states import RUNNING as IN_USE
from probewright_packs.clothes_dryer.wiring import board_powered, element_heats, element_heats_fully, heat_is_off
from probewright_packs.common.numbers import remembered

#: What keeps the drum from turning otherwise than through the motor's circuit.
DRUM_STANDS = {
    "belt_broken_switch_bridged": 0.98, "motor_bearings_seized": 0.93, "drum_jammed": 0.9, "blower_jammed": 0.85,
}  # fmt: skip
#: What keeps gas from burning otherwise than through the circuit of the heat.
NO_FLAME_COMES = {
    "gas_shut_off": 0.99, "gas_valve_stuck": 0.97, "valve_coils_fail_hot": 0.36, "gas_pressure_wrong": 0.15,
    "orifice_for_other_fuel": 0.1,
}  # fmt: skip
#: What makes drying long with every current as it should be.
DRIES_SLOWLY = {
    "vent_blocked": 0.85, "vent_too_long": 0.75, "lint_screen_clogged": 0.75, "blower_wheel_loose": 0.85,
    "drum_seal_worn": 0.4, "cycling_thermostat_opens_early": 0.9, "outlet_sensor_drifted": 0.85,
    "gas_pressure_wrong": 0.5, "orifice_for_other_fuel": 0.6, "burner_air_blocked": 0.4,
}  # fmt: skip
#: What makes it hotter than it should get.
GETS_TOO_HOT = {
    "vent_blocked": 0.3, "blower_wheel_loose": 0.35, "lint_in_cabinet": 0.2, "lint_screen_clogged": 0.15,
    "gas_pressure_wrong": 0.25, "orifice_for_other_fuel": 0.3, "drum_seal_worn": 0.05,
}  # fmt: skip
#: What ends a cycle while clothes are wet.
STOPS_EARLY = {
    "moisture_bars_coated": 0.9, "moisture_wire_open": 0.92, "motor_bearings_seized": 0.1,
}  # fmt: skip
#: What keeps a cycle from ending.
GOES_ON = {"timer_motor_dead": 0.97, "moisture_bars_bridged": 0.9}

FUNCTIONS = (
    Function(
        "display_on", "The display and the control are on", requires=(board_powered(IN_USE),),
        fails_with=remembered({"board_dead": 0.93, "supply_voltage_high": 0.3}), fails_anyway=from_memory(0.0001),
        when=ELECTRONIC,
    ),
    Function(
        "drum_turns", "The drum turns", requires=MOTOR_STARTS,
        fails_with=remembered({**DRUM_STANDS, "supply_voltage_high": 0.2}), fails_anyway=from_memory(0.0005),
    ),
    Function(
        "heats", "It heats while the drum turns", requires=(element_heats(), *BURNER_LIGHTS),
        fails_with=remembered(NO_FLAME_COMES), fails_anyway=from_memory(0.0005),
    ),
    Function(
        "dries_in_time", "Clothes dry in their usual time",
        requires=(element_heats_fully(), *BURNER_LIGHTS, BURNER_LIGHTS_AGAIN),
        fails_with=remembered({**NO_FLAME_COMES, **DRIES_SLOWLY}), fails_anyway=from_memory(0.004),
    ),
    Function(
        "stays_under_its_limit", "It gets no hotter than it is set to",
        requires=(*heat_is_off(WARM), *heat_is_off(AIR)),
        fails_with=remembered(GETS_TOO_HOT), fails_anyway=from_memory(0.001),
    ),
    Function(
        "cold_at_rest", "It does not heat while the drum stands", requires=(*heat_is_off("off"),
                                                                            *heat_is_off(DOOR_OPEN)),
        fails_with=remembered({"belt_broken_switch_bridged": 0.9}), fails_anyway=from_memory(0.00005),
    ),
    Function(
        "goes_on_until_dry", "It goes on until the clothes are dry", fails_with=remembered(STOPS_EARLY),
        fails_anyway=from_memory(0.003),
    ),
    Function(
        "ends_by_itself", "It ends by itself", fails_with=remembered(GOES_ON), fails_anyway=from_memory(0.0005),
    ),
    Function(
        "runs_quietly", "It runs without squealing, thumping or rubbing",
        fails_with=remembered({
            "drum_rollers_worn": 0.92, "drum_seal_worn": 0.3, "blower_wheel_loose": 0.7, "motor_bearings_seized": 0.3,
            "drum_jammed": 0.2, "belt_broken": 0.05,
        }),
        fails_anyway=from_memory(0.003),
    ),
)  # fmt: skip
