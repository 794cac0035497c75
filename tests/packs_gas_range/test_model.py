"""The model holds together: faults, repairs, tests, safety."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from probewright.circuit.parts import holds
from probewright.packs.check import check_family
from probewright.packs.model import Family, Stated, Table
from probewright_packs import gas_range

#: Found by clearing everything else.
BY_ELIMINATION = {"spark_module_does_not_sense"}


def test_the_loader_takes_the_pack(pack):
    assert pack.family is gas_range.FAMILY
    assert gas_range.CONTRACT == "1.1"
    check_family(pack.family)


def test_every_fault_has_a_repair_where_it_can_be(family, builds):
    for fault in family.faults:
        repairs = [r for r in family.repairs if r.cures.get(fault.id, 0.0) >= 0.6]
        assert repairs, f"nothing cures {fault.id}"
        for build in builds:
            if holds(fault.when, build):
                assert any(holds(r.when, build) for r in repairs), f"nothing cures {fault.id} in {build}"


def test_a_repair_fits_a_part_that_its_faults_have(family):
    parts = {fault.id: fault.part for fault in family.faults}
    for repair in family.repairs:
        if repair.part is not None:
            assert any(parts[fault] == repair.part for fault in repair.cures), repair.id


def test_every_part_is_used(family):
    used = {r.part for r in family.repairs if r.part} | {f.part for f in family.faults if f.part}
    assert {part.id for part in family.parts} == used


def test_every_repair_cures_something_in_every_build_it_is_offered_in(family, builds):
    conditions = {fault.id: fault.when for fault in family.faults}
    for build in builds:
        for repair in family.repairs:
            if holds(repair.when, build):
                cured = [fault for fault in repair.cures if holds(conditions[fault], build)]
                assert cured, f"{repair.id} cures nothing in {build}"


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
    # Where nothing senses flames, nobody notices crossed wires; a pilot needs no supply.
    quiet = {"polarity_reversed", "ground_missing", "supply_low_beside_pilot_oven"}
    for fault in family.faults:
        shown = set(revealing(family, fault.id))
        assert shown, fault.id
        assert shown & complaints or fault.id in quiet, f"nobody complains of {fault.id}"
        assert shown - complaints or fault.id in BY_ELIMINATION, f"no test shows {fault.id}"


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


def test_resistance_is_never_read_under_power(family):
    powered = {state.id for state in family.states if state.powered}
    for test in family.tests:
        if test.kind in ("resistance", "continuity", "capacitance"):
            assert not powered & set(test.states), test.id
        if test.kind in ("voltage", "current"):
            assert set(test.states) <= powered, test.id


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
