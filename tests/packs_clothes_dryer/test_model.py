"""The model holds together: faults, repairs, tests, safety."""

from __future__ import annotations

import pytest

#: Whoever changes where gas or mains enter holds the licence for it.
LICENSED = {
    "gas_licence": {"replace_gas_valve", "fit_orifice_for_fuel", "repair_gas_leak"},
    "electrical_licence": {
        "rewire_outlet_for_two_legs", "mend_legs_neutral", "mend_service_neutral", "raise_legs_voltage",
        "correct_outlet_wiring", "raise_supply_voltage", "lower_supply_voltage", "repair_supply_connection",
    },
}


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


@pytest.mark.parametrize("skill", sorted(LICENSED))
def test_licensed_work_says_so(family, skill):
    assert {r.id for r in family.repairs if r.skill == skill} == LICENSED[skill]


def test_hazards_have_interlocks(family):
    locks = {lock.id: lock for lock in family.interlocks}
    stopping = {lock.id for lock in locks.values() if lock.kind == "stop"}
    assert stopping == {"gas_escape", "carbon_monoxide", "smoulders", "heat_without_rotation", "shock"}
    assert set(locks) - stopping == {
        "overvoltage", "legs_overvoltage", "unsafe_wiring", "burns_badly", "door_does_not_stop_it",
    }  # fmt: skip
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
