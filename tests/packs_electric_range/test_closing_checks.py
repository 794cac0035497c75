"""Every repair is proven before the job is left: heat, current, cold at off, insulation, ground, covers and bracket."""

from __future__ import annotations

import pytest

from probewright.circuit.parts import holds
from support.proving import checks, unproven

EVERYTHING = "everything_works"
#: Function to closing checks that show it.
SHOWN_BY = {
    "display_on": {"display_and_controls_work", EVERYTHING},
    "bake_heats": {"bake_glows", "oven_floor_hot", "bake_current_right", "oven_temperature_settled", EVERYTHING},
    "broil_heats": {"broil_glows", "broil_current_right", EVERYTHING},
    "oven_heats_fully": {"bake_glows", "bake_current_right", EVERYTHING},
    # Of a new board's temperature it is the offset that may be wrong, which is among its options.
    "oven_holds_temperature": {"oven_temperature_settled", "board_options_set", EVERYTHING},
    "oven_cold_at_off": {"cold_at_off"},
    "door_locks": {"door_locks"},
    "surface_unit_heats": {"unit_glows", EVERYTHING},
    "surface_unit_heats_fully": {"unit_glows", EVERYTHING},
    "surface_unit_regulates": {"unit_regulates", EVERYTHING},
    "other_units_heat": {EVERYTHING},
    "hot_light_right": {"hot_light_out"},
}
LEGS = {"legs_voltage_in_range", "leg_one_even", "leg_two_even", "legs_neutral_near_ground"}
#: Shown by papers and a talk.
BY_WORD = {"legs_208_understood"}


def test_a_function_that_a_repair_gives_back_is_shown(family):
    assert list(unproven(family, SHOWN_BY, but={"settle_208_volts"})) == []


@pytest.mark.parametrize(
    ("repair", "name"),
    [("replace_bake_element", "bake"), ("replace_hidden_bake_element", "bake"), ("replace_broil_element", "broil"),
     ("repair_bake_wiring", "bake"), ("repair_broil_wiring", "broil")],
)  # fmt: skip
def test_work_on_an_element_ends_with_insulation_glow_and_cold_at_off(family, repair, name):
    assert {f"{name}_insulated", f"{name}_glows", "cold_at_off"} <= checks(family, repair)
    if name == "bake":
        assert {"hidden_bake_insulated", "oven_floor_hot"} <= checks(family, repair)


@pytest.mark.parametrize("repair", ["replace_coil", "replace_radiant_unit"])
def test_work_on_a_surface_unit_ends_with_insulation_and_its_knob(family, repair):
    assert {"coil_insulated", "radiant_element_insulated", "unit_glows", "unit_regulates"} <= checks(family, repair)


def test_a_new_board_ends_with_both_currents_and_with_cold_at_off(family):
    assert {"bake_current_right", "broil_current_right", "cold_at_off", "door_locks"} <= checks(
        family, "replace_control_board"
    )


@pytest.mark.parametrize("repair", ["restore_legs", "replace_terminal_block", "mend_legs_neutral",
                                    "mend_service_neutral", "raise_legs_voltage"])  # fmt: skip
def test_work_on_the_supply_ends_with_both_legs_and_the_neutral(family, repair):
    assert checks(family, repair) >= LEGS


def test_a_new_block_is_read_while_it_carries_current(family):
    assert "block_holds_under_load" in checks(family, "replace_terminal_block")


@pytest.mark.parametrize("repair", ["repair_bake_wiring", "repair_broil_wiring", "repair_board_wiring",
                                    "repair_oven_sensor_harness", "repair_surface_wiring", "replace_receptacle"])
def test_work_on_wiring_ends_with_the_ground(family, repair):
    assert {"wiring_sound", "ground_continuous"} <= checks(family, repair)


def test_sensor_work_ends_at_a_settled_temperature(family):
    assert {"sensor_reads_right", "sensor_insulated", "oven_temperature_settled"} <= checks(
        family, "replace_oven_sensor"
    )


def test_every_closing_check_is_a_test_with_an_outcome_or_a_limit_of_its_own(family):
    tests = {test.id: test for test in family.tests}
    for closing in (c for c in family.closings if c.id not in BY_WORD):
        test = tests[closing.test]
        by_model = {"sensor_reads_right", "oven_temperature_settled"}
        assert len(test.outcomes) >= 2 or test.limits or closing.limits or closing.id in by_model, closing.id


def test_insulation_ground_and_rest_are_guarded(family):
    guarded = {closing.id for closing in family.closings if closing.guarded}
    assert guarded >= {"bake_insulated", "hidden_bake_insulated", "broil_insulated", "coil_insulated",
                       "radiant_element_insulated", "ground_continuous", "cold_at_off", "leg_one_even",
                       "leg_two_even", "legs_neutral_near_ground"}  # fmt: skip


def test_what_only_closes_is_marked_so(family):
    assert {test.id for test in family.tests if test.closing} == {
        "display_and_controls", "board_options", "door_lock_cycle", "cold_at_off", "trial_of_everything",
        "chassis_ground_resistance", "covers_and_anti_tip",
    }  # fmt: skip


def test_readings_on_a_dead_range_come_before_power(family):
    order = [closing.id for closing in family.closings]
    for first, then in (("bake_insulated", "bake_glows"), ("ground_continuous", "everything_works"),
                        ("bake_glows", "cold_at_off"), ("everything_works", "covers_on")):  # fmt: skip
        assert order.index(first) < order.index(then)


#: Builds differ in how an element is reached and seen: of each of these pairs a build has one.
EITHER = {"bake_insulated", "hidden_bake_insulated", "bake_glows", "oven_floor_hot", "coil_insulated",
          "radiant_element_insulated"}  # fmt: skip


def test_other_checks_name_a_test_that_every_build_has(family, builds):
    tests = {test.id: test for test in family.tests}
    closings = {closing.id: closing for closing in family.closings}
    for build in builds:
        for repair in (r for r in family.repairs if holds(r.when, build)):
            for check in set(repair.closing_checks) - EITHER - BY_WORD:
                assert holds(tests[closings[check].test].when, build), f"{repair.id}: {check} in {build}"
