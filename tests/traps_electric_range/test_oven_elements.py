"""Bake and broil: where 240 V stands says whether it is the element, its wire, its relay or what holds the relay."""

from __future__ import annotations

import pytest

BAKE = ["bake_does_not_heat"]
BOTH = ["bake_does_not_heat", "broil_does_not_heat"]
HELD_BACK = ("oven_sensor_open", "latch_switch_wrong", "control_locked", "oven_sensor_harness_open")


def test_trap_8_the_whole_voltage_across_a_cold_element_is_the_element(bench):
    answer = bench.diagnose(BAKE, bench.read("bake_element_voltage", 240.0), working=["display_on"])
    assert answer.chance("bake_element_open") > 0.93
    assert answer.next.id == "replace_bake_element"
    assert answer.chance("bake_relay_open") < 0.01


def test_trap_8_none_there_and_all_of_it_across_the_relay_is_before_the_element(bench):
    """The relay, or what keeps the board from closing it: a sensor, a lock, a latch.  No board yet."""
    answer = bench.diagnose(
        BAKE, bench.read("bake_element_voltage", 0.0), bench.read("bake_relay_voltage", 240.0), working=["display_on"]
    )
    assert answer.chance("bake_element_open") < 0.06
    assert answer.chance("bake_relay_open") > 0.2
    assert sum(answer.chance(fault) for fault in HELD_BACK) > 0.5
    assert answer.next.kind == "test"
    assert "replace_control_board" not in answer.proposed
    assert "replace_bake_element" not in answer.proposed


def test_trap_8_a_broiler_that_heats_leaves_the_relay_of_bake_alone(bench):
    answer = bench.diagnose(
        BAKE, bench.read("bake_element_voltage", 0.0), bench.read("bake_relay_voltage", 240.0),
        bench.see("broil_glow", "glows"), working=["display_on"],
    )  # fmt: skip
    assert answer.chance("bake_relay_open") > 0.9
    assert answer.next.id == "replace_control_board"
    # Before a board is fitted, what it drives is proven to lead nowhere else.
    assert any("element to the chassis" in step for step in answer.next.steps)


def test_trap_9_a_closed_relay_clears_the_board(bench):
    answer = bench.diagnose(BAKE, bench.read("bake_relay_voltage", 0.2), working=["display_on", "broil_heats"])
    assert answer.chance("bake_relay_open") < 0.01
    assert answer.chance("bake_element_open") > 0.85
    assert "replace_control_board" not in answer.proposed


def test_trap_9_a_wire_between_relay_and_element(bench):
    answer = bench.diagnose(
        BAKE, bench.read("bake_relay_voltage", 0.2), bench.read("bake_element_voltage", 0.0),
        working=["display_on", "broil_heats"],
    )  # fmt: skip
    assert answer.chance("bake_harness_open") > 0.75
    assert answer.chance("bake_element_open") < 0.12
    assert answer.remedy == "repair_bake_wiring"


def test_trap_10_bake_dead_while_broil_works_is_no_supply_limit_or_lock(bench):
    answer = bench.diagnose(BAKE, working=["broil_heats", "display_on"])
    assert answer.first == "bake_element_open"
    shared = ("leg_two_dead", "oven_limit_open", "control_locked", "oven_sensor_open", "latch_switch_wrong")
    assert all(answer.chance(fault) < 0.01 for fault in shared)
    # Something that takes no tool comes first, and a look at the element is worth as much as its ohms.
    assert (answer.next.kind, answer.next.zone) == ("test", "outside")
    assert {"bake_element_condition", "bake_element_resistance"} <= set(answer.proposed)


def test_trap_10_both_dead_are_not_two_elements(bench):
    answer = bench.diagnose(BOTH, working=["display_on", "other_units_heat"])
    assert answer.chance("bake_element_open") < 0.15
    assert "replace_bake_element" not in answer.proposed
    shared = ("oven_limit_open", *HELD_BACK)
    assert sum(answer.chance(fault) for fault in shared) > 0.6


def test_trap_11_an_element_that_looks_whole_can_be_open(bench):
    seen = bench.diagnose(BAKE, bench.see("bake_element_condition", "whole"), working=["display_on", "broil_heats"])
    assert "whole_is_no_proof" in seen.codes("bake_element_condition")
    assert seen.chance("bake_element_open") > 0.3
    assert seen.next.kind == "test"
    read = bench.diagnose(
        BAKE, bench.see("bake_element_condition", "whole"), bench.over("bake_element_resistance"),
        working=["display_on", "broil_heats"],
    )  # fmt: skip
    assert read.chance("bake_element_open") > 0.98
    assert read.next.id == "replace_bake_element"


def test_trap_12_an_element_with_the_right_ohms_can_lead_to_the_chassis(bench):
    """It heats with the oven off, on 120 V: the board and its relay are sound."""
    ohms = bench.read("bake_element_resistance", 22.2)
    alone = bench.diagnose(["oven_heats_when_off"], ohms)
    assert "silent_about_the_case" in alone.codes("bake_element_resistance")
    assert alone.chance("bake_element_touches_case") > 0.15
    assert not alone.fits_a_part
    chassis = bench.diagnose(["oven_heats_when_off"], ohms, bench.read("bake_element_to_chassis", 30.0))
    assert chassis.chance("bake_element_touches_case") > 0.9
    assert chassis.chance("bake_relay_welded") < 0.03
    assert chassis.next.id == "replace_bake_element"


@pytest.mark.parametrize("ohms", [1.0, 4.0, 30.0, 250.0])
def test_trap_12_a_breaker_that_trips_asks_for_the_insulation(bench, ohms):
    """Wherever along the element it touches."""
    before = bench.diagnose(["breaker_trips"])
    assert before.next.id in ("bake_element_to_chassis", "oven_insulation_at_plug")
    answer = bench.diagnose(["breaker_trips"], bench.read("bake_element_to_chassis", ohms))
    assert answer.first == "bake_element_touches_case"
    assert answer.chance("bake_element_touches_case") > 0.7
    assert answer.reading("bake_element_to_chassis").verdict == "outside"


def test_trap_13_a_welded_relay_heats_when_off_with_the_whole_current(bench):
    insulated = bench.read("bake_element_to_chassis", 5e7)
    answer = bench.diagnose(["oven_heats_when_off"], insulated, bench.read("bake_current_at_off", 10.8))
    assert answer.chance("bake_relay_welded") > 0.95
    assert answer.next.id == "replace_control_board"
    assert "replace_bake_element" not in answer.proposed


def test_trap_13_less_than_the_whole_current_at_off_is_the_element(bench):
    """A full element on one leg draws 5.4 A."""
    answer = bench.diagnose(["oven_heats_when_off"], bench.read("bake_current_at_off", 5.4))
    assert answer.chance("bake_element_touches_case") > 0.9
    assert answer.chance("bake_relay_welded") < 0.05
    assert "replace_control_board" not in answer.proposed


def test_trap_14_a_burnt_connection_shows_under_load_alone(bench):
    """Cold ohms are right, the current is low, the block holds its voltage, and the element gets too little."""
    answer = bench.diagnose(
        ["oven_slow"], bench.read("legs_voltage", 240.0), bench.read("block_voltage_under_load", 238.0),
        bench.read("bake_element_resistance", 22.2), bench.read("bake_element_current", 6.5),
    )  # fmt: skip
    assert answer.chance("bake_connection_burnt") > 0.9
    assert answer.next.id == "repair_bake_wiring"
    assert "replace_bake_element" not in answer.proposed


def test_trap_15_a_limit_that_is_open_is_not_bridged_and_asks_why(bench):
    answer = bench.diagnose(BOTH, bench.see("oven_limit_continuity", "open"), working=["display_on"])
    assert answer.chance("oven_limit_open") > 0.9
    assert answer.next.id == "replace_oven_limit"
    assert any("too hot" in step for step in answer.next.steps)
    assert any("bridge" in caution for caution in answer.next.cautions)


def test_trap_16_a_hidden_element_is_read_from_behind_before_the_floor_comes_out(bench):
    hidden = bench.build(bake_element="hidden")
    before = bench.diagnose(BAKE, working=["display_on", "broil_heats"], options=hidden)
    assert before.next.kind == "test"
    assert before.next.zone in ("outside", "rear_panel")
    assert "bake_glow" not in before.proposed
    answer = bench.diagnose(
        BAKE, bench.over("hidden_bake_element_resistance"), working=["display_on", "broil_heats"], options=hidden
    )
    assert answer.chance("bake_element_open") > 0.98
    assert answer.next.id == "replace_hidden_bake_element"


def test_trap_16_a_hidden_element_with_sound_ohms_is_left_in(bench):
    hidden = bench.build(bake_element="hidden")
    answer = bench.diagnose(
        BAKE, bench.read("hidden_bake_element_resistance", 22.2), working=["display_on", "broil_heats"], options=hidden
    )
    assert answer.chance("bake_element_open") < 0.03
    assert answer.first == "bake_relay_open"
    assert "replace_hidden_bake_element" not in answer.proposed
