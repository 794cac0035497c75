"""The model holds together: faults, repairs, tests, safety."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from probewright.circuit.parts import holds
from probewright.packs.check import check_family
from probewright.packs.model import Family, Stated, Table
from probewright_packs import clothes_dryer

#: Nobody notices crossed wires.
QUIET = {"polarity_reversed"}
#: Whoever changes where gas or mains enter holds the licence for it.
LICENSED = {
    "gas_licence": {"replace_gas_valve", "fit_orifice_for_fuel", "repair_gas_leak"},
    "electrical_licence": {
        "rewire_outlet_for_two_legs", "mend_legs_neutral", "mend_service_neutral", "raise_legs_voltage",
        "correct_outlet_wiring", "raise_supply_voltage", "lower_supply_voltage", "repair_supply_connection",
    },
}


def test_the_loader_takes_the_pack(pack):
    assert pack.family is clothes_dryer.FAMILY
    check_family(pack.family)


def test_every_fault_has_a_repair_in_every_build(family, builds):
    for fault in family.faults:
        repairs = [r for r in family.repairs if r.cures.get(fault.id, 0.0) >= 0.6]
        assert repairs, f"nothing cures {fault.id}"
        for build in builds:
            if holds(fault.when, build):
                assert any(holds(r.when, build) for r in repairs), f"nothing cures {fault.id} in {build}"


def test_every_repair_cures_something_in_every_build_it_is_offered_in(family, builds):
    conditions = {fault.id: fault.when for fault in family.faults}
    for build in builds:
        for repair in (r for r in family.repairs if holds(r.when, build)):
            assert [f for f in repair.cures if holds(conditions[f], build)], f"{repair.id} cures nothing in {build}"


def test_a_repair_fits_a_part_that_its_faults_have(family):
    parts = {fault.id: fault.part for fault in family.faults}
    #: Things that are no part of the dryer's own, and a set that takes another part with it.
    beside = {"vent_duct", "lint_screen"}
    for repair in (r for r in family.repairs if r.part is not None and r.part not in beside):
        assert any(parts[fault] == repair.part for fault in repair.cures), repair.id


def test_every_part_is_used(family):
    used = {r.part for r in family.repairs if r.part} | {f.part for f in family.faults if f.part}
    assert {part.id for part in family.parts} == used


def revealing(family: Family, fault: str) -> Iterator[str]:
    """Tests and complaints that show a fault."""
    circuits = {c.id for c in family.circuits if fault in c.changes}
    for test in family.tests:
        for model in test.models:
            tabled = isinstance(model, Table | Stated) and fault in model.by_fault
            if tabled or getattr(model, "circuit", None) in circuits:
                yield test.id
    functions = {f.id for f in family.functions if fault in f.fails_with}
    functions |= {f.id for f in family.functions if any(r.circuit in circuits for r in f.requires)}
    yield from (c.id for c in family.complaints if c.function in functions or fault in c.shown_by)


def test_every_fault_is_revealed_and_complained_of(family):
    complaints = {complaint.id for complaint in family.complaints}
    for fault in family.faults:
        shown = set(revealing(family, fault.id))
        assert shown - complaints, f"no test shows {fault.id}"
        assert shown & complaints or fault.id in QUIET, f"nobody complains of {fault.id}"


def test_what_stops_the_motor_is_no_fault_of_the_heat(family):
    """Customers complain of no heat while the drum turns; the circuit that tests read has every fault."""
    circuits = {c.id: c for c in family.circuits}
    heat, in_motion = circuits["heat"], circuits["heat_in_motion"]
    assert in_motion.parts == heat.parts
    left_out = set(heat.changes) - set(in_motion.changes)
    assert {"door_switch_open", "belt_broken", "thermal_fuse_open", "motor_bearings_seized", "no_supply"} <= left_out
    assert not {"element_open", "cutoff_open", "leg_two_dead", "motor_heater_contact_open"} & left_out
    needs = [r for f in family.functions if f.id in ("heats", "dries_in_time", "cold_at_rest") for r in f.requires]
    assert {r.circuit for r in needs} == {"heat_in_motion"}


def test_what_must_not_flow_is_asked_at_off_and_with_the_door_open(family):
    (function,) = (f for f in family.functions if f.id == "cold_at_rest")
    assert {(r.command, r.at_least is None) for r in function.requires} == {("off", True), ("door_open", True)}


def test_resistance_is_never_read_under_power(family):
    powered = {state.id for state in family.states if state.powered}
    for test in family.tests:
        if test.kind in ("resistance", "continuity", "capacitance"):
            assert not powered & set(test.states), test.id
        if test.kind in ("voltage", "current"):
            assert set(test.states) <= powered, test.id


@pytest.mark.parametrize("skill", sorted(LICENSED))
def test_licensed_work_says_so(family, skill):
    assert {r.id for r in family.repairs if r.skill == skill} == LICENSED[skill]


def test_hazards_have_interlocks(family):
    locks = {lock.id: lock for lock in family.interlocks}
    stopping = {lock.id for lock in locks.values() if lock.kind == "stop"}
    assert stopping == {"gas_escape", "carbon_monoxide", "smoulders", "heat_without_rotation", "shock"}
    assert set(locks) - stopping == {"overvoltage", "legs_overvoltage", "unsafe_wiring"}
    turning = locks["heat_without_rotation"]
    assert turning.seen["motor_response"] == ("drum_stands",)
    assert turning.seen["belt_and_its_switch"] == ("switch_bridged",)
    assert locks["unsafe_wiring"].seen["terminal_block_condition"] == ("scorched",)
    assert set(locks["carbon_monoxide"].above) == {"carbon_monoxide_in_room"}


def test_a_hazard_is_cleared_by_dead_looks_alone(family):
    """What made it stop is not tried again to see whether it is gone."""
    states = {test.id: test.states for test in family.tests}
    for lock in (lock for lock in family.interlocks if lock.id in ("smoulders", "heat_without_rotation", "shock")):
        assert lock.cleared_by
        for test in lock.cleared_by:
            assert states[test] == ("isolated",), (lock.id, test)
