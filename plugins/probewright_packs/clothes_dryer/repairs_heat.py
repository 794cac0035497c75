"""Repairs of the heat, the air and the control."""

from __future__ import annotations

from probewright.packs import Repair, from_memory
from probewright_packs.clothes_dryer.closings import HEATS, TURNS, VENTED, WIRED
from probewright_packs.clothes_dryer.options_and_states import (
    ELECTRIC,
    ELECTRONIC,
    HEAT_WITHOUT_TURNING,
    LINT_BURNS,
    TIMER,
    TWO_LEGS_LIVE,
)
from probewright_packs.clothes_dryer.options_and_states import RUNNING as IN_USE
from probewright_packs.common.cautions import LICENCES, SHARP_EDGES
from probewright_packs.common.numbers import remembered
from probewright_packs.common.repairs import repair

_NO_BRIDGE = "Never bridge a thermostat or a cut-off, and never fit one of another temperature."
_SMOOTH = (
    "A duct of plastic or thin foil, or one that is crushed, is replaced with smooth metal duct; joints are clamped or "
    "taped with foil, never screwed into the air."
)
_DUST = "Wear a mask and gloves: lint is dust, and the edges of ducts cut."

_AIR = (
    repair(
        "clear_vent", "Clear the vent", {"vent_blocked": 0.8}, minutes=28.0, zones=("vent",),
        shown=(*VENTED, "outlet_temperature_right", "room_air_clean"),
        steps=("Brush and suck the duct clean from the dryer to the hood, and the dryer's own outlet.",
               "See that the hood's flap moves freely, and take off any fine screen.", _SMOOTH),
        cautions=(_DUST, LINT_BURNS),
    ),
    repair(
        "replace_vent_duct", "Replace the duct of the vent", {"vent_blocked": 0.96, "vent_too_long": 0.35},
        minutes=40.0, zones=("vent",), part="vent_duct",
        shown=(*VENTED, "outlet_temperature_right", "room_air_clean"),
        steps=("Lay smooth metal duct of full width by the shortest way to the hood, its seams with the air.", _SMOOTH),
        cautions=(_DUST, LICENCES),
    ),
    repair(
        "shorten_vent", "Have the vent laid shorter and straighter", {"vent_too_long": 0.92}, minutes=75.0,
        zones=("vent",), part="vent_duct", shown=(*VENTED, "outlet_temperature_right", "room_air_clean"),
        steps=("Add up length and bends by the maker's sheet, and find a shorter way, with wide bends.",
               "Where there is none, offer what the maker allows for long vents; a wall is opened by somebody who may.",
               _SMOOTH),
        cautions=(_DUST, LICENCES),
    ),
    repair(
        "wash_lint_screen", "Wash the film off the lint screen", {"lint_screen_clogged": 0.88}, minutes=6.0,
        zones=("outside",), shown=("vent_free", "outlet_temperature_right"),
        steps=("Brush the screen with warm water and a little detergent until water runs through, and dry it.",
               "Tell the customer that softener sheets leave the film."),
    ),
    repair(
        "replace_lint_screen", "Replace the lint screen", {"lint_screen_clogged": 0.97}, minutes=2.0,
        zones=("outside",), part="lint_screen", shown=("vent_free", "outlet_temperature_right"),
        steps=("Fit a screen of the same shape that closes its slot all around.",),
    ),
    repair(
        "clear_lint_from_cabinet", "Clear the lint out of the cabinet", {"lint_in_cabinet": 0.95}, minutes=22.0,
        zones=("cabinet",), shown=("lint_cleared", "wiring_sound", *TURNS, "outlet_temperature_right"),
        steps=("Suck lint off motor, wiring, housing of the heat and base; use no flame and no solvent.",
               "Find where it came from: a seal, a loose duct, a torn screen."),
        cautions=(LINT_BURNS, SHARP_EDGES),
    ),
)  # fmt: skip

_CUTOFF_STEPS = (
    "Fit cut-off and high limit of the same temperatures, as the set that the maker lists.",
    "A cut-off blows by heat: see that the vent is clear, the screen clean and the element clear of its case.",
)
_HEAT = (
    repair(
        "replace_cutoff", "Replace the thermal cut-off with its high limit",
        {"cutoff_open": 0.96, "high_limit_open": 0.95, "cutoff_blown_by_vent": 0.04}, minutes=10.0,
        zones=("heat_source",), part="thermal_cutoff", shown=(*VENTED, *HEATS), steps=_CUTOFF_STEPS,
        cautions=(_NO_BRIDGE, "Replaced alone behind a blocked vent, it blows again."),
    ),
    repair(
        "clear_vent_and_replace_cutoff", "Clear the vent, then replace the thermal cut-off",
        {"cutoff_blown_by_vent": 0.95, "cutoff_open": 0.96, "high_limit_open": 0.95, "vent_blocked": 0.8},
        minutes=42.0,
        zones=("heat_source", "vent"), part="thermal_cutoff", shown=(*VENTED, *HEATS, "room_air_clean"),
        steps=("Clear the vent first, from the dryer to the hood.", _SMOOTH, *_CUTOFF_STEPS),
        cautions=(_NO_BRIDGE, _DUST, LINT_BURNS),
    ),
    repair(
        "replace_high_limit", "Replace the high-limit thermostat", {"high_limit_open": 0.96}, minutes=8.0,
        zones=("heat_source",), part="high_limit", shown=(*VENTED, *HEATS),
        steps=("Fit one of the same temperature, flat on its seat.",), cautions=(_NO_BRIDGE,),
    ),
    repair(
        "replace_cycling_thermostat", "Replace the cycling thermostat",
        {"cycling_thermostat_open": 0.97, "cycling_thermostat_opens_early": 0.95,
         "cycling_thermostat_stuck_closed": 0.95}, minutes=9.0, zones=("cabinet",), part="cycling_thermostat",
        shown=HEATS, steps=("Fit one of the same temperature, flat on the blower housing, with its own wires.",),
        cautions=(_NO_BRIDGE,), when=TIMER,
    ),
    repair(
        "repair_heat_harness", "Repair the wiring of the heat", {"heat_harness_open": 0.95}, minutes=20.0,
        zones=("heat_source",), part="wiring_kit", shown=(*WIRED, *HEATS),
        steps=("Find the burnt terminal or the break between control and heat.",
               "Cut back to sound copper, renew both halves of a burnt connector, and use wire and terminals made for "
               "the heat and the current.",
               "Lead the wire as it ran, clear of edges, drum and what gets hot."),
    ),
    repair(
        "replace_element", "Replace the heating element", {"element_open": 0.98, "element_touches_case": 0.97},
        minutes=25.0, zones=("heat_source",), part="element",
        shown=("no_leak_to_chassis", "ground_continuous", *VENTED, *HEATS), when=ELECTRIC,
        steps=("Fit an element of the same watts and volts, with its case clean and its coil clear of it.",
               "Renew terminals that have browned; look at cut-off and vent, for a blocked one burns elements, too."),
        cautions=(SHARP_EDGES, TWO_LEGS_LIVE),
    ),
)  # fmt: skip

_TIMER_FAULTS = (
    "timer_motor_contact_open", "timer_heat_contact_open", "timer_heat_contact_welded", "timer_motor_dead",
)  # fmt: skip
_BOARD_FAULTS = ("board_dead", "motor_relay_open", "heat_relay_open", "heat_relay_welded")

_CONTROL = (
    repair(
        "replace_timer", "Replace the timer", dict.fromkeys(_TIMER_FAULTS, 0.97), minutes=20.0, zones=("console",),
        part="timer", shown=("wiring_sound", *TURNS, *HEATS, "no_heat_at_air", "timer_advances"), when=TIMER,
        steps=("Move the wires one by one, and renew terminals that have browned.",
               "A welded contact has a cause: see that nothing behind it is shorted."),
    ),
    repair(
        "replace_control_board", "Replace the control board", dict.fromkeys(_BOARD_FAULTS, 0.97), minutes=25.0,
        zones=("console",), part="control_board", when=ELECTRONIC,
        shown=(*TURNS, *HEATS, "no_heat_at_air", "no_error_shown", "everything_works"),
        steps=("With its plugs off, read the resistance of what the board drives: nothing may be shorted.",
               "Touch bare metal of the chassis before you touch the board, and move the plugs one by one."),
        cautions=("A short in what the board drives will destroy the new board too.",),
    ),
    Repair(
        "unlock_control", "Unlock the control", remembered({"control_locked": 0.97}), from_memory(2.0), IN_USE,
        ("outside",),
        steps=("Release the lock or leave the demonstration mode by the user's manual, and show the customer how.",),
        cautions=(HEAT_WITHOUT_TURNING,), closing_checks=("control_unlocked", *TURNS), when=ELECTRONIC,
    ),
    repair(
        "replace_outlet_sensor", "Replace the outlet temperature sensor",
        {"outlet_sensor_open": 0.97, "outlet_sensor_shorted": 0.97, "outlet_sensor_drifted": 0.96}, minutes=8.0,
        zones=("cabinet",), part="outlet_sensor", when=ELECTRONIC,
        shown=("outlet_sensor_reads_right", "no_error_shown", *HEATS),
        steps=("Fit a sensor of the same curve, in the way of the air, with its plug home.",),
    ),
    repair(
        "repair_outlet_sensor_harness", "Repair the harness of the outlet sensor",
        {"outlet_sensor_harness_open": 0.96}, minutes=18.0, zones=("cabinet",), part="wiring_kit",
        when=ELECTRONIC, shown=("outlet_sensor_reads_right", "no_error_shown", "wiring_sound", *HEATS),
        steps=("Find the break between the sensor's plug and the board's, and lead the new wire clear of the drum.",),
    ),
    repair(
        "clean_moisture_bars", "Clean the moisture bars", {"moisture_bars_coated": 0.93}, minutes=6.0,
        zones=("outside",), shown=("bars_sense_wet", "everything_works"), when=ELECTRONIC,
        steps=("Rub the bars with fine abrasive fleece, and with vinegar or alcohol on a cloth, until they shine; let "
               "them dry and air the drum.",
               "Tell the customer that softener sheets leave the film."),
        cautions=("Alcohol burns: only a little on a cloth, and nothing runs before it has gone.",),
    ),
    repair(
        "repair_moisture_wiring", "Repair the moisture bars and their wires",
        {"moisture_wire_open": 0.95, "moisture_bars_bridged": 0.93, "moisture_bars_coated": 0.9}, minutes=25.0,
        zones=("cabinet",), part="moisture_wiring", when=ELECTRONIC,
        shown=("bars_sense_wet", "bars_dry_apart", "everything_works"),
        steps=("Find the break or the bridge between bars and board; clear lint and water out of the plugs.",
               "Fit bars and wires as they were, clear of drum and door."),
    ),
)  # fmt: skip

HEAT_REPAIRS = (*_AIR, *_HEAT, *_CONTROL)
