"""What stops all work: heat over a drum that stands, fire, shock, gas."""

from __future__ import annotations

import pytest

STANDING = ["heats_while_drum_stands"]


def test_heat_over_a_drum_that_stands_stops_everything(bench):
    answer = bench.diagnose(STANDING)
    assert (answer.next.kind, answer.next.id) == ("stop", "heat_without_rotation")
    assert answer.diagnosis.alternatives == ()


def test_a_broken_belt_with_its_switch_bridged_stops_until_both_are_right(bench):
    bridged = bench.diagnose(["does_not_start"], bench.see("belt_and_its_switch", "switch_bridged"))
    assert bridged.first == "belt_broken_switch_bridged"
    assert (bridged.next.kind, bridged.next.id) == ("stop", "heat_without_rotation")
    runs = bench.diagnose(["does_not_start"], bench.see("motor_response", "drum_stands"))
    assert (runs.next.kind, runs.next.id) == ("stop", "heat_without_rotation")
    assert runs.first == "belt_broken_switch_bridged"


def test_the_look_that_clears_it_lets_dead_readings_go_on(bench):
    looks = (bench.see("belt_and_its_switch", "in_place"), bench.see("heater_contact_at_rest", "open"))
    assert bench.diagnose(STANDING, *looks).next.kind == "stop"
    answer = bench.diagnose(STANDING, *looks, bench.read("element_to_case", 0.8))
    assert answer.first == "element_touches_case"
    assert (answer.next.kind, answer.next.id) == ("repair", "replace_element")
    assert bench.diagnose(STANDING, bench.see("belt_and_its_switch", "off_or_broken"), *looks[1:],
                          bench.over("element_to_case")).next.kind == "stop"  # fmt: skip


@pytest.mark.parametrize(
    ("complaint", "lock"),
    [("burnt_smell", "smoulders"), ("felt_a_shock", "shock"), ("heats_while_drum_stands", "heat_without_rotation")],
)
def test_what_the_customer_says_stops_before_any_reading(bench, complaint, lock):
    answer = bench.diagnose([complaint])
    assert (answer.next.kind, answer.next.id) == ("stop", lock)


def test_a_smell_of_gas_stops_a_gas_dryer(bench, gas):
    answer = bench.diagnose(["gas_smell"], options=gas)
    assert (answer.next.kind, answer.next.id) == ("stop", "gas_escape")
    assert answer.first == "gas_leak"


def test_a_burnt_smell_clears_by_looks_at_lint_and_wiring_not_by_running_it(bench):
    sound = bench.see("wiring_condition", "sound")
    thick = bench.diagnose(["burnt_smell"], bench.see("lint_inside", "thick"), sound)
    assert thick.next.kind == "stop"
    assert thick.first == "lint_in_cabinet"
    one = bench.diagnose(["burnt_smell"], bench.see("lint_inside", "little"))
    both = bench.diagnose(["burnt_smell"], bench.see("lint_inside", "little"), sound)
    assert one.next.kind == "stop"
    assert both.next.id != "smoulders"


def test_scorched_wiring_is_referred(bench):
    answer = bench.diagnose(["no_heat"], bench.see("wiring_condition", "scorched"))
    assert (answer.next.kind, answer.next.id) == ("refer", "unsafe_wiring")
    assert answer.first == "heat_harness_open"


def test_a_shock_clears_by_insulation_and_ground_together(bench):
    insulation, ground = bench.read("insulation_to_chassis", 50.0), bench.read("chassis_ground_resistance", 0.1)
    assert bench.diagnose(["felt_a_shock"], insulation).next.kind == "stop"
    assert bench.diagnose(["felt_a_shock"], insulation, ground).next.kind != "stop"
    leaking = bench.diagnose(["felt_a_shock"], bench.read("insulation_to_chassis", 0.0), ground)
    assert leaking.next.kind == "stop"


def test_a_leg_far_over_120_volts_is_the_utilitys(bench):
    answer = bench.diagnose(["no_heat"], bench.read("leg_one_to_neutral", 165.0))
    assert (answer.next.kind, answer.next.id) == ("refer", "legs_overvoltage")
