"""No heat, or heat that should not be: where the voltage stands, and what the ohms do not tell."""

from __future__ import annotations

import pytest

from probewright_schemas.records import Conditions, Quantity, RepairDone

NO_HEAT = ["no_heat"]
STANDING = ["heats_while_drum_stands"]
ALONE = (RepairDone("replace_cutoff", complaint_remains=False),)


def test_a_blown_cutoff_sends_to_the_vent_before_another_is_fitted(bench):
    answer = bench.diagnose(NO_HEAT, bench.see("cutoff_continuity", "open"))
    assert answer.first == "cutoff_blown_by_vent"
    assert answer.next.kind == "test"
    assert answer.next.id in ("vent_duct", "vent_back_pressure", "vent_hood_airflow")
    assert "replace_cutoff" not in answer.proposed
    assert "vent_before_cutoff" in answer.codes("cutoff_continuity")


def test_back_pressure_behind_a_blown_cutoff_takes_the_vent_into_the_repair(bench):
    shared = (bench.see("cutoff_continuity", "open"),)
    blocked = bench.diagnose(NO_HEAT, *shared, bench.read("vent_back_pressure", 1.4))
    clear = bench.diagnose(NO_HEAT, *shared, bench.read("vent_back_pressure", 0.3))
    assert blocked.chance("cutoff_blown_by_vent") > 0.95
    assert blocked.next.id == "clear_vent_and_replace_cutoff"
    assert blocked.reading("vent_back_pressure").verdict == "outside"
    assert clear.first == "cutoff_open"
    assert clear.next.id == "replace_cutoff"
    assert "vent_before_cutoff" not in clear.codes("cutoff_continuity")


def test_a_cutoff_that_was_replaced_alone_and_blew_again_is_the_vents(bench):
    before = bench.diagnose(NO_HEAT, bench.see("cutoff_continuity", "open"))
    again = bench.diagnose(
        NO_HEAT, bench.see("cutoff_continuity", "open"),
        repairs_done=(RepairDone("replace_cutoff", complaint_remains=True),),
    )  # fmt: skip
    assert again.chance("cutoff_blown_by_vent") > 0.9 > before.chance("cutoff_blown_by_vent")
    assert again.remedy == "clear_vent_and_replace_cutoff"


def test_a_new_cutoff_is_not_left_before_the_vent_is_shown_clear(bench):
    answer = bench.diagnose(NO_HEAT, bench.see("cutoff_continuity", "open"), repairs_done=ALONE)
    assert answer.next.id == "vent_back_pressure"
    told = bench.diagnose(
        NO_HEAT, bench.see("cutoff_continuity", "open"),
        bench.read("vent_back_pressure", 1.5, after_repair="replace_cutoff"), repairs_done=ALONE,
    )  # fmt: skip
    assert told.chance("cutoff_blown_by_vent") + told.chance("vent_blocked") > 0.9
    assert told.next.id != "done"


@pytest.mark.parametrize("given", [240.0, 208.0])
def test_the_voltage_stands_where_the_chain_is_open(bench, given):
    """All of it across the open part, at whatever the supply gives."""
    supply = Conditions(supply_voltage=Quantity(given, "V"))
    parts = {
        "cutoff_voltage": {"cutoff_blown_by_vent", "cutoff_open"}, "high_limit_voltage": {"high_limit_open"},
        "heat_load_voltage": {"element_open"},
    }  # fmt: skip
    for test, faults in parts.items():
        answer = bench.diagnose(NO_HEAT, bench.read(test, given - 1.0), working=["drum_turns"], conditions=supply)
        assert sum(answer.chance(fault) for fault in faults) > 0.85, test


def test_an_element_with_the_right_ohms_may_touch_its_case(bench):
    ohms = bench.read("element_resistance", 10.9)
    only = bench.diagnose(["too_hot"], ohms)
    case = bench.diagnose(["too_hot"], ohms, bench.read("element_to_case", 6.0))
    assert only.reading("element_resistance").verdict in ("within", "inconclusive")
    assert only.said("element_touches_case", "element_resistance") > -3.0  # decibans: a factor under two
    assert case.chance("element_touches_case") > 0.95
    assert case.next.id == "replace_element"
    assert "replace_cycling_thermostat" not in case.proposed


def test_heat_at_off_is_the_element_and_no_thermostat(bench):
    """22 A in the leg that nothing breaks, with the control at off."""
    answer = bench.diagnose(["too_hot"], bench.read("leg_two_current_at_off", 20.0))
    assert answer.chance("element_touches_case") > 0.95
    assert answer.next.id == "replace_element"
    none = bench.diagnose(["too_hot"], bench.read("leg_two_current_at_off", 0.0))
    assert none.chance("element_touches_case") < 0.05
    assert none.reading("leg_two_current_at_off").verdict == "within"


def test_heat_with_the_motor_off_may_be_a_welded_heater_contact(bench):
    belt = bench.see("belt_and_its_switch", "in_place")
    bare = bench.diagnose(STANDING, belt)
    assert bare.first == "element_touches_case"
    welded = bench.diagnose(
        STANDING, belt, bench.over("element_to_case"), bench.see("heater_contact_at_rest", "closed"),
    )  # fmt: skip
    assert welded.first == "motor_heater_contact_welded"
    assert welded.remedy == "replace_motor"
    assert "replace_element" not in welded.proposed


def test_an_outlet_as_hot_as_90_degrees_is_the_thermostat_only_when_the_element_is_cold_at_rest(bench):
    hot = bench.read("outlet_temperature", 90.0)
    open_ = bench.diagnose(["too_hot"], hot)
    told = bench.diagnose(["too_hot"], hot, bench.see("heat_at_rest", "cold"))
    assert open_.next.kind == "test"
    assert open_.next.id in (
        "leg_two_current_at_off", "heat_at_air", "element_to_case", "cycling_thermostat_continuity",
    )
    assert told.chance("cycling_thermostat_stuck_closed") > 0.95
    assert told.next.id == "replace_cycling_thermostat"


def test_a_heater_contact_that_is_open_may_be_a_motor_that_stands(bench):
    """240 V across the contact say either; what the customer saw of the drum decides."""
    reading = bench.read("heater_contact_voltage", 239.0)
    turns = bench.diagnose(NO_HEAT, reading, working=["drum_turns"])
    stands = bench.diagnose(["does_not_start"], reading)
    assert turns.first == "motor_heater_contact_open"
    assert turns.chance("motor_heater_contact_open") > 0.9
    assert stands.chance("motor_heater_contact_open") < 0.05


def test_a_burnt_wire_and_not_the_element_when_no_voltage_comes(bench):
    answer = bench.diagnose(
        NO_HEAT, bench.read("heat_contact_voltage", 0.1), bench.read("heat_feed_voltage", 0.0), working=["drum_turns"],
    )  # fmt: skip
    assert answer.chance("element_open") < 0.05
    away = ("heat_harness_open", "cycling_thermostat_open", "leg_two_dead")
    assert sum(answer.chance(fault) for fault in away) > 0.9
    assert answer.next.kind == "test"
    assert "replace_element" not in answer.proposed
