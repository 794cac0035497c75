"""One surface unit: coil, receptacle, limiter, wire or switch, told apart by swapping places and by where 240 V is."""

from __future__ import annotations

import pytest

from probewright_schemas.records import RepairDone

COLD = ["surface_unit_does_not_heat"]
ONE = {"working": ["other_units_heat"]}


@pytest.fixture
def radiant(bench):
    return {"options": bench.build(cooktop="radiant")}


def test_trap_17_what_goes_with_the_coil_is_the_coil(bench):
    answer = bench.diagnose(COLD, bench.see("coil_in_another_place", "cold_there"), **ONE)
    assert answer.chance("surface_element_open") > 0.92
    assert answer.next.id == "replace_coil"


def test_trap_17_what_stays_in_its_place_is_receptacle_wire_or_switch(bench):
    answer = bench.diagnose(COLD, bench.see("coil_in_another_place", "heats_there"), **ONE)
    assert answer.chance("surface_element_open") < 0.08
    behind = ("surface_switch_open", "surface_receptacle_burnt", "surface_harness_open")
    assert sum(answer.chance(fault) for fault in behind) > 0.85
    assert "replace_coil" not in answer.proposed
    assert answer.next.kind == "test"


def test_trap_17_no_coil_is_sold_on_the_complaint_alone(bench):
    answer = bench.diagnose(COLD, **ONE)
    assert answer.first == "surface_element_open"
    assert answer.next.kind == "test"
    assert answer.next.zone in ("outside", "unit_well")


def test_trap_18_a_burnt_receptacle_is_not_the_switch(bench):
    answer = bench.diagnose(
        COLD, bench.see("coil_in_another_place", "heats_there"), bench.see("receptacle_condition", "burnt_or_loose"),
        **ONE,
    )  # fmt: skip
    assert answer.chance("surface_receptacle_burnt") > 0.85
    assert answer.chance("surface_switch_open") < 0.12
    assert answer.remedy == "replace_receptacle"
    (repair,) = (repair for repair in bench.family.repairs if repair.id == "replace_receptacle")
    assert any("burnt blades" in step for step in repair.steps)


def test_trap_18_a_coil_with_sound_ohms_and_a_switch_that_gives_nothing(bench):
    answer = bench.diagnose(
        COLD, bench.read("coil_resistance", 27.0), bench.read("surface_switch_voltage", 0.0), **ONE
    )
    assert answer.chance("surface_switch_open") > 0.95
    assert answer.next.id == "replace_surface_switch"


def test_trap_18_a_switch_that_gives_240_volts_is_left_in(bench):
    answer = bench.diagnose(
        COLD, bench.read("surface_switch_voltage", 240.0), bench.read("surface_element_voltage", 0.0), **ONE
    )
    assert answer.chance("surface_switch_open") < 0.01
    assert answer.first == "surface_harness_open"
    assert answer.remedy == "repair_surface_wiring"
    assert "replace_surface_switch" not in answer.proposed


def test_trap_18_all_of_it_across_the_coil_is_the_coil(bench):
    answer = bench.diagnose(COLD, bench.read("surface_element_voltage", 240.0), **ONE)
    assert answer.chance("surface_element_open") > 0.9
    assert answer.remedy == "replace_coil"


def test_trap_18_half_the_voltage_at_a_unit_is_no_weak_switch(bench):
    answer = bench.diagnose(COLD, bench.read("surface_switch_voltage", 120.0), **ONE)
    assert "half_the_voltage" in answer.codes("surface_switch_voltage")
    assert answer.next.kind == "test"


def test_trap_19_a_unit_that_is_always_on_high_has_welded_contacts(bench):
    answer = bench.diagnose(["surface_unit_only_high"], bench.see("unit_at_low", "stays_on"))
    assert answer.chance("surface_switch_welded") > 0.9
    assert answer.next.id == "replace_surface_switch"
    assert "replace_coil" not in answer.proposed


def test_trap_19_a_unit_that_goes_off_and_on_at_low_has_a_sound_switch(bench):
    answer = bench.diagnose(["surface_unit_only_high"], bench.see("unit_at_low", "goes_off_and_on"))
    assert answer.chance("surface_switch_welded") < 0.2
    assert not answer.fits_a_part


def test_trap_19_a_unit_that_stays_cold_says_nothing_of_its_switch(bench):
    cold = bench.diagnose(["surface_unit_only_high"], bench.see("unit_at_low", "stays_cold"))
    works = bench.diagnose(["surface_unit_only_high"], bench.see("unit_at_low", "goes_off_and_on"))
    assert cold.chance("surface_element_open") > 5 * works.chance("surface_element_open")
    assert cold.next.kind == "test"


def test_trap_20_an_open_limiter_is_not_the_switch_and_is_not_bridged(bench, radiant):
    volts = (bench.read("surface_switch_voltage", 240.0), bench.read("surface_element_voltage", 0.0))
    before = bench.diagnose(COLD, *volts, **ONE, **radiant)
    assert before.first == "surface_limiter_open"
    assert before.next.id == "limiter_continuity"
    assert any("Never bridge a limiter" in caution for caution in before.next.cautions)
    after = bench.diagnose(COLD, *volts, bench.see("limiter_continuity", "open"), **ONE, **radiant)
    assert after.chance("surface_limiter_open") > 0.95
    assert after.next.id == "replace_radiant_unit"


def test_trap_20_a_closed_limiter_and_a_sound_element_leave_the_switch(bench, radiant):
    answer = bench.diagnose(
        COLD, bench.see("limiter_continuity", "closed"), bench.read("radiant_element_resistance", 30.0), **ONE,
        **radiant,
    )  # fmt: skip
    assert answer.chance("surface_limiter_open") < 0.02
    assert answer.chance("surface_element_open") < 0.02
    assert answer.first == "surface_switch_open"
    assert "replace_radiant_unit" not in answer.proposed


def test_trap_21_a_hot_light_that_stays_on_is_the_limiters_second_contact(bench, radiant):
    answer = bench.diagnose(["hot_light_stays_on"], bench.see("hot_light_contact", "closed"), **radiant)
    assert answer.chance("hot_light_contact_stuck") > 0.93
    assert answer.next.id == "replace_radiant_unit"
    assert answer.chance("surface_switch_welded") < 0.03
    # The element heats: its unit is changed for the contact alone, which the customer is told before.
    cold = bench.diagnose(["hot_light_stays_on"], bench.see("hot_light_contact", "open"), **radiant)
    assert cold.chance("hot_light_contact_stuck") < 0.1
    assert not cold.fits_a_part


def test_trap_22_one_ring_of_two_is_a_weak_unit_and_no_weak_supply(bench, radiant):
    answer = bench.diagnose(["surface_unit_weak"], bench.read("radiant_element_resistance", 100.0), **radiant)
    assert answer.chance("surface_element_weak") > 0.95
    assert answer.next.id == "replace_radiant_unit"
    assert "replace_surface_switch" not in answer.proposed


def test_trap_22_a_weak_unit_beside_a_slow_oven_asks_for_the_supply(bench, radiant):
    alone = bench.diagnose(["surface_unit_weak"], **radiant)
    both = bench.diagnose(["surface_unit_weak", "oven_slow"], **radiant)
    supply = ("block_leg_one_burnt", "block_leg_two_burnt", "legs_voltage_low", "supply_208_volts")

    def of_supply(answer):
        return sum(answer.chance(fault) for fault in supply)

    assert of_supply(both) > 2 * of_supply(alone)
    assert both.chance("surface_element_weak") < 0.2
    assert both.next.kind == "test"


def test_trap_23_cracked_glass_is_not_switched_on(bench, radiant):
    answer = bench.diagnose(["glass_cracked"], bench.see("cooktop_glass", "cracked"), **radiant)
    assert answer.chance("cooktop_glass_cracked") > 0.93
    assert (answer.next.kind, answer.next.id) == ("refer", "cracked_glass")
    replaced = bench.diagnose(
        ["glass_cracked", "surface_unit_does_not_heat"], bench.see("cooktop_glass", "cracked"),
        bench.see("cooktop_glass", "whole", after_repair="replace_cooktop_glass"),
        repairs_done=(RepairDone("replace_cooktop_glass", complaint_remains=True),), **radiant,
    )  # fmt: skip
    assert replaced.next.kind == "test"
    (complaint,) = (complaint for complaint in bench.family.complaints if complaint.id == "glass_cracked")
    assert any("Do not switch" in caution for caution in complaint.cautions)
