"""Locks, latches, sensors, offsets: boards and elements that are blamed for what holds them back."""

from __future__ import annotations

import pytest

from probewright_schemas.records import Conditions, Quantity, Reading

BAKE = ["bake_does_not_heat"]
BOTH = ["bake_does_not_heat", "broil_does_not_heat"]
OFF = ["oven_temperature_off"]
ROOM = Conditions(ambient=Quantity(70.0, "degF"))
BAKING = Conditions(ambient=Quantity(70.0, "degF"), set_point=Quantity(350.0, "degF"))
ALIVE = {"working": ["display_on"]}


def cycles(*degrees: float) -> Reading:
    return Reading("oven_temperature", values=degrees, unit="degF")


def test_trap_24_a_locked_control_takes_no_part(bench):
    answer = bench.diagnose(BAKE, bench.see("control_lock", "on"), **ALIVE)
    assert answer.first == "control_locked"
    assert answer.remedy == "unlock_control"
    assert not answer.fits_a_part
    told = bench.diagnose(BAKE, bench.see("control_lock", "on"), bench.see("display_error", "none"), **ALIVE)
    assert told.chance("control_locked") > 0.75
    assert told.next.id == "unlock_control"


def test_trap_25_a_latch_that_tells_a_wrong_position_keeps_the_oven_off(bench):
    door = bench.diagnose(BOTH, bench.see("display_error", "door_error"), bench.see("control_lock", "off"), **ALIVE)
    assert door.chance("latch_switch_wrong") > 0.85
    assert door.chance("bake_relay_open") < 0.03
    assert "replace_control_board" not in door.proposed
    read = bench.diagnose(
        BOTH, bench.see("display_error", "door_error"), bench.see("latch_switch_response", "does_not_follow"), **ALIVE
    )
    assert read.chance("latch_switch_wrong") > 0.97
    assert read.next.id == "replace_door_latch"
    assert any("breaker off" in step for step in read.next.steps)


def test_trap_25_a_latch_motor_that_is_fed_is_no_boards_fault(bench):
    fed = bench.diagnose(["door_does_not_unlock"], bench.read("latch_motor_voltage", 120.0))
    unfed = bench.diagnose(["door_does_not_unlock"], bench.read("latch_motor_voltage", 0.0))
    latch = ("latch_switch_wrong", "latch_jammed", "latch_motor_open")
    assert sum(fed.chance(fault) for fault in latch) > 0.75
    assert "replace_control_board" not in fed.proposed
    assert sum(unfed.chance(fault) for fault in latch) < 0.1
    assert "replace_door_latch" not in unfed.proposed


def test_trap_25_a_door_that_stays_locked_asks_whether_the_control_is_alive(bench):
    answer = bench.diagnose(["door_does_not_unlock"], **ALIVE)
    dark = bench.diagnose(["door_does_not_unlock", "display_dead"])
    assert answer.chance("board_dead") < 0.08
    assert dark.chance("board_dead") + dark.chance("leg_one_dead") + dark.chance("both_legs_dead") > 0.6
    assert "replace_door_latch" not in dark.proposed


def test_trap_26_a_sensor_error_is_first_read_and_not_replaced(bench):
    answer = bench.diagnose(["sensor_error_shown", *BAKE], **ALIVE)
    assert answer.first == "oven_sensor_open"
    assert answer.next.kind == "test"
    assert answer.next.id in ("oven_sensor_resistance", "oven_sensor_resistance_at_board")


def test_trap_26_a_sensor_that_is_right_at_its_plug_and_open_at_the_board(bench):
    answer = bench.diagnose(
        ["sensor_error_shown"], bench.read("oven_sensor_resistance", 1082.0),
        bench.over("oven_sensor_resistance_at_board"), conditions=ROOM,
    )  # fmt: skip
    assert answer.chance("oven_sensor_harness_open") > 0.93
    assert answer.chance("oven_sensor_open") < 0.02
    assert answer.next.id == "repair_oven_sensor_harness"


def test_trap_26_right_at_the_boards_plug_leaves_the_board(bench):
    answer = bench.diagnose(
        ["sensor_error_shown", *BAKE], bench.read("oven_sensor_resistance_at_board", 1082.5),
        bench.read("oven_sensor_to_chassis", 5e8), bench.see("display_error", "sensor_error"), conditions=ROOM, **ALIVE,
    )  # fmt: skip
    assert answer.first == "board_sensor_input_failed"
    assert answer.chance("board_sensor_input_failed") > 0.85
    assert "replace_oven_sensor" not in answer.proposed


@pytest.mark.parametrize(("ohms", "drifted"), [(1082.0, False), (1150.0, True), (1020.0, True)])
def test_trap_27_a_drifted_sensor_is_told_at_a_known_temperature(bench, ohms, drifted):
    """IEC 60751 gives 1082.3 ohm at 70 degF; without the temperature the reading says next to nothing."""
    told = bench.diagnose(OFF, bench.read("oven_sensor_resistance", ohms), conditions=ROOM)
    assert (told.chance("oven_sensor_drifted") > 0.9) is drifted
    blind = bench.diagnose(OFF, bench.read("oven_sensor_resistance", ohms))
    assert blind.chance("oven_sensor_drifted") < 0.6
    assert "sensor_as_thermometer" in blind.codes("oven_sensor_resistance")


def test_trap_28_a_sound_sensor_and_an_oven_that_is_steadily_off_is_the_offset(bench):
    """Element, door and sensor are right, and the average is 35 degF low: a setting, not a part."""
    answer = bench.diagnose(
        OFF, bench.read("oven_sensor_resistance", 1082.0), cycles(310.0, 318.0, 316.0),
        bench.see("bake_glow", "glows"), bench.see("oven_door_seal", "sound"), conditions=BAKING,
    )  # fmt: skip
    assert answer.first == "board_offset_wrong"
    assert answer.remedy == "adjust_temperature_offset"
    assert not answer.fits_a_part
    assert answer.chance("oven_sensor_drifted") < 0.1


def test_trap_28_one_look_at_an_oven_that_swings_is_no_average(bench):
    once = bench.diagnose(OFF, bench.read("oven_temperature", 325.0, "degF"), conditions=BAKING)
    assert "average_over_cycles" in once.codes("oven_temperature")
    averaged = bench.diagnose(OFF, cycles(340.0, 352.0, 349.0), conditions=BAKING)
    assert averaged.chance("board_offset_wrong") < bench.diagnose(OFF).chance("board_offset_wrong")


def test_trap_29_an_oven_far_too_hot_has_a_relay_that_stays_closed(bench):
    answer = bench.diagnose(OFF, cycles(470.0, 485.0, 478.0), conditions=BAKING)
    hot = ("bake_relay_welded", "broil_relay_welded", "bake_element_touches_case", "broil_element_touches_case")
    assert sum(answer.chance(fault) for fault in hot) > 0.8
    assert answer.chance("oven_sensor_drifted") < 0.1
    assert answer.next.kind == "test"


def test_trap_30_foil_on_the_floor_and_a_torn_gasket_are_seen_before_a_part_is_sold(bench):
    shared = (bench.see("bake_glow", "glows"), bench.read("oven_sensor_resistance", 1082.0))
    foil = bench.diagnose(OFF, *shared, bench.see("oven_vent_and_floor", "covered"), conditions=ROOM)
    door = bench.diagnose(OFF, *shared, bench.see("oven_door_seal", "gapped"), conditions=ROOM)
    assert foil.chance("oven_vent_covered") > 0.35
    assert "clear_oven_vent" in foil.proposed
    assert door.first == "oven_door_leaks"
    assert door.chance("oven_door_leaks") > 0.6
    assert "replace_door_gasket" in door.proposed
