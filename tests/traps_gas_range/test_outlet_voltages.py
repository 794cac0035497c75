"""Outlet voltages that no appliance works under: too little, next to nothing, and far too much."""

from __future__ import annotations

import pytest

from probewright.planning.interlocks import GUARD
from probewright_schemas.records import Meter

BAKE = ["bake_does_not_light"]
CONNECTIONS = ("supply_connection_bad", "neutral_connection_bad")


@pytest.mark.parametrize("volts", [5.0, 8.0, 12.0, 20.0, 40.0, 60.0, 75.0])
def test_a_voltage_between_dead_and_low_is_a_bad_connection(bench, volts):
    answer = bench.diagnose(BAKE, bench.read("outlet_voltage", volts))
    assert answer.first in CONNECTIONS
    assert sum(answer.chance(fault) for fault in CONNECTIONS) > 0.6
    assert answer.diagnosis.unexplained < 0.2
    assert answer.diagnosis.clashes == ()
    assert "repair_supply_connection" in answer.proposed
    assert answer.reading("outlet_voltage").verdict == "outside"


@pytest.mark.parametrize("volts", [12.0, 40.0, 75.0])
def test_a_bad_connection_is_handed_over_as_a_fire_hazard(bench, volts):
    # One more reading at the same outlet tells which wire it is; then it is handed over.
    answer = bench.diagnose(BAKE, bench.read("outlet_voltage", volts))
    assert answer.next.zone == "outside"
    loading = Meter("multimeter", input="low_impedance")
    answer = bench.diagnose(
        BAKE, bench.read("outlet_voltage", volts), bench.read("outlet_hot_to_ground", volts, meter="loading"),
        meters={"loading": loading},
    )  # fmt: skip
    assert answer.next.id == "repair_supply_connection"
    assert any("fire" in caution for caution in answer.next.cautions)
    assert any("electrician" in step for step in answer.next.steps)
    (repair,) = (r for r in bench.family.repairs if r.id == "repair_supply_connection")
    assert repair.skill == "electrical_licence"


@pytest.mark.parametrize("volts", [0.0, 1.0, 2.0])
def test_a_volt_or_two_is_a_dead_outlet(bench, volts):
    answer = bench.diagnose(BAKE, bench.read("outlet_voltage", volts))
    assert answer.first == "no_supply"
    assert answer.chance("no_supply") > 0.6


@pytest.mark.parametrize("volts", [88.0, 95.0, 104.0])
def test_a_voltage_that_is_merely_low_stays_a_low_supply(bench, volts):
    answer = bench.diagnose(BAKE, bench.read("outlet_voltage", volts))
    assert answer.first == "supply_voltage_low"
    assert answer.chance("supply_voltage_low") > 0.65
    assert sum(answer.chance(fault) for fault in CONNECTIONS) < 0.2


def test_the_side_of_a_bad_connection_shows_against_ground(bench):
    """60 V between hot and neutral, and the whole line from hot to ground: it is the neutral that drops it."""
    low = bench.read("outlet_voltage", 60.0)
    hot = bench.diagnose(BAKE, low, bench.read("outlet_hot_to_ground", 60.0))
    neutral = bench.diagnose(
        BAKE, low, bench.read("outlet_hot_to_ground", 119.0), bench.read("outlet_neutral_to_ground", 59.0)
    )  # fmt: skip
    assert hot.first == "supply_connection_bad"
    assert neutral.first == "neutral_connection_bad"
    assert neutral.chance("neutral_connection_bad") > 0.5
    assert neutral.diagnosis.clashes == ()


def test_a_dead_display_at_a_bad_connection_blames_no_board(bench):
    answer = bench.diagnose(["display_dead"], bench.read("outlet_voltage", 60.0))
    assert answer.first == "supply_connection_bad"
    assert answer.chance("board_dead") < 0.05


@pytest.mark.parametrize("test", ["outlet_voltage", "outlet_hot_to_ground"])
@pytest.mark.parametrize("volts", [135.0, 150.0, 208.0, 240.0])
@pytest.mark.parametrize("complaint", ["bake_does_not_light", "display_dead", "soot_or_yellow_flame"])
def test_far_too_much_voltage_ends_the_work_under_power(bench, test, volts, complaint):
    answer = bench.diagnose([complaint], bench.read(test, volts))
    assert (answer.next.kind, answer.next.id) == ("refer", "overvoltage")
    assert answer.diagnosis.alternatives == ()
    told = " ".join(answer.next.steps)
    for words in ("unplug", "other appliances", "electrician", "utility at once"):
        assert words in told
    assert answer.chance("supply_voltage_high") > 0.05


def test_too_much_voltage_is_named_by_the_outlets_two_readings(bench):
    answer = bench.diagnose(
        ["display_dead"], bench.read("outlet_voltage", 170.0), bench.read("outlet_hot_to_ground", 170.0)
    )  # fmt: skip
    assert answer.first == "supply_voltage_high"
    assert answer.chance("supply_voltage_high") > 0.5


@pytest.mark.parametrize("volts", [114.0, 120.0, 126.0, 127.0, 129.0])
def test_an_ordinary_voltage_stops_nothing(bench, volts):
    """129 V on an ordinary meter is 132 V with less than the guard's chance."""
    assert GUARD == 0.05
    answer = bench.diagnose(BAKE, bench.read("outlet_voltage", volts))
    assert answer.next.id != "overvoltage"
    assert answer.chance("supply_voltage_high") < 0.02


def test_a_later_reading_in_range_lets_the_work_go_on(bench):
    answer = bench.diagnose(BAKE, bench.read("outlet_voltage", 150.0), bench.read("outlet_voltage", 121.0))
    assert answer.next.id != "overvoltage"


@pytest.mark.parametrize("volts", [None, 100.0])
def test_a_gas_oven_that_needs_no_electricity_does_not_fail_for_want_of_it(bench, volts):
    build = bench.build(oven_ignition="standing_pilot", igniter_style=None, oven_control="mechanical",
                        sensor_curve=None, cooktop_ignition="standing_pilot")  # fmt: skip
    read = [] if volts is None else [bench.read("outlet_voltage", volts)]
    for complaint in ("bake_does_not_light", "oven_slow_to_light"):
        answer = bench.diagnose([complaint], *read, options=build)
        assert answer.chance("supply_voltage_low") == 0.0
        if volts is None:
            assert not [step for step in answer.proposed if step.startswith("outlet_")]
            assert answer.chance("supply_low_beside_pilot_oven") < 0.01
        else:  # found by its voltage, beside the fault that the oven has
            assert answer.chance("supply_low_beside_pilot_oven") > 0.5
            pilot = ("oven_pilot_safety_failed", "oven_pilot_out")
            assert sum(answer.chance(fault) for fault in pilot) > 0.35
