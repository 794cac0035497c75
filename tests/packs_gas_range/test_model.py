"""The model holds together: faults, repairs, tests, safety."""

from __future__ import annotations

import pytest


def test_bake_and_broil_are_made_alike(family):
    """Nothing of one burner lacks its counterpart, and both differ in names and rates only."""
    for kind in ("tests", "faults", "repairs", "parts", "functions", "circuits"):
        records = {record.id: record for record in getattr(family, kind)}
        bake = {i.replace("bake", "broil"): i for i in records if "bake" in i}
        assert set(bake) == {i for i in records if "broil" in i}, kind
        for other, own in bake.items():
            if kind not in ("faults", "repairs"):
                assert _renamed(records[own]) == repr(records[other]), own
    faults = {fault.id: fault for fault in family.faults}
    for fault in faults.values():
        if fault.id.startswith("bake_"):
            other = faults[fault.id.replace("bake", "broil")]
            assert (fault.part or "").replace("bake", "broil") == (other.part or "")
            assert other.when == fault.when
            assert other.rate < fault.rate


def _renamed(record) -> str:
    return repr(record).replace("bake", "broil").replace("Bake", "Broil")


def test_live_electrical_tests_are_done_with_the_gas_shut_and_warn(family):
    gas_on = {state.id for state in family.states if state.gas_on}
    for test in family.tests:
        if test.kind in ("voltage", "current"):
            assert not gas_on & set(test.states), test.id
            assert any("Mains" in caution for caution in test.cautions), test.id
    (live,) = (state for state in family.states if state.id == "live_gas_off")
    steps = " ".join(live.steps)
    assert steps.index("Shut the gas") < steps.index("clip the probes") < steps.index("Switch on")


def test_licensed_work_says_so(family):
    gas = {r.id for r in family.repairs if r.skill == "gas_licence"}
    electric = {r.id for r in family.repairs if r.skill == "electrical_licence"}
    assert {"replace_regulator", "fit_orifices_for_fuel", "repair_gas_leak", "replace_bake_valve"} <= gas
    supply = {"raise_supply_voltage", "lower_supply_voltage", "repair_supply_connection"}
    assert {"correct_outlet_wiring", *supply} <= electric
    (pressure,) = (test for test in family.tests if test.id == "manifold_pressure")
    assert pressure.skill == "gas_licence"
    assert "local codes" in family.notice
    assert any("Local codes" in caution for caution in family.cautions)


def test_hazards_have_interlocks(family):
    locks = {lock.id: lock for lock in family.interlocks}
    gas, monoxide, wiring = locks["gas_escape"], locks["carbon_monoxide"], locks["unsafe_wiring"]
    assert (gas.kind, monoxide.kind, wiring.kind) == ("stop", "stop", "refer")
    assert gas.complaints == ("gas_smell",)
    assert gas.seen == {"gas_odour": ("present",), "leak_check_solution": ("bubbles",)}
    assert gas.cleared_by == {"leak_check_solution": ("no_bubbles",), "gas_odour": ("none",)}
    assert set(monoxide.above) == {"carbon_monoxide_air_free", "carbon_monoxide_in_room"}
    assert wiring.seen == {"wiring_condition": ("scorched", "wet")}
    over = locks["overvoltage"]
    assert over.kind == "refer"
    assert over.above == dict.fromkeys(("outlet_voltage", "outlet_hot_to_ground"), pytest.approx(1.1 * 120.0))


@pytest.mark.parametrize("state", ["isolated", "live_gas_off", "live"])
def test_states_say_how_to_get_there_and_what_to_mind(family, state):
    (record,) = (s for s in family.states if s.id == state)
    assert record.steps
    assert record.cautions


def test_every_build_is_enumerated(builds):
    """Oven: 2 styles, spark, pilot; cooktop: 3; control: 2."""
    assert len(builds) == 4 * 3 * 2
