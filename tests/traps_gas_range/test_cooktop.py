"""Traps 7 and 8: sparks that fail, and sparks that do not stop."""

from __future__ import annotations

import pytest

from probewright_schemas.records import RepairDone

ONE = ["one_surface_burner_does_not_light"]
NONE = ["no_spark_at_any_burner"]
CLICKS = ["clicks_without_stopping"]
SUPPLY_SIDE = (
    "no_supply", "neutral_open", "supply_cord_open", "ignition_harness_open", "spark_module_dead",
    "ignition_switch_stuck_open",
)  # fmt: skip
OF_ONE = ("spark_module_output_dead", "spark_electrode_cracked", "spark_electrode_dirty", "spark_lead_damaged")


def test_trap_07_one_dead_burner_beside_sparking_ones_is_not_the_modules_supply(bench):
    answer = bench.diagnose(ONE, bench.see("spark_at_electrodes", "some"))
    assert sum(answer.chance(fault) for fault in SUPPLY_SIDE) < 0.02
    assert sum(answer.chance(fault) for fault in OF_ONE) > 0.85
    assert answer.first in OF_ONE
    assert "spark_module_supply_voltage" not in answer.proposed
    assert answer.next.id == "spark_electrode_condition"


def test_trap_07_one_dead_burner_that_sparks_ends_with_cleaning(bench):
    answer = bench.diagnose(ONE, bench.see("spark_at_electrodes", "all"))
    assert answer.first == "burner_ports_blocked"
    assert answer.next.zone == "cooktop"
    assert not answer.fits_a_part
    looked = bench.diagnose(ONE, bench.see("spark_at_electrodes", "all"), bench.see("burner_ports", "blocked"))
    assert looked.next.id == "clean_burner_ports"


def test_trap_07_no_spark_with_supply_present_is_the_module(bench):
    answer = bench.diagnose(
        NONE, bench.see("spark_at_electrodes", "none"), bench.read("spark_module_supply_voltage", 120.0),
    )  # fmt: skip
    assert answer.first == "spark_module_dead"
    assert answer.chance("spark_module_dead") > 0.95
    assert answer.next.id == "replace_spark_module"


def test_trap_07_no_module_before_its_supply_or_the_switch_was_measured(bench):
    answer = bench.diagnose(NONE, bench.see("spark_at_electrodes", "none"), working=["display_on"])
    assert answer.chance("spark_module_dead") > 0.4
    assert answer.next.id in ("spark_module_supply_voltage", "ignition_switch_at_light")


def test_trap_07_no_supply_with_a_knob_at_light_is_switches_or_harness(bench):
    answer = bench.diagnose(
        NONE,
        bench.see("spark_at_electrodes", "none"),
        bench.read("spark_module_supply_voltage", 0.0),
        working=["display_on"],
    )
    assert answer.chance("ignition_switch_stuck_open") + answer.chance("ignition_harness_open") > 0.9
    assert answer.chance("spark_module_dead") < 0.02
    assert answer.next.id == "ignition_switch_at_light"


def test_trap_07_the_switch_splits_switches_from_harness(bench):
    def at(seen: str):
        return bench.diagnose(
            NONE,
            bench.read("spark_module_supply_voltage", 0.0),
            bench.see("ignition_switch_at_light", seen),
            working=["display_on"],
        )

    opened, closed = at("open"), at("closed")
    assert opened.first == "ignition_switch_stuck_open"
    assert opened.chance("ignition_switch_stuck_open") > 0.9
    assert opened.remedy in ("replace_ignition_switch", "free_ignition_switch")
    assert closed.first == "ignition_harness_open"
    assert closed.chance("ignition_harness_open") > 0.8
    assert closed.chance("ignition_switch_stuck_open") < 0.05


def test_trap_07_a_dead_display_too_points_before_the_range(bench):
    answer = bench.diagnose([*NONE, "display_dead"], bench.read("spark_module_supply_voltage", 0.0))
    before = ("no_supply", "neutral_open", "supply_cord_open")
    assert sum(answer.chance(fault) for fault in before) > 0.9
    assert answer.chance("ignition_switch_stuck_open") < 0.05


def test_trap_08_endless_clicking_is_a_switch_found_with_the_knob_at_off(bench):
    answer = bench.diagnose(CLICKS)
    assert answer.first == "ignition_switch_stuck_closed"
    assert answer.chance("ignition_switch_stuck_closed") > 0.75
    assert answer.chance("polarity_reversed") + answer.chance("ground_missing") < 0.02
    assert answer.next.id == "ignition_switch_at_off"
    found = bench.diagnose(CLICKS, bench.see("ignition_switch_at_off", "closed"))
    assert found.chance("ignition_switch_stuck_closed") > 0.97
    assert found.next.id == "free_ignition_switch"


def test_trap_08_an_open_switch_at_off_speaks_against_it(bench):
    """Not more: a wet switch may lead by more than a beeper answers to."""
    answer = bench.diagnose(CLICKS, bench.see("ignition_switch_at_off", "open"))
    assert answer.said("ignition_switch_stuck_closed", "ignition_switch_at_off") < -5.0
    assert answer.diagnosis.unexplained > 2 * bench.diagnose(CLICKS).diagnosis.unexplained
    assert not answer.fits_a_part


def test_trap_08_a_switch_that_dried_and_still_leads_is_replaced(bench):
    answer = bench.diagnose(
        CLICKS, bench.see("ignition_switch_at_off", "closed"),
        repairs_done=(RepairDone("free_ignition_switch", True),),
    )  # fmt: skip
    assert answer.next.id == "replace_ignition_switch"


def test_trap_08_with_flame_sensing_polarity_and_ground_come_first(bench):
    sensing = bench.build(cooktop_ignition="spark_flame_sensing")
    answer = bench.diagnose(CLICKS, options=sensing)
    plain = bench.diagnose(CLICKS)
    for fault in ("polarity_reversed", "ground_missing"):
        assert answer.chance(fault) > 10 * plain.chance(fault)
    assert answer.next.id in ("outlet_hot_to_ground", "outlet_neutral_to_ground")
    assert answer.next.zone == "outside"


def test_trap_08_flame_sensing_with_crossed_conductors(bench):
    sensing = bench.build(cooktop_ignition="spark_flame_sensing")
    answer = bench.diagnose(
        CLICKS,
        bench.read("outlet_voltage", 120.0),
        bench.read("outlet_hot_to_ground", 0.3),
        bench.read("outlet_neutral_to_ground", 119.5),
        options=sensing,
    )
    assert answer.first == "polarity_reversed"
    assert answer.chance("polarity_reversed") > 0.95
    assert answer.next.id == "correct_outlet_wiring"
    assert answer.chance("ignition_switch_stuck_closed") < 0.05


def test_trap_08_flame_sensing_on_a_sound_outlet_turns_to_module_and_switch(bench):
    sensing = bench.build(cooktop_ignition="spark_flame_sensing")
    answer = bench.diagnose(
        CLICKS,
        bench.read("outlet_voltage", 120.0),
        bench.read("outlet_hot_to_ground", 120.0),
        bench.read("outlet_neutral_to_ground", 0.5),
        options=sensing,
    )
    assert answer.chance("polarity_reversed") + answer.chance("ground_missing") < 0.02
    module_or_switch = ("ignition_switch_stuck_closed", "spark_module_does_not_sense", "spark_electrode_dirty")
    assert sum(answer.chance(fault) for fault in module_or_switch) > 0.85
    assert answer.next.id == "ignition_switch_at_off"


@pytest.mark.parametrize(
    ("seen", "first"),
    [("closed", "ignition_switch_stuck_closed"), ("open", "spark_module_does_not_sense")],
)
def test_trap_08_with_a_sound_outlet_the_switch_is_told_from_the_module(bench, seen, first):
    answer = bench.diagnose(
        CLICKS,
        bench.read("outlet_hot_to_ground", 120.0),
        bench.read("outlet_neutral_to_ground", 0.5),
        bench.see("spark_electrode_condition", "clean"),
        bench.see("ignition_switch_at_off", seen),
        options=bench.build(cooktop_ignition="spark_flame_sensing"),
    )
    assert answer.first == first
    assert answer.chance("polarity_reversed") + answer.chance("ground_missing") < 0.02
