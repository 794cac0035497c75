from __future__ import annotations

import json
from types import SimpleNamespace

import pytest

from probewright import engine
from probewright.batch.answering import Diagnoses, Reevaluations, load_changes, one_by_one
from probewright.batch.jobs import load_job
from probewright.batch.lines import Line, LineTooLongError
from probewright.errors import EngineError, InvalidCase, PackModelError
from probewright.intake import MalformedJsonError, load_case
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright_schemas.batch_records import Change, Held, Reevaluation
from probewright_schemas.dump import to_document
from probewright_schemas.records import Diagnosis, PackIdentity

SETTINGS = Settings()


@pytest.fixture(scope="module")
def registry():
    return load_packs()


def lines(*documents):
    return [
        Line(number, document if document is None or isinstance(document, bytes) else json.dumps(document).encode())
        for number, document in enumerate(documents, 1)
    ]


def case(reference, family="gas_range"):
    return {"family": family, "reference": reference}


def little(one, pack, settings):
    """An answer that says little, or what its reference asks for."""
    if one.reference == "bad pack":
        raise PackModelError("broken")
    if one.reference == "our fault":
        raise ZeroDivisionError
    unknown = float("nan") if one.reference == "no number" else 0.25
    return Diagnosis(pack.identity, (), (), unknown, 0.75, "Mind codes.", one.reference)


class Many:
    """Answers many at once, and notes how many."""

    def __init__(self):
        self.asked = []

    def __call__(self, cases, pack, settings):
        self.asked.append((pack.family.id, [one.reference for one in cases]))
        return one_by_one(little)(cases, pack, settings)


def test_answers_come_in_the_order_of_their_lines_and_families_are_asked_together(registry):
    many = Many()
    batch = Diagnoses(registry, SETTINGS, many)
    outcomes = batch.work(lines(case("a"), case("b", "clothes_dryer"), case("c")), 1000)
    assert [(o.line, o.answer["reference"], o.answer["pack"]["family"]) for o in outcomes] == [
        (1, "a", "gas_range"), (2, "b", "clothes_dryer"), (3, "c", "gas_range"),
    ]  # fmt: skip
    assert many.asked == [("gas_range", ["a", "c"]), ("clothes_dryer", ["b"])]


def test_a_bad_line_costs_no_other_its_answer(registry):
    batch = Diagnoses(registry, SETTINGS, Many())
    content = (case("a"), b"{oops", b'{"family": "\xff"}', None, case("b", "kettle"), {"family": "gas_range", "x": 1},
               case("c"))  # fmt: skip
    answers = [outcome.answer for outcome in batch.work(lines(*content), 1000)]
    assert [type(answer) for answer in answers] == [
        dict, MalformedJsonError, MalformedJsonError, LineTooLongError, InvalidCase, InvalidCase, dict,
    ]  # fmt: skip
    assert answers[4].faults[0].code == "unknown_family"
    assert answers[5].faults[0].pointer == "/x"
    assert str(answers[3]) == "The line has more than 1000 bytes."
    pack = registry.get("gas_range").identity
    assert batch.summary() == {
        "lines": 7, "answered": 2, "refused": 5,
        "packs": [{"family": "gas_range", "version": pack.version, "digest": pack.digest}],
    }  # fmt: skip


def test_a_failure_over_one_case_is_its_own(registry):
    many = Many()
    batch = Diagnoses(registry, SETTINGS, many)
    asked = [case(r) for r in ("a", "our fault", "bad pack", "no number", "b")]
    answers = [outcome.answer for outcome in batch.work(lines(*asked), 1000)]
    assert [type(answer) for answer in answers] == [dict, ZeroDivisionError, PackModelError, ValueError, dict]
    assert (batch.summary()["answered"], batch.summary()["refused"]) == (2, 3)


def test_the_models_that_answered_are_told_once_each_by_family(registry):
    batch = Diagnoses(registry, SETTINGS, Many())
    batch.work(lines(case("a"), case("b", "clothes_dryer"), case("c")), 1000)
    batch.work(lines(case("d", "clothes_dryer")), 1000)
    assert [pack["family"] for pack in batch.summary()["packs"]] == ["clothes_dryer", "gas_range"]


def test_nothing_comes_to_nothing(registry):
    batch = Diagnoses(registry, SETTINGS, Many())
    assert batch.work([], 1000) == []
    assert batch.summary() == {"lines": 0, "answered": 0, "refused": 0, "packs": []}


def test_the_engine_that_ships_answers_as_it_does_alone(registry):

    asked = {"family": "gas_range", "complaints": ["bake_does_not_light"], "effort": "none"}
    batch = Diagnoses(registry, SETTINGS, engine.diagnose_many)
    (outcome,) = batch.work(lines(asked), 1000)
    alone = engine.diagnose(load_case(asked), registry.get("gas_range"), SETTINGS)
    assert outcome.answer == to_document(alone)


PACK = PackIdentity("gas_range", "1", "sha256:0")
RESULT = Reevaluation(
    "gas_range", "changed", "It is so.", PACK, Held("bake_igniter_weak", 0.5), "sha256:1",
    changes=(Change("verdict", "bake_igniter_current", 0, "within", "outside"),),
)  # fmt: skip


def test_jobs_are_asked_again_together_and_counted():
    asked = []

    def results(jobs):
        asked.append([job.case.reference for job in jobs])
        return [EngineError("no") if job.case.reference == "no" else RESULT for job in jobs]

    batch = Reevaluations(SimpleNamespace(results=results))
    content = ({"case": case("a"), "kept": "left alone"}, {"case": case("no")}, {"answer": {}}, {"case": case("b")})
    outcomes = batch.work(lines(*content), 1000)
    assert asked == [["a", "no", "b"]]
    assert outcomes[0].answer["why"] == "It is so."
    assert isinstance(outcomes[1].answer, EngineError)
    assert {fault.pointer for fault in outcomes[2].answer.faults} >= {"/case"}
    summary = batch.summary()
    assert (summary["lines"], summary["answered"], summary["refused"]) == (4, 2, 2)
    assert summary["by_status"] == {"changed": 2}
    assert summary["by_change"] == {"verdict": 2}
    assert summary["packs"] == [{"family": "gas_range", "version": "1", "digest": "sha256:0"}]


def test_a_job_over_which_everything_fails_is_found_out():
    def results(jobs):
        if any(job.case.reference == "worst" for job in jobs):
            raise ZeroDivisionError
        return [RESULT for _ in jobs]

    batch = Reevaluations(SimpleNamespace(results=results))
    outcomes = batch.work(lines(*[{"case": case(r)} for r in ("a", "worst", "b")]), 1000)
    assert [type(outcome.answer) for outcome in outcomes] == [dict, ZeroDivisionError, dict]


def test_changes_and_jobs_are_refused_with_pointers():
    with pytest.raises(InvalidCase) as caught:
        load_changes({"corrections": [{"meter": "m", "kind": "colour", "correction": {}}], "x": 1})
    assert {fault.pointer for fault in caught.value.faults} == {"/corrections/0/kind", "/x"}
    with pytest.raises(InvalidCase):
        load_job([])
    assert load_changes({}).corrections == ()
