"""Traps 5, 6 and 11: the oven's sensor, its temperature, its harness, and two faults at once."""

from __future__ import annotations

import pytest

from probewright_schemas.records import Meter

OFF = ["oven_temperature_off"]
ERROR = ["sensor_error_shown"]


def test_trap_05_a_sensor_without_its_temperature_tells_nothing_and_asks(bench):
    without = bench.diagnose(OFF)
    answer = bench.diagnose(OFF, bench.read("oven_sensor_resistance", 1150.0))
    reading = answer.reading("oven_sensor_resistance")
    assert reading.verdict == "inconclusive"
    (asked,) = (f for f in reading.findings if f.code == "condition_missing")
    assert asked.remedy is not None
    assert "temperature" in asked.remedy
    assert abs(answer.said("oven_sensor_drifted", "oven_sensor_resistance")) < 3.0
    assert answer.chance("oven_sensor_drifted") < 1.2 * without.chance("oven_sensor_drifted")


@pytest.mark.parametrize("working", [(), ("bake_lights", "display_on")])
def test_trap_05_the_reading_is_taken_again_with_its_temperature(bench, working):
    answer = bench.diagnose(OFF, bench.read("oven_sensor_resistance", 1150.0), working=working)
    assert answer.next.id == "oven_sensor_resistance"
    assert "conditions.ambient" in answer.next.why
    assert any("temperature at the sensor" in step for step in answer.next.steps)


def test_trap_05_the_answer_says_what_temperature_the_reading_would_mean(bench):
    """IEC 60751: a Pt1000 reads 1150 ohm at 38.6 degC."""
    answer = bench.diagnose(OFF, bench.read("oven_sensor_resistance", 1150.0))
    (told,) = (f for f in answer.reading("oven_sensor_resistance").findings if f.code == "sensor_as_thermometer")
    assert "39 degC" in told.message


@pytest.mark.parametrize(
    ("degrees", "unit", "verdict", "drifted"),
    [(70.0, "degF", "outside", True), (38.6, "degC", "within", False), (101.5, "degF", "within", False)],
)
def test_trap_05_turns_with_the_temperature(bench, degrees, unit, verdict, drifted):
    meters = {"dmm": Meter("multimeter", percent_of_reading=0.5, counts=2)}
    read = bench.read("oven_sensor_resistance", 1150.0, meter="dmm", conditions=bench.at(degrees, unit))
    answer = bench.diagnose(OFF, read, meters=meters)
    assert answer.reading("oven_sensor_resistance").verdict == verdict
    assert (answer.first == "oven_sensor_drifted") is drifted
    assert (answer.next.id == "replace_oven_sensor") is drifted


@pytest.mark.parametrize("curve", ["iec_60751", "trade_3750", None])
def test_trap_05_a_common_sensor_reads_1080_ohm_at_70_degrees_on_either_curve(bench, curve):
    answer = bench.diagnose(
        OFF, bench.read("oven_sensor_resistance", 1080.0), options=bench.build(sensor_curve=curve),
        conditions=bench.at(70.0),
    )  # fmt: skip
    assert answer.reading("oven_sensor_resistance").verdict == "within"
    assert answer.chance("oven_sensor_drifted") < 0.05


def test_trap_06_open_at_the_board_but_sound_at_the_sensor_is_the_harness(bench):
    answer = bench.diagnose(
        ERROR,
        bench.over("oven_sensor_resistance_at_board"),
        bench.read("oven_sensor_resistance", 1080.0),
        conditions=bench.at(70.0),
    )
    assert answer.first == "oven_sensor_harness_open"
    assert answer.chance("oven_sensor_harness_open") > 0.95
    assert answer.chance("oven_sensor_open") < 0.01
    assert answer.next.id == "repair_oven_sensor_harness"


def test_trap_06_open_in_both_places_is_the_sensor(bench):
    answer = bench.diagnose(
        ERROR, bench.over("oven_sensor_resistance_at_board"), bench.over("oven_sensor_resistance"),
        conditions=bench.at(70.0),
    )  # fmt: skip
    assert answer.first == "oven_sensor_open"
    assert answer.chance("oven_sensor_open") > 0.9
    assert answer.chance("oven_sensor_harness_open") < 0.05
    assert answer.next.id == "replace_oven_sensor"


def test_trap_06_open_at_the_board_alone_sends_to_the_sensor(bench):
    answer = bench.diagnose(ERROR, bench.over("oven_sensor_resistance_at_board"), conditions=bench.at(70.0))
    assert answer.chance("oven_sensor_open") + answer.chance("oven_sensor_harness_open") > 0.9
    assert answer.next.id == "oven_sensor_resistance"


def test_trap_06_sound_in_both_places_is_the_board(bench):
    answer = bench.diagnose(
        ERROR, bench.read("oven_sensor_resistance_at_board", 1081.0), bench.read("oven_sensor_resistance", 1080.0),
        bench.over("oven_sensor_to_chassis"), conditions=bench.at(70.0),
    )  # fmt: skip
    assert answer.first == "board_sensor_input_failed"


def test_a_leak_to_the_chassis_is_told_from_a_drifted_sensor(bench):
    answer = bench.diagnose(
        OFF, bench.read("oven_sensor_to_chassis", 20.0, "kohm"), bench.read("oven_sensor_resistance", 1080.0),
        conditions=bench.at(70.0),
    )  # fmt: skip
    assert answer.first == "oven_sensor_leaks_to_chassis"
    assert answer.reading("oven_sensor_to_chassis").verdict == "outside"


def test_trap_11_two_faults_at_once_are_found_as_two(bench):
    answer = bench.diagnose(
        ["bake_does_not_light", *OFF],
        bench.read("bake_igniter_current", 2.6),
        bench.read("oven_sensor_resistance", 1150.0),
        conditions=bench.at(70.0),
    )
    assert {fault.fault for fault in answer.diagnosis.faults[:2]} == {"bake_igniter_weak", "oven_sensor_drifted"}
    assert answer.chance("bake_igniter_weak") > 0.9
    assert answer.chance("oven_sensor_drifted") > 0.9
    assert {"bake_igniter", "oven_sensor"} <= {part.part for part in answer.diagnosis.parts}
    assert answer.next.id in ("replace_bake_igniter", "replace_oven_sensor")


@pytest.mark.parametrize(
    ("amperes", "ohms", "found", "cleared"),
    [
        (2.6, 1081.0, "bake_igniter_weak", "oven_sensor_drifted"),
        (3.4, 1150.0, "oven_sensor_drifted", "bake_igniter_weak"),
    ],
)
def test_trap_11_turns_with_either_reading(bench, amperes, ohms, found, cleared):
    answer = bench.diagnose(
        ["bake_does_not_light", *OFF],
        bench.read("bake_igniter_current", amperes),
        bench.read("oven_sensor_resistance", ohms),
        conditions=bench.at(70.0),
    )
    assert answer.chance(found) > 0.9
    assert answer.chance(cleared) < 0.1


def test_a_resistance_taken_under_power_is_rejected_with_the_reason(bench):
    answer = bench.diagnose(OFF, bench.read("oven_sensor_resistance", 1150.0, state="live", conditions=bench.at(70.0)))
    reading = answer.reading("oven_sensor_resistance")
    assert reading.verdict == "rejected"
    assert answer.codes("oven_sensor_resistance") == {"wrong_state"}
    assert answer.chance("oven_sensor_drifted") < 0.5
