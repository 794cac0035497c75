"""What customers are asked about an electric range: by the records' own rules, and by the words."""

from __future__ import annotations

import re

import pytest

from probewright.packs.model import Family

#: What nobody tells a customer to do: open or take off, plug or switch, measure, try.
ASKS_TO_DO = re.compile(
    r"\b(un)?screw|\bunplug|\bplug (it|the|a)|\btake (off|out|apart|it)|\bremove|\blift|\bopen (it|the|a|up)"
    r"|\bpull (it|the)|\bmeasur|\bmeter\b|\bmultimeter|\bvolt|\bohm|\bprobe|\bplease\b"
    r"|\b(try|turn|set|switch|press|push|hold|touch|reset|check|swap)\b (it|the|a|an|every|each|them)\b",
    re.IGNORECASE,
)
BAD = [
    "Take off the back and look: is a wire burnt?", "Set the oven to bake: does it get hot?", "Unplug it, and wait?",
    "What does a meter read at the outlet?", "Swap the coils: does the other one heat?", "Could you reset the breaker?",
    "Try the broiler: does it glow?", "Pull the coil out: is it burnt?",
]  # fmt: skip
#: Said of what is there and of what was done, and no order.
SAID = {"Bare coils that can be pulled out."}


@pytest.mark.parametrize("text", BAD)
def test_the_word_list_finds_what_is_not_for_customers(text):
    assert ASKS_TO_DO.search(text)


def texts(family: Family):
    for question in family.questions:
        yield from (question.text, *(answer.text for answer in question.answers))


def test_no_question_asks_to_do_anything(family: Family):
    assert len(family.questions) >= 15
    assert [text for text in texts(family) if ASKS_TO_DO.search(text) and text not in SAID] == []


def test_what_is_seen_is_seen_from_outside_as_the_range_is_used(family: Family):
    tests, zones = {t.id: t for t in family.tests}, {z.id: z for z in family.zones}
    seen = {test for question in family.questions for answer in question.answers for test in answer.seen}
    assert "control_lock" in seen
    for test in (tests[name] for name in seen):
        assert test.kind == "seen"
        assert (test.instrument, test.skill) == (None, None)
        assert not zones[test.zone].minutes
        assert "in_use" in test.states


def test_sparks_smoke_and_shocks_are_always_asked_and_stop(family: Family):
    always = [question for question in family.questions if question.always]
    assert [question.id for question in always] == ["sparks_smoke_or_shock"]
    assert {answer.stop for answer in always[0].answers} == {"sparks_or_smoke", "shock", None}
    for lock in family.interlocks:
        if lock.kind == "stop":
            assert "breaker" in " ".join(lock.steps[:1]), lock.id


def test_every_complaint_can_be_told_by_an_answer(family: Family):
    asked = {name for question in family.questions for answer in question.answers for name in answer.complaints}
    assert asked == {complaint.id for complaint in family.complaints}


def test_words_are_plain(family: Family):
    """Nothing of the trade's own words."""
    jargon = re.compile(
        r"\b(element|relay|limiter|infinite switch|receptacle|terminal|interlock|neutral|polarity|harness|leg)\b"
    )
    for question in family.questions:
        for text in (question.text, *(answer.text for answer in question.answers)):
            assert not jargon.search(text.lower()), text


def test_outcomes_that_customers_tell_cover_each_other(family: Family):
    """A reported test's outcomes are the answers of one question, so that nothing the customer says is lost."""
    reported = [test for test in family.tests if test.reported]
    assert len(reported) >= 4
    for test in reported:
        (question,) = (q for q in family.questions if any(test.id in a.seen for a in q.answers))
        assert {answer.seen[test.id] for answer in question.answers} == set(test.outcomes)
