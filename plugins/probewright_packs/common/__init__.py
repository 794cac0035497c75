"""What any pack can import: supplies, controls, motor, valves, sensors, and short ways to write figures.

A part comes as records for a circuit (``relay``, ``split_phase_motor``) and as what its faults do there
(``relay_changes``, ``motor_changes``): a pack puts several together with ``together``, takes what fits its circuit with
``fitting``, and lists the faults that it has, each under the id that the part gives it.

May import: the pack contract only.
"""

from __future__ import annotations

from probewright_packs.common.cautions import (
    CLIP_FIRST,
    HIGH_VOLTAGE,
    HOT_PARTS,
    LEFT_CHARGE,
    LICENCES,
    LIVE_PARTS,
    NO_FLAME,
    ODOUR_FIRST,
    PROVE_DEAD,
    SHARP_EDGES,
)
from probewright_packs.common.changes import Changes, fitting, of_faults, only, rests, together, under_all
from probewright_packs.common.costs import USUAL_COSTS
from probewright_packs.common.findings import (
    Judge,
    current_with_supply,
    drop_in_neutral,
    element_ohms,
    ghost_voltage,
    judged,
    over_cycles,
    platinum_sensor,
    supply_known,
)
from probewright_packs.common.gas import (
    CO_IN_ROOM_TO_LEAVE,
    CO_MEDICAL,
    CO_ROOM_LIMIT,
    TIGHT,
    GasWords,
    gas_interlock,
    gas_odour,
    gas_supply_valve,
    leak_check,
    open_gas_supply,
    repair_gas_leak,
    tight_closings,
)
from probewright_packs.common.motor import (
    heater_contact,
    heater_contact_changes,
    motor_changes,
    motor_stands,
    split_phase_motor,
    windings_circuit,
)
from probewright_packs.common.numbers import NOTHING, around, decades, evenly, nothing, remembered, within_a_factor
from probewright_packs.common.oven import OVEN_DEVIATION, OVEN_TOLERANCE, oven_sensor_tests
from probewright_packs.common.platinum import PT1000, curve_option, sensor_circuit
from probewright_packs.common.relay_board import (
    CLOSED,
    ENOUGH_VOLTS,
    WELDED,
    board,
    board_changes,
    relay,
    relay_changes,
    undriven,
)
from probewright_packs.common.repairs import covered, repair
from probewright_packs.common.sensor import harnessed
from probewright_packs.common.supply import (
    AT_OUTLET,
    BESIDE_THE_CALL,
    FREQUENCY,
    HIGHEST_AT_OUTLET,
    LINE_VOLTAGE,
    OUTLET_VOLTS,
    SUPPLY,
    line,
    line_changes,
    outlet_circuit,
    outlet_tests,
    stray,
    supply_faults,
    supply_parts,
    wiring_condition,
)
from probewright_packs.common.supply_repairs import (
    OPEN_NEUTRAL,
    OUTLET_WIRED,
    UNPLUG_ALL,
    overvoltage_interlock,
    supply_closings,
    supply_repairs,
    wiring_interlock,
)
from probewright_packs.common.tables import Without, alike, row, seen, table
from probewright_packs.common.thermistor import ntc, thermistor_circuit
from probewright_packs.common.thermostat import (
    calling_thermostat,
    cutoff,
    cutoff_changes,
    thermostat,
    thermostat_changes,
)
from probewright_packs.common.two_legs import (
    AT_BLOCK,
    BURNT,
    LEG_TO_LEG,
    LEG_TO_NEUTRAL,
    LEG_VOLTAGE,
    TWO_LEGS,
    leg_changes,
    legs,
    legs_circuit,
)
from probewright_packs.common.two_legs_repairs import LEGS_WIRED, leg_closings, leg_interlocks, leg_repairs
from probewright_packs.common.two_legs_tests import LEG_FAULTS, leg_faults, leg_parts, leg_tests
from probewright_packs.common.valve import (
    COLD,
    GLOWS_ABOVE,
    bimetal_valve,
    glowing,
    igniter,
    igniter_changes,
    module_input,
    solenoid_valve,
    two_coil_changes,
    two_coil_valve,
    valve_changes,
)

__all__ = [
    "AT_BLOCK", "AT_OUTLET", "BESIDE_THE_CALL", "BURNT", "CLIP_FIRST", "CLOSED", "COLD", "CO_IN_ROOM_TO_LEAVE",
    "CO_MEDICAL", "CO_ROOM_LIMIT", "ENOUGH_VOLTS", "FREQUENCY", "GLOWS_ABOVE", "HIGHEST_AT_OUTLET", "HIGH_VOLTAGE",
    "HOT_PARTS", "LEFT_CHARGE", "LEGS_WIRED", "LEG_FAULTS", "LEG_TO_LEG", "LEG_TO_NEUTRAL", "LEG_VOLTAGE",
    "LICENCES", "LINE_VOLTAGE", "LIVE_PARTS", "NOTHING", "NO_FLAME", "ODOUR_FIRST", "OPEN_NEUTRAL", "OUTLET_VOLTS",
    "OUTLET_WIRED", "OVEN_DEVIATION", "OVEN_TOLERANCE", "PROVE_DEAD", "PT1000", "SHARP_EDGES", "SUPPLY", "TIGHT",
    "TWO_LEGS", "UNPLUG_ALL", "USUAL_COSTS", "WELDED", "Changes", "GasWords", "Judge", "Without", "alike", "around",
    "bimetal_valve", "board", "board_changes", "calling_thermostat", "covered", "current_with_supply",
    "curve_option", "cutoff", "cutoff_changes", "decades", "drop_in_neutral", "element_ohms", "evenly", "fitting",
    "gas_interlock", "gas_odour", "gas_supply_valve", "ghost_voltage", "glowing", "harnessed", "heater_contact",
    "heater_contact_changes", "igniter", "igniter_changes", "judged", "leak_check", "leg_changes", "leg_closings",
    "leg_faults", "leg_interlocks", "leg_parts", "leg_repairs", "leg_tests", "legs", "legs_circuit", "line",
    "line_changes", "module_input", "motor_changes", "motor_stands", "nothing", "ntc", "of_faults", "only",
    "open_gas_supply", "outlet_circuit", "outlet_tests", "oven_sensor_tests", "over_cycles",
    "overvoltage_interlock", "platinum_sensor", "relay", "relay_changes", "remembered", "repair", "repair_gas_leak",
    "rests", "row", "seen", "sensor_circuit", "solenoid_valve", "split_phase_motor", "stray", "supply_closings",
    "supply_faults", "supply_known", "supply_parts", "supply_repairs", "table", "thermistor_circuit", "thermostat",
    "thermostat_changes", "tight_closings", "together", "two_coil_changes", "two_coil_valve", "under_all",
    "undriven", "valve_changes", "windings_circuit", "wiring_condition", "wiring_interlock", "within_a_factor",
]  # fmt: skip
