"""Repairs of what turns: switches, fuse, belt, motor, drum and blower."""

from __future__ import annotations

from probewright_packs.clothes_dryer.closings import HEATS, TURNS, VENTED, WIRED
from probewright_packs.clothes_dryer.options_and_states import LINT_BURNS, TIMER
from probewright_packs.common.cautions import SHARP_EDGES
from probewright_packs.common.repairs import repair

_NO_BRIDGE = "Never bridge a door switch, a belt switch or a fuse, not even for a trial."
_BELT_RUN = (
    "Lead the belt around drum, idler and motor pulley as the sheet shows, and turn the drum by hand through a whole "
    "turn before power is restored."
)


_SWITCHES = (
    repair(
        "replace_door_switch", "Replace the door switch", {"door_switch_open": 0.97}, minutes=10.0,
        zones=("cabinet",), part="door_switch", shown=(*TURNS, "everything_works"),
        steps=("Fit a switch of the same rating, and see that the door's strike reaches it.",),
        cautions=(_NO_BRIDGE,),
    ),
    repair(
        "replace_belt_switch", "Replace the belt switch", {"belt_switch_open": 0.97}, minutes=12.0,
        zones=("cabinet",), part="belt_switch", shown=(*TURNS, "everything_works"),
        steps=("Fit a switch of the same kind, and see that a tight belt closes it and a missing one opens it.",
               _BELT_RUN),
        cautions=(_NO_BRIDGE,),
    ),
    repair(
        "replace_start_switch", "Replace the start switch", {"start_switch_open": 0.97}, minutes=10.0,
        zones=("console",), part="start_switch", shown=(*TURNS, "everything_works"), when=TIMER,
        steps=("Note which wire sits where, and fit a switch of the same rating.",),
    ),
)  # fmt: skip

_FUSE_STEPS = (
    "Fit a fuse of the same rating, flat on the blower housing.",
    "A fuse blows by heat: find out what made the air hot or slow before it is powered again.",
)
_FUSE = (
    repair(
        "replace_thermal_fuse", "Replace the thermal fuse on the blower housing",
        {"thermal_fuse_open": 0.96, "thermal_fuse_blown_by_vent": 0.05}, minutes=8.0, zones=("cabinet",),
        part="thermal_fuse", shown=(*TURNS, *VENTED, "outlet_temperature_right"), steps=_FUSE_STEPS,
        cautions=(_NO_BRIDGE,),
    ),
    repair(
        "clear_vent_and_replace_thermal_fuse", "Clear the vent, then replace the thermal fuse",
        {"thermal_fuse_blown_by_vent": 0.95, "thermal_fuse_open": 0.96, "vent_blocked": 0.8}, minutes=40.0,
        zones=("cabinet", "vent"), part="thermal_fuse",
        shown=(*TURNS, *VENTED, "outlet_temperature_right", "room_air_clean"),
        steps=("Clear the vent first, from the dryer to the hood; replace what is crushed, of plastic or of thin foil "
               "with smooth metal duct.", *_FUSE_STEPS),
        cautions=(_NO_BRIDGE, LINT_BURNS),
    ),
)  # fmt: skip

_BELT = (
    repair(
        "replace_belt", "Replace the drum belt", {"belt_broken": 0.97}, minutes=15.0, zones=("cabinet",),
        part="belt", shown=TURNS,
        steps=("Look why it broke: a seized roller, idler or drum breaks the next one, too.", _BELT_RUN),
        cautions=(SHARP_EDGES,),
    ),
    repair(
        "replace_belt_and_free_switch", "Replace the drum belt, and take the bridge off the belt switch",
        {"belt_broken_switch_bridged": 0.95, "belt_broken": 0.97}, minutes=25.0, zones=("cabinet",), part="belt",
        shown=(*TURNS, "cold_at_rest", "no_leak_to_chassis", "ground_continuous"),
        steps=("Take the bridge off, put the switch's own wires back, and see that a missing belt opens it; a bad "
               "switch is replaced.", _BELT_RUN),
        cautions=(_NO_BRIDGE,),
    ),
)  # fmt: skip

_MOTOR_FAULTS = (
    "motor_main_open", "motor_start_open", "motor_start_contact_open", "motor_bearings_seized",
    "motor_heater_contact_open", "motor_heater_contact_welded",
)  # fmt: skip
_TURNING = (
    repair(
        "replace_motor", "Replace the drive motor", dict.fromkeys(_MOTOR_FAULTS, 0.97), minutes=45.0,
        zones=("cabinet",), part="motor", shown=(*WIRED, "motor_runs_free", *TURNS, *HEATS),
        steps=("See first that drum, blower and rollers turn by hand without the motor.",
               "Note which wire sits where on the motor's switch, and move pulley and blower wheel over.",
               "Clear all lint out of the base.", _BELT_RUN),
        cautions=(SHARP_EDGES, "A motor is heavy and its clamps spring: keep fingers clear."),
    ),
    repair(
        "free_blower", "Free the blower wheel", {"blower_jammed": 0.92}, minutes=18.0, zones=("cabinet",),
        shown=("motor_runs_free", *TURNS, "vent_free"),
        steps=("Take out what lies in the housing, and look how it got past the lint screen.",
               "See that wheel and shaft turn freely, and that no blade is missing.", _BELT_RUN),
        cautions=(SHARP_EDGES,),
    ),
    repair(
        "replace_blower_wheel", "Replace the blower wheel", {"blower_wheel_loose": 0.96, "blower_jammed": 0.9},
        minutes=28.0, zones=("cabinet",), part="blower_wheel",
        shown=(*TURNS, "vent_free", "outlet_temperature_right"),
        steps=("Mind the thread: many wheels unscrew the other way round.",
               "Fit the wheel firmly on its shaft, and see that it runs clear of the housing."),
        cautions=(SHARP_EDGES,),
    ),
    repair(
        "replace_drum_rollers", "Replace drum rollers and idler", {"drum_rollers_worn": 0.95, "drum_jammed": 0.85},
        minutes=35.0, zones=("cabinet",), part="drum_rollers", shown=TURNS,
        steps=("Replace all rollers and the idler together, clean their shafts, and oil nothing that the sheet does "
               "not name.", "Take out what lies between drum and cabinet.", _BELT_RUN),
        cautions=(SHARP_EDGES,),
    ),
    repair(
        "free_drum", "Take out what jams the drum", {"drum_jammed": 0.45}, minutes=12.0, zones=("cabinet",),
        shown=TURNS,
        steps=("Look between drum, seals and cabinet for clothes, coins and wire.", _BELT_RUN),
        cautions=(SHARP_EDGES,),
    ),
    repair(
        "replace_drum_seal", "Replace the seal of the drum", {"drum_seal_worn": 0.95}, minutes=40.0,
        zones=("cabinet",), part="drum_seal", shown=(*TURNS, "lint_cleared"),
        steps=("Take the old felt and its glue off, and glue the new one with adhesive made for the heat.",
               "Let it set before the drum turns.", _BELT_RUN),
        cautions=(SHARP_EDGES,),
    ),
)  # fmt: skip

DRIVE_REPAIRS = (*_SWITCHES, *_FUSE, *_BELT, *_TURNING)
