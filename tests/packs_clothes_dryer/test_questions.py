"""What customers are asked about a clothes dryer: by the records' own rules, and by the words."""

from __future__ import annotations

import re

import pytest

from probewright.packs.model import Family

#: What nobody tells a customer to do: open or take off, plug or switch, measure, light, try.
ASKS_TO_DO = re.compile(
    r"\b(un)?screw|\bunplug|\bplug (it|the)|\btake (off|out|apart|it)|\bremove|\blift|\bopen (it|the|a|up)|\bpull"
    r"|\bmeasur|\bmeter\b|\bvolt|\bohm|\bprobe|\bmatch(es)?\b|\blighter|\bclean (it|the|out)\b"
    r"|\b(try|turn|set|switch|press|push|hold|smell|touch|reset|check)\b (it|the|a|an|every|each)\b"
    r"|\bbreaker|^feel\b",
    re.IGNORECASE,
)
BAD = [
    "Take off the back and look: is there lint?", "Turn the drum by hand: does it turn?", "Unplug it, and wait?",
    "What does a meter read at the outlet?", "Could you reset the breaker?", "Pull it out: is the pipe crushed?",
    "Feel the air: is it warm?", "Try it without clothes: does it hum?", "Clean the pipe first: does it help?",
]  # fmt: skip


@pytest.mark.parametrize("text", BAD)
def test_the_word_list_finds_what_is_not_for_customers(text):
    assert ASKS_TO_DO.search(text)


def test_no_question_asks_to_do_anything(family: Family):
    assert len(family.questions) >= 12
    for question in family.questions:
        for text in (question.text, *(answer.text for answer in question.answers)):
            assert not ASKS_TO_DO.search(text), text


def test_what_is_seen_is_seen_from_outside_as_the_dryer_is_used(family: Family):
    tests, zones = {t.id: t for t in family.tests}, {z.id: z for z in family.zones}
    seen = {test for question in family.questions for answer in question.answers for test in answer.seen}
    assert {"motor_response", "control_lock", "display_error"} <= seen
    for test in (tests[name] for name in seen):
        assert (test.kind, test.instrument, test.skill) == ("seen", None, None)
        assert not zones[test.zone].minutes
        assert "running" in test.states


def test_hazards_are_always_asked_and_stop(family: Family):
    always = {question.id: {answer.stop for answer in question.answers} for question in family.questions
              if question.always}  # fmt: skip
    assert always == {
        "burnt_smell_now": {"smoulders", None}, "gas_smell_now": {"gas_escape", None},
        "hot_while_standing": {"heat_without_rotation", None}, "shock": {"shock", None},
    }  # fmt: skip


def test_every_complaint_but_one_can_be_told_by_an_answer(family: Family):
    """That it stops in a load and starts again when cool is volunteered, or not noticed."""
    asked = {name for question in family.questions for answer in question.answers for name in answer.complaints}
    assert {complaint.id for complaint in family.complaints} - asked == {"stops_and_starts_again"}


def test_words_are_plain(family: Family):
    """Nothing of the trade's own words."""
    jargon = re.compile(r"\b(igniter|element|thermostat|cut-off|relay|module|interlock|blower|exhaust|duct|coil)\b")
    for question in family.questions:
        for text in (question.text, question.why, *(answer.text for answer in question.answers)):
            assert not jargon.search(text.lower()), text


def test_outcomes_that_customers_tell_cover_each_other(family: Family):
    for test in (test for test in family.tests if test.reported):
        (question,) = (q for q in family.questions if any(test.id in a.seen for a in q.answers))
        assert {answer.seen[test.id] for answer in question.answers} == set(test.outcomes)
