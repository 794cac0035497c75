"""Answers are written as their schemas say, and read back."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import replace

import numpy as np
import pytest
from marshmallow import ValidationError

from probewright_schemas import records
from probewright_schemas import results as schemas
from probewright_schemas.dump import to_document
from probewright_schemas.problem import ProblemSchema

PACK = records.PackIdentity("gas_range", "1.0.0", "sha256:0")
FINDING = records.Finding("odd", "doubt", "Odd.", "Look again.")
EXPECTED = records.Expected(
    "common_practice", "A", 3.2, 3.6, ("white",), "a sheet",
    {"supply_voltage": records.UsedCondition(121.0, "V", "case")},
)  # fmt: skip
READING = records.CheckedReading(
    "bake_igniter_current", "outside", 2.6, "A", "dim", True, True, EXPECTED, 0.0123456789, 0.0001, ("leads",),
    (FINDING,), 2.45,
)  # fmt: skip
OUTCOME = records.StepOutcome("below", "under 3.2 A", 0.7, records.LeadsTo("repair", "r", "R"))
STEP = records.Step("test", "t", "T", "Why.", "live", "rear", 6.0, 96.5, ("Do.",), ("Mind.",), 48.0, 0.9, (OUTCOME,))
FAULT = records.RankedFault("f", "F", 0.93, "p", (records.Evidence("t", 14.256), records.Evidence("u", -0.001)))
DIAGNOSIS = records.Diagnosis(
    PACK, (READING,), (FAULT,), 0.01, 0.002, "Mind codes.", "job",
    (records.OpenConfiguration({"fuel": "propane"}, 0.5),),
    (records.Clash(("a", "b"), "They clash."),), STEP, (STEP,), (records.PartChance("p", "P", 0.9),),
    (records.ClosingCheck("c", "Check.", "t", "open"),), ("Mind.",), ("120 V",),
    records.Outlook(142.0, 48.0, 0.9), records.PlannerNote("look_ahead", True, "Time ran out."), "sha256:1",
)  # fmt: skip
REPORT = records.ReadingsReport(PACK, (READING,), "Mind codes.", "job", ("120 V",))
SCORES = records.ScoreReport(
    PACK, ("no_fault", "f", "unknown"), (records.ScoredReading("t", (-1 / 3, -2.0, -3.0)),), "Mind codes.", (READING,),
    "job",
)
ANSWERS = {
    schemas.DiagnosisSchema: DIAGNOSIS,
    schemas.ReadingsReportSchema: REPORT,
    schemas.ScoreReportSchema: SCORES,
}
SCHEMA_OF = {s.record: s for s in vars(schemas).values() if isinstance(s, type) and hasattr(s, "record")}


def records_in(value):
    if dataclasses.is_dataclass(value):
        yield value
        for field in dataclasses.fields(value):
            yield from records_in(getattr(value, field.name))
    elif isinstance(value, (tuple, dict)):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from records_in(inner)


def test_the_samples_leave_no_field_out():
    for answer in ANSWERS.values():
        for record in records_in(answer):
            for field in dataclasses.fields(record):
                assert getattr(record, field.name) not in (None, ()), (type(record).__name__, field.name)


def test_every_field_of_every_record_is_in_its_schema():
    kinds = {type(record) for answer in ANSWERS.values() for record in records_in(answer)}
    assert len(kinds) == 20
    for kind in kinds:
        assert set(SCHEMA_OF[kind]().fields) == {f.name for f in dataclasses.fields(kind)}, kind.__name__


@pytest.mark.parametrize("schema", ANSWERS, ids=lambda s: s.record.__name__)
def test_answers_read_back(schema):
    document = to_document(ANSWERS[schema])
    back = schema().load(document)
    assert type(back) is type(ANSWERS[schema])
    assert to_document(back) == document


@pytest.mark.parametrize("schema", ANSWERS, ids=lambda s: s.record.__name__)
def test_every_field_is_written(schema):
    def check(document, schema):
        names = {f.data_key or n for n, f in schema.fields.items()}
        assert set(document) == names, type(schema).__name__
        for name, field in schema.fields.items():
            value = document[field.data_key or name]
            inner = getattr(field, "inner", field)
            for item in value if isinstance(value, list) else [value]:
                if isinstance(inner, schemas.Item):
                    check(item, inner.schema)

    document = to_document(ANSWERS[schema])
    document["readings"] = document["readings"][:1]
    check(document, schema())


def test_what_is_absent_is_left_out_and_arrays_stay():
    bare = records.Diagnosis(PACK, (records.CheckedReading("t", "inconclusive"),), (), 0.0, 1.0, "Mind codes.")
    assert to_document(bare) == {
        "pack": {"family": "gas_range", "version": "1.0.0", "digest": "sha256:0"},
        "readings": [{
            "test": "t", "verdict": "inconclusive", "over_range": False, "under_range": False, "assumed": [],
            "findings": [],
        }],
        "faults": [], "unexplained": 0.0, "no_fault": 1.0, "configurations": [], "clashes": [], "alternatives": [],
        "parts": [], "closing_checks": [], "cautions": [], "assumptions": [], "notice": "Mind codes.",
    }  # fmt: skip
    expected = to_document(records.ReadingsReport(PACK, (replace(READING, expected=records.Expected("shop")),), "n"))
    assert expected["readings"][0]["expected"] == {"basis": "shop", "conditions": {}}


def test_numbers_are_rounded_as_documented():
    document = to_document(DIAGNOSIS)
    assert document["readings"][0]["standard_uncertainty"] == 0.0123457
    assert document["faults"][0]["evidence"] == [{"from": "t", "decibans": 14.26}, {"from": "u", "decibans": 0.0}]
    assert math.copysign(1, document["faults"][0]["evidence"][1]["decibans"]) == 1
    assert to_document(SCORES)["readings"][0]["log_likelihoods"][0] == -1 / 3
    fine = replace(REPORT, readings=(replace(READING, value=1080.123456789),))
    assert to_document(fine)["readings"][0]["value"] == 1080.12346


def test_numpy_floats_come_out_plain():
    document = to_document(replace(SCORES, readings=(records.ScoredReading("t", (np.float64(-1.5),)),)))
    assert type(document["readings"][0]["log_likelihoods"][0]) is float


def test_what_is_impossible_is_written_as_a_number():
    answer = replace(SCORES, readings=(records.ScoredReading("t", (-math.inf, -2.0)),))
    assert to_document(answer)["readings"][0]["log_likelihoods"] == [-1e9, -2.0]


@pytest.mark.parametrize("number", [math.nan, math.inf])
def test_numbers_that_json_cannot_say_are_our_own_fault(number):
    broken = [
        replace(DIAGNOSIS, unexplained=number),
        replace(DIAGNOSIS, faults=(replace(FAULT, evidence=(records.Evidence("t", number),)),)),
        replace(REPORT, readings=(replace(READING, value=number),)),
        replace(SCORES, readings=(records.ScoredReading("t", (number,)),)),
    ]
    for answer in broken:
        with pytest.raises(ValueError, match="is not a number of an answer"):
            to_document(answer)


def test_only_answers_are_written():
    with pytest.raises(TypeError, match="Step is not an answer"):
        to_document(STEP)


def test_answers_hold_nothing_that_is_not_declared():
    document = to_document(REPORT) | {"more": 1}
    with pytest.raises(ValidationError):
        schemas.ReadingsReportSchema().load(document)


def test_problems_read_back():
    problem = {"type": "/x", "title": "X", "status": 422, "detail": "X.", "code": "x", "errors": []}
    assert ProblemSchema().load(problem)["status"] == 422
