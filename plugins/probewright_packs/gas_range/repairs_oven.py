"""Repairs of the oven's control, sensor, pilot and door."""

from __future__ import annotations

from probewright.packs import Repair, from_memory
from probewright_packs.common.cautions import HOT_PARTS, LEFT_CHARGE, LICENCES, NO_FLAME, ODOUR_FIRST
from probewright_packs.common.gas import TIGHT
from probewright_packs.common.numbers import remembered
from probewright_packs.gas_range.burner_wiring import BURNERS
from probewright_packs.gas_range.closings import BURNS, WIRED, lights
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
#: To set by a difference, the oven has to settle before, to know it, and after, to show that it is gone.
_SET_AND_SETTLE = from_memory(35.0)

_SENSOR = (
    Repair(
        "replace_oven_sensor", "Replace the oven sensor",
        remembered({"oven_sensor_open": 0.98, "oven_sensor_shorted": 0.97, "oven_sensor_drifted": 0.97,
                    "oven_sensor_leaks_to_chassis": 0.85}),
        from_memory(15.0), ISOLATED, ("rear_panel",), part="oven_sensor",
        steps=("Let the oven cool, fit a sensor of the same curve, and keep its lead off the flue and sharp edges.",
               "Do not let the plug drop behind the insulation."),
        cautions=(HOT_PARTS,),
        closing_checks=("sensor_reads_right", "sensor_insulated", "no_error_shown", *_SETTLED), when=ELECTRONIC,
    ),
    Repair(
        "repair_oven_sensor_harness", "Repair the harness of the oven sensor",
        remembered({"oven_sensor_harness_open": 0.96}), from_memory(20.0), ISOLATED, ("rear_panel",),
        part="sensor_harness",
        steps=("Find the break between the sensor's plug and the board's, and mend it with high-temperature wire.",
               "Lead it as it ran, clear of edges and of what gets hot."),
        closing_checks=("sensor_reads_right", "sensor_insulated", *WIRED, "no_error_shown", *_SETTLED),
        when=ELECTRONIC,
    ),
)  # fmt: skip

_CONTROL = (
    Repair(
        "adjust_temperature_offset", "Adjust the temperature offset of the control",
        remembered({"board_offset_wrong": 0.92, "oven_sensor_drifted": 0.15}), _SET_AND_SETTLE, LIVE_GAS_OFF,
        ("outside",),
        steps=("Set the offset by the maker's sheet, by the difference that was measured over settled cycles.",
               "Write the old and the new offset down for the customer."),
        closing_checks=_SETTLED, when=ELECTRONIC,
    ),
    Repair(
        "unlock_control", "Unlock the control", remembered({"control_locked": 0.97}), from_memory(2.0), LIVE_GAS_OFF,
        ("outside",),
        steps=("Release the lock or leave the demonstration mode by the user's manual, and show the customer how.",),
        closing_checks=("control_unlocked", *lights()), when=ELECTRONIC,
    ),
    Repair(
        "repair_board_wiring", "Repair the wiring that feeds the control board",
        remembered({"board_wire_open": 0.95}), from_memory(15.0), ISOLATED, ("control_panel",), part="board_wiring",
        steps=("Find the break, the loose terminal or the blown fuse, if there is one, between the cord's terminals "
               "and the board; a fuse that has blown has a cause, which is found first.",
               "Cut back to sound copper, renew burnt terminals, and lead the wire as it ran, clear of edges and of "
               "what gets hot."),
        closing_checks=(*WIRED, "display_and_controls_work", *lights()), when=ELECTRONIC,
    ),
    Repair(
        "replace_control_board", "Replace the control board",
        remembered({"board_dead": 0.97, "bake_relay_open": 0.97, "broil_relay_open": 0.97,
                    "board_sensor_input_failed": 0.97, "board_offset_wrong": 0.7}),
        from_memory(35.0), ISOLATED, ("control_panel",), part="control_board",
        steps=("With its plugs off, read the resistance of what the board drives: nothing may be shorted.",
               "Touch bare metal of the chassis before you touch the board, and move the plugs one by one.",
               "Refit its ground strap and its insulating sheet."),
        cautions=("A short in what the board drives will destroy the new board too.",),
        closing_checks=("board_options_set", "no_error_shown", "display_and_controls_work", *lights(), *_SETTLED),
        when=ELECTRONIC,
    ),
    Repair(
        "calibrate_thermostat", "Calibrate the thermostat", remembered({"thermostat_out_of_calibration": 0.7}),
        _SET_AND_SETTLE, ISOLATED, ("outside",),
        steps=("Move the knob's skirt or the calibration screw by the maker's sheet, by the difference that was "
               "measured over settled cycles.",),
        closing_checks=_SETTLED, when=MECHANICAL,
    ),
    Repair(
        "replace_thermostat", "Replace the thermostat",
        remembered({"thermostat_contacts_open": 0.97, "thermostat_out_of_calibration": 0.95}),
        from_memory(55.0), ISOLATED, ("control_panel", "gas_line"), part="thermostat",
        steps=("Note which wire and which pipe sits where.",
               "Route the capillary as the old one ran, without a sharp bend, and fix its bulb in the clips.",
               "Where gas runs through the thermostat, use sealant made for gas and leave the joints bare until they "
               "have been checked."),
        cautions=(NO_FLAME, LICENCES), closing_checks=(*TIGHT, *lights(), *BURNS, *_SETTLED), when=MECHANICAL,
    ),
)  # fmt: skip

_DOOR = Repair(
    "replace_door_gasket", "Replace the gasket of the oven door", remembered({"oven_door_leaks": 0.9}),
    from_memory(20.0), ISOLATED, ("oven_cavity",), part="door_gasket",
    steps=("Fit the gasket as the old one lay, with its gap where the maker left one: the oven draws air there.",
           "Set the hinges so that the door closes evenly."),
    cautions=("Door hinges are spring-loaded and can cut or crush fingers: lock them before the door comes off.",),
    closing_checks=(*BURNS, *_SETTLED),
)  # fmt: skip

_IGNITION = (
    Repair(
        "replace_oven_spark_module", "Replace the spark module of the oven",
        remembered({"oven_spark_module_dead": 0.97}), from_memory(25.0), ISOLATED, ("rear_panel",),
        part="oven_spark_module", when=OVEN_SPARK,
        steps=("Move the leads one by one, and keep them clear of metal edges.", "Refit its ground wire."),
        cautions=(LEFT_CHARGE,),
        closing_checks=("ground_continuous", *(f"{burner}_spark_strong" for burner in BURNERS), *lights()),
    ),
    Repair(
        "relight_oven_pilot", "Light the oven's pilot and set its flame", remembered({"oven_pilot_out": 0.85}),
        from_memory(10.0), LIVE, ("oven_cavity",),
        steps=("With every knob off, shut the gas again and air the oven for several minutes; an unlit pilot gives off "
               "gas as soon as there is any.",
               "When it does not smell of gas, open it, light the pilot at once by the maker's instructions, and set a "
               "steady blue flame on the sensing tip.",
               "When it stays small or yellow, shut the gas, let it cool, clean its orifice without widening it, and "
               "begin again."),
        cautions=(ODOUR_FIRST,),
        closing_checks=("no_gas_odour", "oven_pilot_steady", *lights()), when=OVEN_PILOT,
    ),
    Repair(
        "replace_oven_pilot_safety", "Replace the pilot's safety device",
        remembered({"oven_pilot_safety_failed": 0.95}), from_memory(50.0), ISOLATED,
        ("oven_cavity", "gas_line"), part="oven_pilot_safety", skill="gas_licence",
        steps=("Fit a device for the same pilot, with its tip where the pilot's flame will stand, and sealant made for "
               "gas; leave its joints bare until they have been checked.",),
        cautions=(NO_FLAME, LICENCES, "Never bridge or prop open a safety device."),
        closing_checks=(*TIGHT, "oven_pilot_steady", *lights(), *BURNS), when=OVEN_PILOT,
    ),
)  # fmt: skip

OVEN_REPAIRS = (*_SENSOR, *_CONTROL, _DOOR, *_IGNITION)
