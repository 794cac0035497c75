"""Tests of the control, the sensor, the oven's temperature and its door, and of the wiring."""

from __future__ import annotations

from probewright.packs import Between, Stated, Test, from_memory, normal
from probewright_packs.common.cautions import HOT_PARTS, LIVE_PARTS
from probewright_packs.common.numbers import NOTHING, around, evenly
from probewright_packs.common.oven import OVEN_DEVIATION, oven_sensor_tests
from probewright_packs.common.supply import LINE_VOLTAGE, wiring_condition
from probewright_packs.common.tables import alike, row, seen
from probewright_packs.common.two_legs_tests import leg_tests
from probewright_packs.electric_range.functions import SENSOR_ERROR, board_powered
from probewright_packs.electric_range.heaters import SLOW, heats
from probewright_packs.electric_range.options_and_states import (
    BAKE,
    HEAVY,
    HOT_GLASS,
    IN_USE,
    ISOLATED,
    POWERED,
    TWO_LEGS_LIVE,
)

_BURNT_BLOCK = ("block_leg_one_burnt", "block_leg_two_burnt", "block_neutral_burnt")


def _temperature() -> Test:
    by_fault = {
        "oven_sensor_drifted": around(-15.0, 25.0),
        "oven_sensor_leaks_to_chassis": around(10.0, 35.0),
        "board_offset_wrong": evenly(-40.0, 40.0),
        "oven_door_leaks": around(-15.0, 10.0),
        "oven_vent_covered": around(8.0, 15.0),
        "bake_element_open": around(-30.0, 25.0),
        "bake_relay_welded": around(60.0, 30.0),
        "broil_relay_welded": around(70.0, 30.0),
        "bake_element_touches_case": around(35.0, 25.0),
        "broil_element_touches_case": around(35.0, 25.0),
    }
    return Test(
        "oven_temperature", "Temperature in the oven, averaged over cycles", "temperature", (IN_USE,), "outside",
        from_memory(30.0), (Stated(normal(NOTHING, OVEN_DEVIATION), by_fault, "set_point"),), unit="degC",
        command=BAKE, needs=("set_point",), instrument="thermometer",
        steps=("Hang the probe at the centre of the oven on one rack, clear of metal, and close the door on its lead.",
               "Set the oven and let it settle for several cycles of its element.",
               "Average the highest and the lowest of three cycles or more; give them as repeated values."),
        cautions=(HOT_PARTS,),
    )  # fmt: skip


def _supply_at_board() -> Test:
    return Test(
        "board_supply_voltage", "Supply voltage at the control board", "voltage", (POWERED,), "control_panel",
        from_memory(4.0), (Between("board", "board_hot", "neutral"),), unit="V", limits=(LINE_VOLTAGE,),
        instrument="multimeter", steps=("Read between the board's line and neutral terminals.",),
        cautions=(LIVE_PARTS, TWO_LEGS_LIVE),
    )  # fmt: skip


def _block() -> Test:
    return seen(
        "terminal_block_condition", "Condition of the terminal block and the cord's ends", ("sound", "scorched"),
        (0.001,), alike(_BURNT_BLOCK, 0.9), state=ISOLATED, zone="rear_panel", minutes=2.0,
        steps=("Look at each terminal, and at the ends of the cord, for browning, melted plastic and loose screws.",
               "Try each screw for tightness, with the breaker off."),
        cautions=(TWO_LEGS_LIVE, HEAVY),
    )


def _leg_under_load(leg: str) -> Test:
    """Tells which terminal drops the volts.  A dead leg two reads whole here, fed back through the element."""
    return Test(
        f"leg_{leg}_to_chassis_under_load", f"Voltage from leg {leg} to the chassis while it bakes", "voltage",
        (POWERED,), "rear_panel", from_memory(3.0), (Between("oven", f"leg_{leg}", "chassis"),), unit="V",
        command=BAKE, limits=(LINE_VOLTAGE,), instrument="multimeter",
        steps=(f"Clip behind the terminal block, from leg {leg} to bare metal of the chassis.",
               "Set the oven to bake, and read.",
               "Give it together with the reading from leg to leg: a dead leg is fed back through the element and "
               "reads whole, and then nothing stands between the legs."),
        cautions=(LIVE_PARTS, TWO_LEGS_LIVE),
    )  # fmt: skip


CONTROL_TESTS = (
    *leg_tests(POWERED, "rear_panel", circuit="oven", command=BAKE),
    _leg_under_load("one"),
    _leg_under_load("two"),
    *oven_sensor_tests(ISOLATED, "rear_panel", "control_panel"),
    _temperature(),
    _supply_at_board(),
    seen(
        "display_lit", "Display of the range", ("lit", "dark", "flickers"), (0.001, 0.003),
        {"board_dead": (0.93, 0.02), "service_neutral_open": (0.25, 0.45), "block_neutral_burnt": (0.0, 0.3),
         "block_leg_one_burnt": (0.0, 0.1)},
        state=IN_USE, zone="outside", minutes=1.0, without=((board_powered(IN_USE), "dark"),),
        steps=("Look whether the display is lit, dark, or flickers or changes its brightness.",),
    ),
    seen(
        "control_lock", "Lock or demonstration mode of the control", ("off", "on"), (0.002,),
        {"control_locked": (0.97,), "latch_switch_wrong": (0.3,)}, state=IN_USE, zone="outside", minutes=1.0,
        without=((board_powered(IN_USE), "off"),),
        steps=("Look for a lock sign or a demonstration sign in the display, and try a key.",),
    ),
    seen(
        "display_error", "Error that the display shows while bake is called for",
        ("none", "sensor_error", "door_error"), (0.002, 0.002),
        {**{fault: (chance, 0.005) for fault, chance in SENSOR_ERROR.items()},
         "latch_switch_wrong": (0.005, 0.8), "latch_jammed": (0.002, 0.5), "latch_motor_open": (0.002, 0.3)},
        state=IN_USE, zone="outside", minutes=2.0, command=BAKE, without=((board_powered(IN_USE), "none"),),
        steps=("Call for bake, and look for an error in the display; find its meaning in the maker's sheet.",
               "Set the oven to off."),
        cautions=(HOT_PARTS,),
    ),
    seen(
        "oven_door_seal", "Seal of the oven door", ("sound", "gapped"), (0.05,), {"oven_door_leaks": (0.9,)},
        state=ISOLATED, zone="outside", minutes=2.0,
        steps=("Look along the gasket and the closed door for gaps, tears and worn hinges.",),
    ),
    seen(
        "oven_vent_and_floor", "Vent and floor of the oven", ("clear", "covered"), (0.04,),
        {"oven_vent_covered": (0.97,)}, state=ISOLATED, zone="outside", minutes=1.0,
        steps=("Look for foil and liners on the floor of the oven, and for what covers its vent.",),
    ),
    wiring_condition(ISOLATED, "rear_panel", {
        "bake_connection_burnt": row(("sound", "scorched", "wet"), 0.55, 0.0),
        "broil_connection_burnt": row(("sound", "scorched", "wet"), 0.55, 0.0),
    }),
    _block(),
    seen(
        "oven_heat_up", "Time that the oven takes to get hot", ("usual", "long"), (0.03,),
        {"oven_door_leaks": (0.25,), "oven_vent_covered": (0.15,), "broil_element_open": (0.35,),
         "broil_relay_open": (0.35,), "broil_harness_open": (0.35,)},
        state=IN_USE, zone="outside", minutes=12.0, command=BAKE,
        without=((heats(BAKE, SLOW), "long"),),
        steps=("Set the cold oven to 180 degC (350 degF), and take the time until it says that it is hot; compare "
               "with the maker's sheet, or with fifteen minutes.",),
        cautions=(HOT_PARTS, HOT_GLASS),
    ),
)  # fmt: skip
