"""What is asked of a visit's plan is read strictly, and what is answered is written as its schema says."""

from __future__ import annotations

import copy

import pytest

from probewright_schemas import records, visit_records
from probewright_schemas.dump import to_document
from probewright_schemas.faults import DocumentError
from probewright_schemas.load import visit_loader
from probewright_schemas.visit import CaseFragmentSchema, VisitPlanSchema, VisitRequestSchema

REQUEST = {
    "family": "gas_range", "reference": "job-1042", "options": {"fuel": "natural_gas"},
    "complaints": ["bake_does_not_light"], "working": ["display_on"],
    "conditions": {"ambient": {"value": 70, "unit": "degF"}},
    "readings": [{"test": "control_lock", "seen": "off", "state": "live"}],
    "costs": {"labour_per_hour": 95, "callback": 120, "return_visit": 90, "parts": {"bake_igniter": 48}},
    "visit": {"tools": ["multimeter"], "skills": [], "parts_on_hand": ["bake_igniter"]},
    "budget": 120, "most_parts": 4, "asked": ["gas_smell_now"],
}  # fmt: skip
LOAD = visit_loader()

PACK = records.PackIdentity("gas_range", "1.0.0", "sha256:0")
STOP = records.Step("stop", "gas_escape", "Gas", "It smells.", steps=("Leave.",), cautions=("Mind.",))
FRAGMENT = visit_records.CaseFragment(
    {"fuel": "propane"}, ("c",), ("w",), (records.Reading("t", seen="on", state="live"), records.Reading("u", seen="x"))
)
QUESTION = visit_records.CustomerQuestion(
    "q", "Q?", "Why.",
    (visit_records.AnswerChoice("a", "A.", FRAGMENT, 0.25, STOP), visit_records.AnswerChoice("b", "B.")), 9.5,
)  # fmt: skip
PLAN = visit_records.VisitPlan(
    PACK, "Mind codes.", "job", STOP, (QUESTION, visit_records.CustomerQuestion("r", "R?", "Why.", ())),
    (visit_records.PlannedPart("p", "P", 48.0, True, 0.4, 0.8, 0.5),), (visit_records.ToolChance("meter", 0.7),),
    (visit_records.SkillChance("licence", 0.1),), visit_records.VisitMinutes(95.0, 45.0, 170.0, 30.0), 0.83, 142.0,
    (visit_records.WorkGroup(
        "live", ("Go.",), (visit_records.WorkItem("test", "t", "T", 6.0, 1.0),), ("Mind.",), "rear",
    ), visit_records.WorkGroup("dead", (), ())),
    (visit_records.FaultChance("f", "F", 0.4),), ("Mind.",), ("120 V",), records.PlannerNote("rollout", True, "Bound."),
)  # fmt: skip


def changed(**changes):
    return copy.deepcopy(REQUEST) | changes


def faults(document):
    with pytest.raises(DocumentError) as refusal:
        LOAD(document)
    return {fault.pointer: fault.code for fault in refusal.value.faults}


def test_a_request_is_read():
    request = LOAD(REQUEST)
    assert (request.budget, request.most_parts, request.asked) == (120.0, 4, ("gas_smell_now",))
    assert request.readings == (records.Reading("control_lock", seen="off", state="live"),)
    assert request == VisitRequestSchema().load(REQUEST)


def test_it_is_about_the_case_that_it_was_made_of():
    case, request = LOAD(REQUEST).case(), LOAD(REQUEST)
    for name in ("family", "reference", "options", "complaints", "working", "conditions", "readings", "costs", "visit"):
        assert getattr(case, name) == getattr(request, name)
    assert (case.repairs_done, case.tech_sheet, case.effort) == ((), {}, "quick")


def test_a_case_without_measurements_is_a_request():
    case = {name: REQUEST[name] for name in ("family", "reference", "options", "complaints", "working", "costs")}
    assert LOAD(case).budget is None


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        ({"meters": {}}, "/meters", "unknown_field"),
        ({"tech_sheet": {}}, "/tech_sheet", "unknown_field"),
        ({"repairs_done": []}, "/repairs_done", "unknown_field"),
        ({"effort": "quick"}, "/effort", "unknown_field"),
        ({"readings": [{"test": "t", "value": 3, "unit": "A"}]}, "/readings/0/value", "unknown_field"),
        ({"readings": [{"test": "t"}]}, "/readings/0/seen", "missing"),
        ({"budget": -1}, "/budget", "range"),
        ({"budget": "120"}, "/budget", "type"),
        ({"most_parts": 2.5}, "/most_parts", "whole"),
        ({"most_parts": -1}, "/most_parts", "range"),
        ({"most_parts": True}, "/most_parts", "type"),
        ({"asked": ["a", "a"]}, "/asked/1", "duplicate"),
        ({"family": 3}, "/family", "type"),
    ],
)
def test_what_breaks_the_contract_is_named(change, pointer, code):
    assert faults(changed(**change)).get(pointer) == code


def test_a_whole_number_may_be_written_with_a_point():
    assert LOAD(changed(most_parts=2.0)).most_parts == 2


def test_a_plan_is_written_as_its_schema_says():
    assert VisitPlanSchema().load(to_document(PLAN)) == PLAN


def test_what_is_absent_is_left_out():
    document = to_document(visit_records.VisitPlan(PACK, "Mind codes."))
    assert set(document) == {
        "pack", "questions", "parts", "tools", "skills", "order", "likeliest", "cautions", "assumptions", "notice",
    }  # fmt: skip
    assert to_document(PLAN)["questions"][0]["answers"][1]["adds"] == {}
    assert "value" not in to_document(PLAN)["questions"][1]


def test_what_an_answer_adds_fits_into_a_request():
    adds = to_document(PLAN)["questions"][0]["answers"][0]["adds"]
    assert CaseFragmentSchema().load(adds) == FRAGMENT
    assert LOAD({"family": "gas_range", **adds}).readings == FRAGMENT.readings
