"""What holds in every family: faults are shown, complained of and cured, parts are used, work is proven."""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module

from probewright.circuit.parts import holds
from probewright.packs import CONTRACT_VERSION, DEAD_KINDS, LIVE_KINDS
from probewright.packs.check import check_family
from probewright.packs.model import Family, Stated, Table

#: Faults that nobody complains of, by family: crossed wires where nothing senses flames, a supply that a pilot does
#: not need.
QUIET = {
    "gas_range": {"polarity_reversed", "ground_missing", "supply_low_beside_pilot_oven"},
    "clothes_dryer": {"polarity_reversed"},
}
#: Found by clearing everything else.
BY_ELIMINATION = {"gas_range": {"spark_module_does_not_sense"}}
#: What is fitted and is no part of the appliance, or is fitted beside the part of the fault.
BESIDE = {"clothes_dryer": {"vent_duct", "lint_screen"}}
#: What is seen to last, before anybody leaves.
LAST_LOOK = {"gas_range": "anti-tip", "electric_range": "anti-tip", "clothes_dryer": "vent is connected"}
#: What is seen to last, before anybody leaves.
LAST_LOOK = {"gas_range": "anti-tip", "electric_range": "anti-tip", "clothes_dryer": "vent is connected"}
#: From this chance on a repair is meant for a fault.
MEANT = 0.6


def test_the_loader_takes_the_pack(pack):
    module = import_module(f"probewright_packs.{pack.family.id}")
    assert pack.family is module.FAMILY
    assert module.CONTRACT == CONTRACT_VERSION
    check_family(pack.family)


def test_every_fault_has_a_repair_where_it_can_be(family, builds):
    for fault in family.faults:
        repairs = [r for r in family.repairs if r.cures.get(fault.id, 0.0) >= MEANT]
        for build in (b for b in builds if holds(fault.when, b)):
            assert any(holds(r.when, build) for r in repairs), f"nothing cures {fault.id} in {build}"


def test_every_repair_cures_something_in_every_build_it_is_offered_in(family, builds):
    conditions = {fault.id: fault.when for fault in family.faults}
    for build in builds:
        for repair in (r for r in family.repairs if holds(r.when, build)):
            assert [f for f in repair.cures if holds(conditions[f], build)], f"{repair.id} cures nothing in {build}"


def test_a_repair_fits_a_part_that_its_faults_have(family):
    parts = {fault.id: fault.part for fault in family.faults}
    for repair in (r for r in family.repairs if r.part and r.part not in BESIDE.get(family.id, ())):
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
    quiet, eliminated = QUIET.get(family.id, ()), BY_ELIMINATION.get(family.id, ())
    for fault in family.faults:
        shown = set(revealing(family, fault.id))
        assert shown & complaints or fault.id in quiet, f"nobody complains of {fault.id}"
        assert shown - complaints or fault.id in eliminated, f"no test shows {fault.id}"


def test_resistance_is_never_read_under_power_and_voltage_never_without(family):
    powered = {state.id for state in family.states if state.powered}
    for test in family.tests:
        if test.kind in DEAD_KINDS:
            assert not powered & set(test.states), test.id
        if test.kind in LIVE_KINDS:
            assert set(test.states) <= powered, test.id


def test_every_repair_has_closing_checks_and_every_check_is_used(family):
    assert all(repair.closing_checks for repair in family.repairs)
    assert {check for repair in family.repairs for check in repair.closing_checks} == {c.id for c in family.closings}
    for repair in family.repairs:
        assert len(repair.closing_checks) == len(set(repair.closing_checks)), repair.id


def test_what_was_opened_is_closed(family):
    opened = {repair.id for repair in family.repairs if set(repair.zones) - {"outside"}}
    assert len(opened) > 15
    for repair in (r for r in family.repairs if r.id in opened):
        assert "covers_on" in repair.closing_checks, repair.id
    (closing,) = (c for c in family.closings if c.id == "covers_on")
    assert LAST_LOOK[family.id] in closing.text
    (closing,) = (c for c in family.closings if c.id == "covers_on")
    assert LAST_LOOK[family.id] in closing.text


def test_the_checklist_holds_tests_that_find_faults_alone(family):
    asked = {test.id for test in family.tests if not test.closing and not test.reported}
    assert set(family.checklist) <= asked
    assert len(family.checklist) > 0.8 * len(asked)
