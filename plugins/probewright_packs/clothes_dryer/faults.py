"""What can be wrong.  Every rate is from memory: no open table gives failure rates of dryer parts.

The tables give shares of the calls that are made for each fault.  A rate is the chance that an appliance has the fault
before anybody says what is wrong with it: :data:`BESIDE_THE_CALL` of that share, so that a fault that nobody
complained of seldom stands beside the one that was.  The shares of one build add up to nine tenths or so: the rest are
calls for which nothing is found, or something that is not listed.

A cut-off or a fuse that blew because the vent is blocked is a fault of its own: it is the commoner case, and its cure
is the vent.
"""

from __future__ import annotations

from probewright.packs import Fault, When, from_memory
from probewright_packs.clothes_dryer.options_and_states import ELECTRIC, ELECTRONIC, GAS, TIMER
from probewright_packs.clothes_dryer.supplies import SUPPLY_FAULTS
from probewright_packs.common.supply import BESIDE_THE_CALL

#: A vent that is blocked, by itself or with what it has blown.
VENT_BLOCKED = ("vent_blocked", "cutoff_blown_by_vent", "thermal_fuse_blown_by_vent")


def _fault(
    id_: str, title: str, share: float, part: str | None = None, *,
    when: When | None = None, excludes: tuple[str, ...] = (),
) -> Fault:  # fmt: skip
    return Fault(id_, title, from_memory(BESIDE_THE_CALL * share), part, excludes, when or {})


_DRIVE = (
    _fault("door_switch_open", "Door switch does not close", 0.025, "door_switch"),
    _fault("belt_switch_open", "Belt switch does not close on a sound belt", 0.008, "belt_switch",
           excludes=("belt_broken", "belt_broken_switch_bridged")),
    _fault("belt_broken", "Drum belt broken or off", 0.06, "belt"),
    _fault("belt_broken_switch_bridged", "Drum belt broken, and the belt switch bridged", 0.0025, "belt"),
    _fault("thermal_fuse_open", "Thermal fuse on the blower housing open", 0.015, "thermal_fuse"),
    _fault("motor_main_open", "Main winding of the motor open", 0.008, "motor"),
    _fault("motor_start_open", "Start winding of the motor open", 0.01, "motor"),
    _fault("motor_start_contact_open", "Start contact of the motor's centrifugal switch does not close", 0.015,
           "motor"),
    _fault("motor_bearings_seized", "Bearings of the motor seized or stiff", 0.02, "motor"),
    _fault("motor_heater_contact_open", "Heater contact of the motor's centrifugal switch does not close", 0.01,
           "motor"),
    _fault("motor_heater_contact_welded", "Heater contact of the motor's centrifugal switch welded", 0.0035, "motor"),
    _fault("drum_jammed", "Drum jammed or its rollers seized", 0.015, "drum_rollers"),
    _fault("drum_rollers_worn", "Drum rollers or idler worn", 0.05, "drum_rollers"),
    _fault("drum_seal_worn", "Seal of the drum worn or torn", 0.015, "drum_seal"),
)  # fmt: skip

_AIR = (
    _fault("vent_blocked", "Vent blocked or crushed", 0.1,
           excludes=("cutoff_blown_by_vent", "thermal_fuse_blown_by_vent", "vent_too_long")),
    _fault("cutoff_blown_by_vent", "Thermal cut-off blown because the vent is blocked", 0.04, "thermal_cutoff",
           excludes=("thermal_fuse_blown_by_vent", "vent_too_long")),
    _fault("thermal_fuse_blown_by_vent", "Thermal fuse blown because the vent is blocked", 0.03, "thermal_fuse",
           excludes=("vent_too_long",)),
    _fault("vent_too_long", "Vent too long or with too many bends", 0.025),
    _fault("lint_screen_clogged", "Lint screen clogged, or covered with a film", 0.025),
    _fault("blower_jammed", "Blower wheel jammed", 0.012, "blower_wheel"),
    _fault("blower_wheel_loose", "Blower wheel loose or broken", 0.012, "blower_wheel"),
    _fault("lint_in_cabinet", "Lint gathered around motor and heat", 0.015),
)  # fmt: skip

_HEAT = (
    _fault("cycling_thermostat_open", "Cycling thermostat open", 0.015, "cycling_thermostat", when=TIMER),
    _fault("cycling_thermostat_opens_early", "Cycling thermostat opens too early", 0.015, "cycling_thermostat",
           when=TIMER),
    _fault("cycling_thermostat_stuck_closed", "Cycling thermostat does not open", 0.008, "cycling_thermostat",
           when=TIMER),
    _fault("high_limit_open", "High-limit thermostat open", 0.012, "high_limit"),
    _fault("cutoff_open", "Thermal cut-off open, with a clear vent", 0.015, "thermal_cutoff"),
    _fault("heat_harness_open", "Wire or terminal of the heat circuit burnt open", 0.015, "wiring_kit"),
    _fault("element_open", "Heating element open", 0.1, "element", when=ELECTRIC),
    _fault("element_touches_case", "Coil of the heating element touches its case", 0.018, "element", when=ELECTRIC),
)  # fmt: skip

_TIMER = (
    _fault("start_switch_open", "Start switch does not close", 0.02, "start_switch", when=TIMER),
    _fault("timer_motor_contact_open", "Timer's contact of the motor does not close", 0.012, "timer", when=TIMER),
    _fault("timer_heat_contact_open", "Timer's contact of the heat does not close", 0.016, "timer", when=TIMER),
    _fault("timer_heat_contact_welded", "Timer's contact of the heat welded", 0.0025, "timer", when=TIMER),
    _fault("timer_motor_dead", "Timer does not advance", 0.03, "timer", when=TIMER),
)  # fmt: skip

_BOARD = (
    _fault("board_dead", "Control board dead", 0.025, "control_board", when=ELECTRONIC),
    _fault("motor_relay_open", "Motor relay of the board does not close", 0.015, "control_board", when=ELECTRONIC),
    _fault("heat_relay_open", "Heat relay of the board does not close", 0.018, "control_board", when=ELECTRONIC),
    _fault("heat_relay_welded", "Heat relay of the board welded", 0.005, "control_board", when=ELECTRONIC),
    _fault("control_locked", "Control locked", 0.012, when=ELECTRONIC),
    _fault("outlet_sensor_open", "Outlet temperature sensor open", 0.01, "outlet_sensor", when=ELECTRONIC),
    _fault("outlet_sensor_shorted", "Outlet temperature sensor shorted", 0.003, "outlet_sensor", when=ELECTRONIC),
    _fault("outlet_sensor_drifted", "Outlet temperature sensor reads too warm", 0.015, "outlet_sensor",
           when=ELECTRONIC),
    _fault("outlet_sensor_harness_open", "Harness of the outlet temperature sensor open", 0.005, "wiring_kit",
           when=ELECTRONIC),
    _fault("moisture_bars_coated", "Moisture bars coated with a film", 0.035, when=ELECTRONIC),
    _fault("moisture_wire_open", "Wire of the moisture bars open", 0.01, "moisture_wiring", when=ELECTRONIC),
    _fault("moisture_bars_bridged", "Moisture bars or their wires bridged", 0.005, "moisture_wiring", when=ELECTRONIC),
)  # fmt: skip

_GAS = (
    _fault("igniter_open", "Igniter open", 0.07, "igniter", when=GAS),
    _fault("flame_sensor_stuck_closed", "Flame sensor does not open", 0.02, "flame_sensor", when=GAS),
    _fault("flame_sensor_open", "Flame sensor does not close", 0.012, "flame_sensor", when=GAS),
    _fault("valve_holding_open", "Holding coil of the gas valve open", 0.007, "valve_coils", when=GAS),
    _fault("valve_booster_open", "Booster coil of the gas valve open", 0.005, "valve_coils", when=GAS),
    _fault("valve_secondary_open", "Secondary coil of the gas valve open", 0.009, "valve_coils", when=GAS),
    _fault("valve_coils_fail_hot", "Coils of the gas valve fail when hot", 0.075, "valve_coils", when=GAS),
    _fault("gas_valve_stuck", "Gas valve does not open, with sound coils", 0.007, "gas_valve", when=GAS),
    _fault("gas_pressure_wrong", "Gas valve's regulator sets a wrong pressure", 0.005, "gas_valve", when=GAS),
    _fault("gas_shut_off", "Gas shut off", 0.018, when=GAS),
    _fault("orifice_for_other_fuel", "Orifice is for the other fuel", 0.012, "orifice", when=GAS),
    _fault("gas_leak", "Gas leaks from a joint or connector", 0.012, "gas_connector", when=GAS),
    _fault("burner_air_blocked", "Air of the burner blocked by lint", 0.009, when=GAS),
)  # fmt: skip

FAULTS = (*SUPPLY_FAULTS, *_DRIVE, *_AIR, *_HEAT, *_TIMER, *_BOARD, *_GAS)
