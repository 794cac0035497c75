"""Every way of breaking the contract is found, and told with what to change."""

from __future__ import annotations

import importlib
import itertools
import re
from dataclasses import dataclass, replace

import numpy as np
import pytest

import range_hood
from probewright.packs import Closing, Complaint, Fault, Finding, Option, OptionValue, Table, invented
from probewright.testing import check_conformance
from probewright.testing.conformance import CHECKS, PackConformance


def failure(pack):
    """What a broken pack is told."""
    with pytest.raises(AssertionError) as caught:
        check_conformance(pack)
    return str(caught.value)


def failed(told):
    """The checks that a report says have failed."""
    return [name for name in CHECKS if f"\n{name}: " in told]


def test_a_sound_pack_is_told_what_was_checked():
    found = check_conformance(range_hood)
    assert found.family == "range_hood"
    assert found.checks == tuple(CHECKS)
    assert found.ambiguous == ()


def test_the_suite_and_the_function_check_the_same():
    suite = [name.removeprefix("test_") for name in vars(PackConformance) if name.startswith("test_")]
    assert suite == list(CHECKS)


def test_a_pack_that_is_refused_is_told_why(make_pack, hood):
    told = failure(make_pack(hood(notice="")))
    assert "the loader refuses a pack" in told
    assert "notice is empty" in told


def test_an_older_contract_is_told_before_it_is_refused(make_pack):
    told = failure(make_pack(contract=1))
    assert "the next minor version of the contract will refuse this pack" in told
    assert 'write CONTRACT = "1.0"' in told


PRIVATE = """from probewright.packs import Family, hookimpl, overlay
from probewright.packs.check.tests import CONDITIONS
import probewright.figures
import probewright.packs, probewright_schemas
from probewright import engine, packs
from range_hood import CONTRACT, FAMILY

def borrowed():
    from probewright.testing import sample_cases

@hookimpl
def probewright_family():
    return FAMILY
"""


def test_imports_beside_the_contract_are_told_with_their_lines(tmp_path, monkeypatch):
    monkeypatch.syspath_prepend(str(tmp_path))
    (tmp_path / "pw_private_hood.py").write_text(PRIVATE)
    told = failure(importlib.import_module("pw_private_hood"))
    assert failed(told) == ["imports_the_contract_alone"]
    lines = re.findall(r"pw_private_hood\.py, line (\d): ([a-z_.A-Z]+)[;.] ", told)
    assert lines == [
        ("1", "probewright.packs.overlay"), ("2", "probewright.packs.check.tests.CONDITIONS"),
        ("3", "probewright.figures"), ("4", "probewright_schemas"), ("5", "probewright.engine"),
    ]  # fmt: skip


def test_a_family_that_changes_is_told(make_pack, hood):
    numbers = itertools.count()
    told = failure(make_pack(lambda: hood(title=f"Range hood {next(numbers)}")))
    assert "gives_the_same_family_each_time" in failed(told)
    assert "no clock, no chance, no environment" in told


def test_a_description_out_of_its_schema_is_told(make_pack, hood):
    @dataclass(frozen=True)
    class Noted(Fault):
        note: str = "mine"

    first, *others = range_hood.FAULTS
    noted = Noted(first.id, first.title, first.rate)
    told = failure(make_pack(hood(faults=(noted, *others))))
    assert failed(told) == ["description_keeps_its_schema"]
    assert "note" in told


def finding(**changes):
    fields = {"code": "odd", "severity": "note", "message": "Odd."}
    return Finding(**(fields | changes))


@pytest.mark.parametrize(
    ("validate", "told"),
    [
        (lambda context: [finding(severity="fatal")], "of severity note, doubt, reject, not of severity 'fatal'"),
        (lambda context: [finding(message=None)], "whose message is text, not None"),
        (lambda context: [finding(code="Very Odd")], "code 'Very Odd'; expected a snake_case name"),
        (lambda context: [finding(message=" ")], "a finding without a message"),
        (lambda context: "odd", "must return a sequence"),
        (lambda context: [{"code": "odd"}], "must return findings"),
    ],
)
def test_findings_that_break_the_contract_are_told(make_pack, validate, told):
    assert told in failure(make_pack(probewright_validate=validate))


def test_a_validator_with_a_memory_is_told(make_pack):
    numbers = itertools.count()
    told = failure(make_pack(probewright_validate=lambda context: [finding(message=f"Call {next(numbers)}.")]))
    assert "gives other findings the second time" in told


def test_a_validator_that_changes_what_it_is_given_is_told(make_pack):
    def validate(context):
        context.configuration["touched"] = "yes"
        return ()

    assert "changes what it is given" in failure(make_pack(probewright_validate=validate))


@pytest.mark.parametrize(
    ("score", "told"),
    [
        (lambda context: np.full(len(context.hypotheses), np.nan), "gives NaN or +inf"),
        (lambda context: np.full(len(context.hypotheses), np.inf), "gives NaN or +inf"),
        (lambda context: np.zeros(3), "gives shape (3,)"),
        (lambda context: context.declared.astype(np.float32), "numbers of type float32; expected float64"),
        (lambda context: 1 / 0, "a hook of the pack fails"),
    ],
)
def test_scores_that_break_the_contract_are_told(make_pack, score, told):
    said = failure(make_pack(probewright_score=score))
    assert "hooks_keep_the_contract" in failed(said)
    assert told in said


def test_a_scorer_with_a_memory_is_told(make_pack):
    numbers = itertools.count()
    told = failure(make_pack(probewright_score=lambda context: context.declared - 1e-3 * next(numbers)))
    assert "gives other scores the second time" in told
    assert "answers_are_the_same_each_time" in failed(told)


def test_rows_of_a_batch_that_depend_on_each_other_are_told(make_pack):
    told = failure(make_pack(probewright_score_batch=lambda batch: batch.declared - batch.declared.mean()))
    assert "no row may depend on another" in told


def test_a_sound_batch_scorer_passes(make_pack):
    pack = make_pack(probewright_score_batch=lambda batch: np.where(batch.declared < -900, -np.inf, batch.declared))
    assert check_conformance(pack).family == "range_hood"


def test_likelihoods_that_do_not_add_up_are_told(make_pack):
    told = failure(make_pack(probewright_score=lambda context: context.declared + np.log(0.5)))
    assert failed(told) == ["outcomes_add_up"]
    assert "the likelihoods of strong, weak, still of test fan under no_fault add up to 0.5" in told


def spread_of(fault):
    (model,) = next(test for test in range_hood.TESTS if test.id == "capacitance").models
    return model.by_fault[fault]


def test_a_fault_that_cannot_lead_is_told_with_the_ranking(make_pack, hood, with_test):
    faint = Fault("bearing_worn", "Bearing worn", invented(0.02))
    shown = {"bearing_worn": {"strong": invented(0.9), "weak": invented(0.08), "still": invented(0.02)}}

    def weaken(test):
        [table] = test.models
        return replace(test, models=(replace(table, by_fault={**table.by_fault, **shown}),))

    told = failure(make_pack(replace(with_test("fan", weaken), faults=(*range_hood.FAULTS, faint))))
    assert failed(told) == ["every_fault_can_lead"]
    assert "bearing_worn: expected it to lead" in told
    assert "no test shows it" in told
    assert "nothing wrong" in told


def test_a_fault_that_another_always_outshines_is_told(make_pack, hood):
    """What it shows is its own, and likelier under a fault that is six times as common."""
    rows = {"fan": {"weak": invented(0.45), "still": invented(0.55)}, "capacitance": spread_of("capacitor_weak")}

    def dried(test):
        (model,) = test.models
        return replace(test, models=(replace(model, by_fault={**model.by_fault, "capacitor_dry": rows[test.id]}),))

    tests = tuple(dried(test) if test.id in rows else test for test in range_hood.TESTS)
    dry = Fault("capacitor_dry", "Run capacitor dried out", invented(0.005), "capacitor")
    told = failure(make_pack(hood(tests=tests, faults=(*range_hood.FAULTS, dry))))
    assert failed(told) == ["every_fault_can_lead"]
    assert "capacitor_dry: expected it to lead" in told


def test_faults_that_no_test_tells_apart_are_reported(make_pack, hood):
    twin = Fault("fuse_blown", "Fuse blown", invented(0.01))

    def doubled(test):
        models = []
        for model in test.models:
            assert isinstance(model, Table) or "no_supply" not in model.by_fault
            row = model.by_fault.get("no_supply")
            models.append(model if row is None else replace(model, by_fault={**model.by_fault, "fuse_blown": row}))
        return replace(test, models=tuple(models))

    tests = tuple(doubled(test) for test in range_hood.FAMILY.tests)
    found = check_conformance(make_pack(hood(tests=tests, faults=(*range_hood.FAULTS, twin))))
    assert found.ambiguous == (("no_supply", "fuse_blown"),)


def test_a_fault_that_no_build_can_have_is_told(make_pack):
    impossible = replace(range_hood.FAULTS[0], when={"speed": "two"})
    values = (OptionValue("one", "One", invented(1.0)), OptionValue("two", "Two", invented(0.0)))
    speeds = Option("speed", "Speed", values)
    family = replace(range_hood.FAMILY, options=(speeds,), faults=(impossible, *range_hood.FAULTS[1:]))
    assert "no_supply: no build of the appliance can have it" in failure(make_pack(family))


def test_a_closing_check_that_nothing_asks_for_is_told(make_pack, hood):
    closings = (*range_hood.FAMILY.closings, Closing("lit", "The lamp is lit.", "lamp"))
    told = failure(make_pack(hood(closings=closings)))
    assert failed(told) == ["closing_checks_can_be_passed"]
    assert "closing check lit: no repair asks for it" in told


def test_a_closing_check_that_a_sound_appliance_fails_is_told(make_pack, hood):
    closings = tuple(replace(c, passes=("weak",)) if c.id == "air_moves" else c for c in range_hood.FAMILY.closings)
    told = failure(make_pack(hood(closings=closings)))
    assert failed(told) == ["closing_checks_can_be_passed"]
    assert "when its test fan shows strong, as a sound appliance typically does, but it is failed" in told


def test_a_closing_check_that_no_build_can_show_is_told(make_pack, hood, with_test):
    values = (OptionValue("one", "One", invented(0.5)), OptionValue("two", "Two", invented(0.5)))
    family = with_test("wiring", lambda test: replace(test, when={"speed": "two"}))
    repairs = tuple(replace(repair, when={"speed": "one"}) for repair in family.repairs)
    told = failure(make_pack(replace(family, options=(Option("speed", "Speed", values),), repairs=repairs)))
    assert "closing check wiring_sound: no build has both a repair that asks for it and its test wiring" in told


def test_a_closing_check_that_is_only_told_passes(make_pack, hood):
    closings = (*range_hood.FAMILY.closings, Closing("tidy", "The cooktop is clean."))
    first, *others = range_hood.FAMILY.repairs
    repairs = (replace(first, closing_checks=(*first.closing_checks, "tidy")), *others)
    assert check_conformance(make_pack(hood(closings=closings, repairs=repairs))).family == "range_hood"


def test_a_hook_that_changes_the_family_is_told(make_pack, hood):
    def validate(context):
        object.__setattr__(context.family, "title", "Mine")
        return ()

    told = failure(make_pack(lambda: hood(title="Range hood"), probewright_validate=validate))
    assert "one of its records was changed" in told


def test_a_scorer_that_changes_what_it_is_given_is_told(make_pack):
    def score(context):
        context.reading.configuration["touched"] = "yes"

    assert "changes the readings it is given" in failure(make_pack(probewright_score=score))


def test_outcomes_that_the_pack_rejects_need_not_add_up(make_pack):
    def validate(context):
        dark = context.checked.seen == "dark"
        return [finding(severity="reject", message="Look again by daylight.")] if dark else []

    def score(context):
        return context.declared + np.log(0.5) if context.reading.test.id == "lamp" else None

    assert check_conformance(make_pack(probewright_validate=validate, probewright_score=score)).checks


def test_a_scorer_that_goes_by_position_is_told(make_pack):
    def score(context):
        scores = context.declared.copy()
        scores[1] -= 2.0
        return scores

    told = failure(make_pack(probewright_score=score))
    assert "order_of_records_does_not_matter" in failed(told)
    assert "Let hooks go by ids, never by position" in told


def test_a_complaint_that_is_never_answered_is_told(make_pack, hood):
    """The engine refuses nothing that the loader took, so this is a pack whose hook refuses one case."""

    def validate(context):
        raise ValueError("no")

    told = failure(make_pack(probewright_validate=validate))
    assert {"hooks_keep_the_contract", "sample_cases_are_answered"} <= set(failed(told))
    assert "500 bad_pack" in told


def test_complaints_are_asked_about_with_a_plan(make_pack, hood):
    rattles = Complaint("rattles", "It rattles", invented(0.01), shown_by={"damper": invented(0.5)})
    told = failure(make_pack(hood(complaints=(*range_hood.FAMILY.complaints, rattles))))
    assert "fault 'damper' does not exist" in told
