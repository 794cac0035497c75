"""Repairs of the oven's control, sensor, pilot and door."""

from __future__ import annotations

from probewright.figures import from_memory
from probewright.packs.model import Repair
from probewright_packs.common.cautions import HOT_PARTS, NO_FLAME
from probewright_packs.common.numbers import remembered
from probewright_packs.gas_range.options_and_states import (
    ELECTRONIC,
    ISOLATED,
    LIVE,
    LIVE_GAS_OFF,
    MECHANICAL,
    OVEN_PILOT,
    OVEN_SPARK,
)

_SETTLED = ("oven_temperature_settled",)

OVEN_REPAIRS = (
    Repair(
        "replace_oven_sensor", "Replace the oven sensor",
        remembered({"oven_sensor_open": 0.98, "oven_sensor_shorted": 0.97, "oven_sensor_drifted": 0.97,
                    "oven_sensor_leaks_to_chassis": 0.85}),
        from_memory(15.0), ISOLATED, ("rear_panel",), part="oven_sensor",
        steps=("Let the oven cool, fit a sensor of the same curve, and keep its lead off the flue and sharp edges.",
               "Do not let the plug drop behind the insulation."),
        cautions=(HOT_PARTS,), closing_checks=("sensor_reads_right", *_SETTLED), when=ELECTRONIC,
    ),
    Repair(
        "repair_oven_sensor_harness", "Repair the harness of the oven sensor",
        remembered({"oven_sensor_harness_open": 0.96}), from_memory(20.0), ISOLATED, ("rear_panel",),
        part="sensor_harness",
        steps=("Find the break between the sensor's plug and the board's, and mend it with high-temperature wire.",),
        closing_checks=("sensor_reads_right", *_SETTLED), when=ELECTRONIC,
    ),
    Repair(
        "adjust_temperature_offset", "Adjust the temperature offset of the control",
        remembered({"board_offset_wrong": 0.92, "oven_sensor_drifted": 0.15}), from_memory(5.0), LIVE_GAS_OFF,
        ("outside",),
        steps=("Set the offset by the maker's sheet, by the difference that was measured over settled cycles.",),
        closing_checks=_SETTLED, when=ELECTRONIC,
    ),
    Repair(
        "unlock_control", "Unlock the control", remembered({"control_locked": 0.97}), from_memory(2.0), LIVE_GAS_OFF,
        ("outside",),
        steps=("Release the lock or leave the demonstration mode by the user's manual, and show the customer how.",),
        closing_checks=("control_unlocked",), when=ELECTRONIC,
    ),
    Repair(
        "replace_control_board", "Replace the control board",
        remembered({"board_dead": 0.97, "bake_relay_open": 0.97, "broil_relay_open": 0.97,
                    "board_sensor_input_failed": 0.97, "board_offset_wrong": 0.7}),
        from_memory(35.0), ISOLATED, ("control_panel",), part="control_board",
        steps=("Before ordering: prove the supply at the board, and clear what the board drives and reads.",
               "Discharge yourself, move the plugs one by one, and set the new board's options."),
        cautions=("A short in what the board drives will destroy the new board too.",),
        closing_checks=("display_and_controls_work", "bake_lights_from_cold", "broil_lights_from_cold", *_SETTLED),
        when=ELECTRONIC,
    ),
    Repair(
        "calibrate_thermostat", "Calibrate the thermostat", remembered({"thermostat_out_of_calibration": 0.7}),
        from_memory(15.0), LIVE_GAS_OFF, ("outside",),
        steps=("Move the knob's skirt or the calibration screw by the maker's sheet, by the difference measured.",),
        closing_checks=_SETTLED, when=MECHANICAL,
    ),
    Repair(
        "replace_thermostat", "Replace the thermostat",
        remembered({"thermostat_contacts_open": 0.97, "thermostat_out_of_calibration": 0.95}),
        from_memory(55.0), ISOLATED, ("control_panel", "gas_line"), part="thermostat",
        steps=("Route the capillary as the old one ran, without a sharp bend, and fix its bulb in the clips.",
               "Where gas runs through the thermostat, seal and check every joint with leak solution."),
        cautions=(NO_FLAME,), closing_checks=("joints_tight", "bake_lights_from_cold", *_SETTLED), when=MECHANICAL,
    ),
    Repair(
        "replace_door_gasket", "Replace the gasket of the oven door", remembered({"oven_door_leaks": 0.9}),
        from_memory(20.0), ISOLATED, ("oven_cavity",), part="door_gasket",
        steps=("Fit the gasket as the old one lay, and set the hinges so that the door closes evenly.",),
        closing_checks=_SETTLED,
    ),
    Repair(
        "replace_oven_spark_module", "Replace the spark module of the oven",
        remembered({"oven_spark_module_dead": 0.97}), from_memory(25.0), ISOLATED, ("rear_panel",),
        part="oven_spark_module", when=OVEN_SPARK,
        steps=("Before ordering: prove that mains reaches the module while the oven is called for.",
               "Move the leads one by one, and keep them clear of metal edges."),
        closing_checks=("bake_lights_from_cold", "broil_lights_from_cold"),
    ),
    Repair(
        "relight_oven_pilot", "Light the oven's pilot and set its flame", remembered({"oven_pilot_out": 0.85}),
        from_memory(10.0), LIVE, ("oven_cavity",),
        steps=("Air the oven for several minutes and smell for gas first.",
               "Light the pilot by the maker's instructions and set a steady blue flame on the sensing tip.",
               "Clean the pilot's orifice when the flame stays small or yellow."),
        cautions=("Do not light anything while it smells of gas.",),
        closing_checks=("pilots_steady", "bake_lights_from_cold"), when=OVEN_PILOT,
    ),
    Repair(
        "replace_oven_pilot_safety", "Replace the pilot's safety device",
        remembered({"oven_pilot_safety_failed": 0.95}), from_memory(50.0), ISOLATED,
        ("oven_cavity", "gas_line"), part="oven_pilot_safety", skill="gas_licence",
        steps=("Fit the device with its tip in the pilot's flame, and check every joint with leak solution.",),
        cautions=(NO_FLAME,), closing_checks=("joints_tight", "pilots_steady", "bake_lights_from_cold"),
        when=OVEN_PILOT,
    ),
)  # fmt: skip
