"""Repairs of the oven: elements and their wiring, limit, sensor, door and its latch, and the control."""

from __future__ import annotations

from probewright.packs import Repair, When
from probewright_packs.common.cautions import HOT_PARTS
from probewright_packs.common.repairs import repair
from probewright_packs.electric_range.closings import OVEN_HEATS, SETTLED, WIRED, element
from probewright_packs.electric_range.options_and_states import IN_USE, TWO_LEGS_LIVE
from probewright_packs.electric_range.tests_oven import REACHED
from probewright_packs.electric_range.wiring import ELEMENTS

_HOT_WIRE = "Use wire, terminals and connectors made for the temperature of an oven."
_AS_IT_RAN = "Cut back to sound copper, renew the terminals, and lead the wire as it ran, clear of edges and heat."


def _replaced(prefix: str, name: str, zone: str, when: When) -> Repair:
    hidden = prefix.startswith("hidden")
    way = ("Reach it from below or behind, as the maker's sheet shows, and put all insulation back as it lay.",)
    return repair(
        f"replace_{prefix}", f"Replace the {prefix.replace('_', ' ')}",
        {f"{name}_element_open": 0.98, f"{name}_element_touches_case": 0.97}, minutes=35.0 if hidden else 15.0,
        zones=(zone,), part=f"{name}_element", shown=element(name), when=when,
        steps=("Prove both its ends dead against the chassis and against each other before they are touched.",
               *(way if hidden else ()),
               "Fit an element of the same power and shape; do not let the wires slip back behind the wall.",
               "Renew a browned connector together with the element: it would burn the new one."),
        cautions=(TWO_LEGS_LIVE, HOT_PARTS),
    )  # fmt: skip


def _element(name: str) -> tuple[Repair, ...]:
    return (
        *(_replaced(*reached) for reached in REACHED if reached[1] == name),
        repair(
            f"repair_{name}_wiring", f"Repair the wiring of the {name} element",
            {f"{name}_connection_burnt": 0.95, f"{name}_harness_open": 0.95}, minutes=20.0, zones=("rear_panel",),
            part=f"{name}_harness", shown=(*WIRED, *element(name)),
            steps=("Find what has burnt or broken between the board and the element.", _AS_IT_RAN, _HOT_WIRE),
            cautions=(TWO_LEGS_LIVE, HOT_PARTS),
        ),
    )  # fmt: skip


_LIMIT = repair(
    "replace_oven_limit", "Replace the thermal limit of the oven", {"oven_limit_open": 0.96}, minutes=12.0,
    zones=("rear_panel",), part="oven_limit",
    shown=("bake_current_right", "broil_current_right", "cold_at_off", *SETTLED),
    steps=("Find out first what made the oven too hot: a relay that has welded, a sensor, a vent that is covered.",
           "Fit a limit of the same temperature at the same place."),
    cautions=("Never bridge a limit.",),
)  # fmt: skip

_SENSOR = (
    repair(
        "replace_oven_sensor", "Replace the oven sensor",
        {"oven_sensor_open": 0.98, "oven_sensor_shorted": 0.97, "oven_sensor_drifted": 0.97,
         "oven_sensor_leaks_to_chassis": 0.85},
        minutes=15.0, zones=("rear_panel",), part="oven_sensor",
        shown=("sensor_reads_right", "sensor_insulated", "no_error_shown", *SETTLED),
        steps=("Let the oven cool, and fit a sensor of the same curve.",
               "Do not let the plug drop behind the insulation."),
        cautions=(HOT_PARTS,),
    ),
    repair(
        "repair_oven_sensor_harness", "Repair the harness of the oven sensor", {"oven_sensor_harness_open": 0.96},
        minutes=20.0, zones=("rear_panel",), part="sensor_harness",
        shown=("sensor_reads_right", "sensor_insulated", *WIRED, "no_error_shown", *SETTLED),
        steps=("Find the break between the sensor's plug and the board's.", _HOT_WIRE),
    ),
    repair(
        "adjust_temperature_offset", "Adjust the temperature offset of the control",
        {"board_offset_wrong": 0.92, "oven_sensor_drifted": 0.15}, minutes=32.0, zones=("outside",), state=IN_USE,
        shown=SETTLED,
        steps=("Set the offset by the maker's sheet, by the difference that was measured over settled cycles.",
               "Write the old and the new offset down for the customer."),
        cautions=(HOT_PARTS,),
    ),
)  # fmt: skip

_DOOR = (
    repair(
        "replace_door_gasket", "Replace the gasket of the oven door", {"oven_door_leaks": 0.9}, minutes=15.0,
        zones=("oven_cavity",), part="door_gasket", shown=SETTLED,
        steps=("Fit the gasket as the old one lay, and set the hinges so that the door closes evenly.",),
        cautions=("Door hinges are spring-loaded and can cut or crush fingers: lock them before the door comes off.",),
    ),
    repair(
        "clear_oven_vent", "Clear the vent and the floor of the oven", {"oven_vent_covered": 0.97}, minutes=4.0,
        zones=("outside",), shown=SETTLED,
        steps=("Take out foil and liners, and clear the vent.",
               "Tell the customer why they must stay out: the oven overheats its floor, and heats unevenly."),
    ),
    repair(
        "replace_door_latch", "Replace the door latch with its motor and switches",
        {"latch_switch_wrong": 0.96, "latch_motor_open": 0.97, "latch_jammed": 0.93}, minutes=25.0,
        zones=("control_panel",), part="door_latch", shown=("door_locks", "no_error_shown", *OVEN_HEATS),
        steps=("Turn the cam of the old one by hand until the door is free, with the breaker off.",
               "Note which wire sits where; the switches look alike.",
               "See that hook and door meet before the panel is closed."),
        cautions=("Keep fingers out of the hook and its cam.",),
    ),
)  # fmt: skip

_CONTROL = (
    repair(
        "unlock_control", "Unlock the control", {"control_locked": 0.97}, minutes=2.0, zones=("outside",),
        state=IN_USE, shown=("control_unlocked", *OVEN_HEATS),
        steps=("Release the lock or leave the demonstration mode by the owner's book, and show the customer how.",),
    ),
    repair(
        "repair_board_wiring", "Repair the wiring that feeds the control board", {"board_wire_open": 0.95},
        minutes=15.0, zones=("control_panel",), part="board_wiring",
        shown=(*WIRED, "display_and_controls_work", *OVEN_HEATS),
        steps=("Find the break, the loose terminal or the blown fuse between the terminal block and the board; a "
               "fuse that has blown has a cause, which is found first.", _AS_IT_RAN),
    ),
    repair(
        "replace_control_board", "Replace the control board",
        {"board_dead": 0.97, "bake_relay_open": 0.97, "broil_relay_open": 0.97, "bake_relay_welded": 0.97,
         "broil_relay_welded": 0.97, "latch_relay_open": 0.97, "board_sensor_input_failed": 0.97,
         "board_offset_wrong": 0.7},
        minutes=30.0, zones=("control_panel",), part="control_board",
        shown=("board_options_set", "no_error_shown", "display_and_controls_work", "bake_current_right",
               "broil_current_right", "cold_at_off", "door_locks"),
        steps=("With its plugs off, read the resistance of what the board drives, and each element to the chassis: a "
               "short there welds the new relay, too.",
               "Touch bare metal of the chassis before you touch the board, and move the plugs one by one."),
        cautions=("A short in what the board drives will destroy the new board too.", TWO_LEGS_LIVE),
    ),
)  # fmt: skip

OVEN_REPAIRS = (*(of for name in ELEMENTS for of in _element(name)), _LIMIT, *_SENSOR, *_DOOR, *_CONTROL)
