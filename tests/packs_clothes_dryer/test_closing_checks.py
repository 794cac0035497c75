"""Every repair is proven before the job is left: it turns, heats, vents, leaks nothing, and is put together."""

from __future__ import annotations

import pytest

from probewright.circuit.parts import holds
from probewright.inference.evaluate import Rules, evaluate
from probewright.inference.store import ModelStore
from probewright.planning.finish import closing_state
from probewright_schemas.records import Case, Conditions, Quantity, Reading, RepairDone
from support.proving import checks, unproven

SHOWN_BY = {
    "display_on": {"no_error_shown", "everything_works"},
    "drum_turns": {"drum_stops_with_door", "everything_works", "motor_runs_free"},
    "heats": {"gets_warm", "element_current_right", "burner_lights_again", "outlet_temperature_right",
              "everything_works"},
    "dries_in_time": {"outlet_temperature_right", "vent_free", "burner_lights_again", "everything_works"},
    "stays_under_its_limit": {"outlet_temperature_right", "no_heat_at_air", "everything_works"},
    "cold_at_rest": {"cold_at_rest"},
    "goes_on_until_dry": {"bars_sense_wet", "everything_works"},
    "ends_by_itself": {"timer_advances", "bars_dry_apart", "everything_works"},
    "runs_quietly": {"runs_quietly", "everything_works"},
}
OPENS_GAS = {"open_gas_supply", "replace_gas_valve", "fit_orifice_for_fuel", "repair_gas_leak"}
AT_THE_BURNER = {
    "replace_igniter", "replace_flame_sensor", "replace_valve_coils", "replace_gas_valve", "clean_burner_air",
    "fit_orifice_for_fuel", "open_gas_supply", "repair_gas_leak",
}  # fmt: skip
AT_THE_VENT = {
    "clear_vent", "replace_vent_duct", "shorten_vent", "clear_vent_and_replace_cutoff",
    "clear_vent_and_replace_thermal_fuse",
}  # fmt: skip


def test_a_function_that_a_repair_gives_back_is_shown(family):
    assert list(unproven(family, SHOWN_BY, but={"settle_208_volts"})) == []


@pytest.mark.parametrize("repair", sorted(OPENS_GAS))
def test_every_joint_that_was_opened_is_proven_tight(family, repair):
    assert {"joints_tight", "no_gas_odour"} <= checks(family, repair)


@pytest.mark.parametrize("repair", sorted(AT_THE_BURNER))
def test_work_on_the_burner_ends_with_its_flame_and_the_air_of_the_room(family, repair):
    assert {"burner_flame_blue", "room_air_clean", "burner_lights_again"} <= checks(family, repair)


@pytest.mark.parametrize("repair", sorted(AT_THE_VENT))
def test_work_on_the_vent_ends_with_its_back_pressure_and_the_air_of_the_room(family, repair):
    assert {"vent_free", "room_air_clean", "outlet_temperature_right"} <= checks(family, repair)


@pytest.mark.parametrize("repair", ["replace_cutoff", "replace_high_limit", "replace_element", "replace_thermal_fuse"])
def test_what_blew_by_heat_is_closed_with_the_vent_and_the_temperature(family, repair):
    assert {"vent_free", "outlet_temperature_right"} <= checks(family, repair)


@pytest.mark.parametrize("repair", ["replace_element", "repair_heat_harness", "replace_motor",
                                    "replace_belt_and_free_switch"])  # fmt: skip
def test_live_parts_that_were_touched_are_shown_to_leak_nothing(family, repair):
    assert "no_leak_to_chassis" in checks(family, repair)


def test_whatever_heats_or_turns_is_shown_cold_at_rest(family):
    for repair in ("replace_element", "replace_motor", "replace_timer", "replace_control_board", "replace_cutoff",
                   "replace_belt_and_free_switch"):  # fmt: skip
        assert "cold_at_rest" in checks(family, repair), repair


def test_pressure_and_input_are_measured_where_they_were_set(family):
    for repair in ("replace_gas_valve", "fit_orifice_for_fuel"):
        assert {"gas_pressure_right", "input_right"} <= checks(family, repair)


def test_safety_takes_a_clear_reading(family):
    guarded = {closing.id for closing in family.closings if closing.guarded}
    assert {"vent_free", "room_air_clean", "cold_at_rest", "no_leak_to_chassis", "ground_continuous"} <= guarded


def test_what_only_closes_is_marked_so(family):
    assert {test.id for test in family.tests if test.closing} == {
        "chassis_ground_resistance", "insulation_to_chassis", "door_stops_drum", "trial_of_everything",
        "covers_and_vent", "heat_at_rest",
    }  # fmt: skip


def test_leaks_are_looked_for_before_anything_burns_and_the_cabinet_comes_last(family):
    order = [closing.id for closing in family.closings]
    for first, then in (
        ("joints_tight", "no_gas_odour"), ("no_gas_odour", "burner_lights_again"),
        ("no_leak_to_chassis", "element_current_right"), ("everything_works", "covers_on"),
    ):  # fmt: skip
        assert order.index(first) < order.index(then)
    assert order[-1] == "covers_on"


#: A new cut-off, each proof with a reading that passes and one that does not.
PROOFS = {
    "vent_back_pressure": (Reading("vent_back_pressure", 0.3, unit="inH2O"),
                           Reading("vent_back_pressure", 1.2, unit="inH2O")),
    "element_current": (Reading("element_current", 22.0, unit="A"), Reading("element_current", 11.0, unit="A")),
    "heat_at_rest": (Reading("heat_at_rest", seen="cold"), Reading("heat_at_rest", seen="warm")),
    "outlet_temperature": (Reading("outlet_temperature", 63.0, unit="degC"),
                           Reading("outlet_temperature", 90.0, unit="degC")),
    "covers_and_vent": (Reading("covers_and_vent", seen="in_place"),
                        Reading("covers_and_vent", seen="something_missing")),
}  # fmt: skip


@pytest.fixture(scope="module")
def store(family):
    return ModelStore(family)


def since(reading: Reading) -> Reading:
    return Reading(reading.test, reading.value, unit=reading.unit, seen=reading.seen, after_repair="replace_cutoff")


def state_of(store: ModelStore, *readings: Reading):
    case = Case(
        "clothes_dryer", options={"heat": "electric", "control": "timer"}, complaints=("no_heat",),
        readings=(Reading("cutoff_continuity", seen="open"), *readings),
        conditions=Conditions(supply_voltage=Quantity(240.0, "V")),
        repairs_done=(RepairDone("replace_cutoff", complaint_remains=False),),
    )  # fmt: skip
    found = evaluate(case, store, Rules())
    return closing_state(store.family, case, found.readings.checked), found


def test_the_checks_of_a_new_cutoff_pass_one_after_the_other(store):
    shown: list[Reading] = []
    for test, (sound, _) in PROOFS.items():
        state, _ = state_of(store, *shown)
        assert state.open[0].closing.test == test
        assert not state.failed
        shown.append(since(sound))
    state, _ = state_of(store, *shown)
    assert state.passed
    assert len(state.proofs) == len(PROOFS)


@pytest.mark.parametrize("test", sorted(PROOFS))
def test_one_reading_that_does_not_pass_keeps_the_job_open(store, test):
    shown = [since(bad if name == test else sound) for name, (sound, bad) in PROOFS.items()]
    state, _ = state_of(store, *shown)
    assert not state.passed
    assert [(p.closing.test, p.status) for p in state.proofs if p.status != "passed"] == [(test, "failed")]


def test_every_repair_can_be_proven_in_every_build(store, builds):
    for build in builds:
        for repair in (r for r in store.family.repairs if holds(r.when, build) and r.id != "settle_208_volts"):
            case = Case("clothes_dryer", options=build,
                        repairs_done=(RepairDone(repair.id, complaint_remains=False),))  # fmt: skip
            assert closing_state(store.family, case, []).open, (repair.id, build)
