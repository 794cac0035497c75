"""Questions for customers: what holds together is accepted, and what would endanger a lay person is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from probewright.errors import PackModelError
from probewright.figures import invented
from probewright.packs.check import check_family
from probewright.packs.describe import describe
from probewright.packs.model import Answer, Question, Table, Test
from probewright.packs.questions import DOES_NOT_KNOW, used_in
from probewright.packs.registry import LoadedPack
from probewright_schemas.family import QuestionSchema

GLOW = Question(
    "glow", "Does it glow?",
    (Answer("bright", "Yes.", seen={"glow": "bright"}), Answer("dark", "No.", complaints=("dark",))),
    why="It tells the bulb from the rest.",
)  # fmt: skip
FIRE = Question(
    "fire", "Does it smell burnt?",
    (Answer("burnt", "Yes.", complaints=("smells_burnt",), stop="burning"), Answer("fresh", "No.")),
    why="Fire comes first.", always=True,
)  # fmt: skip
TOLD = Test(
    "told", "Told", "seen", ("live",), "outside", invented(1),
    (Table({"well": invented(0.9), "ill": invented(0.1)}),), outcomes=("well", "ill"), reported=True,
)  # fmt: skip


NO = Answer("no", "No.")


def asked(family, *questions, tests=()):
    return replace(family, questions=questions, tests=(*family.tests, *tests))


def answers(*given, **changes):
    return replace(GLOW, answers=given, **changes)


def test_questions_that_hold_together_are_accepted(family):
    check_family(asked(family, GLOW, FIRE))
    kind = replace(GLOW, id="kind", answers=(Answer("plain", "Plain.", options={"kind": "plain"}), NO))
    check_family(asked(family, kind, when_fancy()))
    check_family(asked(family, answers(Answer("ill", "Ill.", seen={"told": "ill"}), NO), tests=(TOLD,)))


def when_fancy():
    return replace(GLOW, id="shade", when={"kind": "fancy"})


BAD = Answer("bad", "Bad.")
BROKEN = {
    "unknown_complaint": (answers(replace(BAD, complaints=("drak",)), NO), r"complaint 'drak' does not"),
    "unknown_function": (answers(replace(BAD, working=("light",)), NO), r"function 'light' does not"),
    "unknown_option": (answers(replace(BAD, options={"kin": "plain"}), NO), r"option 'kin' does not"),
    "unknown_value": (answers(replace(BAD, options={"kind": "plan"}), NO), r"'plan' does not exist"),
    "unknown_test": (answers(replace(BAD, seen={"glows": "dim"}), NO), r"test 'glows' does not exist"),
    "unknown_outcome": (answers(replace(BAD, seen={"glow": "dimm"}), NO), r"'dimm' does not exist"),
    "unknown_when": (replace(GLOW, when={"kind": "odd"}), r"'odd' does not exist"),
    "no_question": (replace(GLOW, text="Tell whether it glows."), r"ends with a question mark"),
    "no_reason": (replace(GLOW, why=" "), r"why is empty"),
    "no_text": (answers(Answer("a", " ", seen={"glow": "dim"}), NO), r"text is empty"),
    "one_answer": (answers(GLOW.answers[0]), r"needs at least two answers"),
    "adds_nothing": (answers(Answer("a", "A."), Answer("b", "B.", options={})), r"no answer adds anything"),
    "adds_the_same": (answers(*GLOW.answers, replace(GLOW.answers[0], id="again")), r"adds the same as an earlier"),
    "same_id": (answers(GLOW.answers[0], replace(GLOW.answers[1], id="bright")), r"the id is used 2 times"),
    "odd_id": (replace(GLOW, id="Glow"), r"snake_case"),
    "cannot_tell": (answers(*GLOW.answers, Answer(DOES_NOT_KNOW, "?")), r"is there already"),
    "contradicts": (answers(replace(BAD, complaints=("dark",), working=("lights",)), NO),
                    r"complains of 'lights', and says that it works"),
    # What a lay person must not do or cannot tell:
    "measured": (answers(replace(BAD, seen={"lamp_current": "low"}), NO), r"it is measured"),
    "hazard_unsaid": (replace(FIRE, answers=(replace(FIRE.answers[0], stop=None), FIRE.answers[1])),
                      r"raises interlock 'burning', so stop must name it"),
    "hazard_seen": (answers(Answer("a", "A.", seen={"glass": "cracked"}), NO),
                    r"raises interlock 'burning'"),
    "hazard_made_up": (answers(replace(GLOW.answers[0], stop="burning"), GLOW.answers[1], always=True),
                       r"stop names interlock 'burning', which nothing of the answer raises"),
    "hazard_weighed": (replace(FIRE, always=False), r"stops everything, so it is asked always"),
    "dead_state": (answers(Answer("a", "A.", seen={"glass": "whole"}), NO),
                   r"not done in the state 'live', in which the appliance is used"),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_broken_questions_are_refused(family, name):
    question, rule = BROKEN[name]
    with pytest.raises(PackModelError, match=rule):
        check_family(asked(family, question))


@pytest.mark.parametrize(
    ("change", "rule"),
    [
        ({"zone": "inside"}, "something must be opened"),
        ({"instrument": "lamp"}, "takes an instrument"),
        ({"skill": "electrician"}, "takes an instrument or a skill"),
        ({"states": ("isolated",)}, "in which the appliance is used"),
        ({"closing": True}, "cannot be left to what customers tell"),
    ],
)
def test_what_a_customer_is_asked_is_safe_to_look_at(family, change, rule):
    question = answers(Answer("ill", "Ill.", seen={"told": "ill"}), NO)
    with pytest.raises(PackModelError, match=rule):
        check_family(asked(family, question, tests=(replace(TOLD, **change),)))


def test_what_only_customers_tell_is_asked_and_on_no_checklist(family):
    with pytest.raises(PackModelError, match="told: is only told by customers, but no question asks for it"):
        check_family(asked(family, GLOW, tests=(TOLD,)))
    question = answers(Answer("ill", "Ill.", seen={"told": "ill"}), NO)
    with pytest.raises(PackModelError, match="names test 'told', which only customers tell"):
        check_family(replace(asked(family, question, tests=(TOLD,)), checklist=("told",)))


def test_the_state_of_use_has_power_and_gas(family):
    assert used_in(family.states).id == "live"
    assert used_in(()) is None


def test_questions_are_described(family):
    pack = LoadedPack(asked(family, GLOW, FIRE), "lamp", "lamps", "1", "sha256:0", None, None)
    told = describe(pack)["questions"]
    assert [question["id"] for question in told] == ["glow", "fire"]
    assert told[1]["answers"][0]["stop"] == "burning"
    assert "stop" not in told[1]["answers"][1]
    for question in told:
        assert QuestionSchema().load(question)["text"] == question["text"]
