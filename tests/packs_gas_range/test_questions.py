"""What customers are asked about a gas range: by the records' own rules, and by the words."""

from __future__ import annotations

import re

import pytest

from probewright.packs.model import Family

#: What nobody tells a customer to do: open or take off, plug or switch, measure, light, try.
ASKS_TO_DO = re.compile(
    r"\b(un)?screw|\bunplug|\bplug (it|the|a)|\btake (off|out|apart|it)|\bremove|\blift|\bopen (it|the|a|up)|\bpull"
    r"|\bmeasur|\bmeter\b|\bmultimeter|\bvolt|\bohm|\bprobe|\bmatch(es)?\b|\blighter|\bcandle|\bflame (to|near|at)"
    r"|\b(try|turn|set|switch|press|push|hold|light|relight|smell|touch|reset|check)\b (it|the|a|an|every|each)\b"
    r"|\bbreaker",
    re.IGNORECASE,
)
BAD = [
    "Take off the back and look: is a wire burnt?", "Turn the knob to light: does it click?", "Unplug it, and wait?",
    "What does a meter read at the outlet?", "Does it light with a match?", "Could you reset the breaker?",
    "Lift the top: is the small flame out?", "Try the oven: does it glow?", "Open the drawer: is the lever closed?",
]  # fmt: skip


@pytest.mark.parametrize("text", BAD)
def test_the_word_list_finds_what_is_not_for_customers(text):
    assert ASKS_TO_DO.search(text)


def test_no_question_asks_to_do_anything(family: Family):
    assert len(family.questions) >= 10
    for question in family.questions:
        for text in (question.text, *(answer.text for answer in question.answers)):
            assert not ASKS_TO_DO.search(text), text


def test_what_is_seen_is_seen_from_outside_as_the_range_is_used(family: Family):
    tests, zones = {t.id: t for t in family.tests}, {z.id: z for z in family.zones}
    seen = {test for question in family.questions for answer in question.answers for test in answer.seen}
    assert "control_lock" in seen
    for test in (tests[name] for name in seen):
        assert test.kind == "seen"
        assert (test.instrument, test.skill) == (None, None)
        assert not zones[test.zone].minutes
        assert not zones[test.zone].steps
        assert "live" in test.states


def test_the_smell_of_gas_is_always_asked_and_stops(family: Family):
    always = [question for question in family.questions if question.always]
    assert [question.id for question in always] == ["gas_smell_now"]
    assert {answer.stop for answer in always[0].answers} == {"gas_escape", None}
    (lock,) = (lock for lock in family.interlocks if lock.id == "gas_escape")
    assert "switch" in lock.steps[0]  # the first thing that the customer hears


def test_every_complaint_but_the_slight_can_be_told_by_an_answer(family: Family):
    asked = {name for question in family.questions for answer in question.answers for name in answer.complaints}
    assert asked == {complaint.id for complaint in family.complaints}


def test_words_are_plain(family: Family):
    """Nothing of the trade's own words."""
    jargon = re.compile(r"\b(igniter|electrode|orifice|manifold|relay|module|interlock|outlet|polarity|valve coil)\b")
    for question in family.questions:
        for text in (question.text, question.why, *(answer.text for answer in question.answers)):
            assert not jargon.search(text.lower()), text


def test_outcomes_that_customers_tell_cover_each_other(family: Family):
    """A reported test's outcomes are the answers of one question, so that nothing the customer says is lost."""
    for test in (test for test in family.tests if test.reported):
        (question,) = (q for q in family.questions if any(test.id in a.seen for a in q.answers))
        assert {answer.seen[test.id] for answer in question.answers} == set(test.outcomes)
