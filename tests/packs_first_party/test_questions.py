"""What customers are asked, in every family: by the records' own rules, and by the words."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from probewright.packs.model import Family

#: What nobody tells a customer to do: open or take off, plug or switch, measure, light, feel, clean, try.
ASKS_TO_DO = re.compile(
    r"\b(un)?screw|\bunplug|\bplug (it|the|a)|\btake (off|out|apart|it)|\bremove|\blift|\bopen (it|the|a|up)"
    r"|\bpull (it|the|a)\b|\bmeasur|\bmeter\b|\bmultimeter|\bvolt|\bohm|\bprobe|\bplease\b|\bmatch(es)?\b|\blighter"
    r"|\bcandle|\bflame (to|near|at)|\bclean (it|the|out)\b|^feel\b"
    r"|\b(try|turn|set|switch|press|push|hold|light|relight|smell|touch|reset|check|swap)\b "
    r"(it|the|a|an|every|each|them)\b",
    re.IGNORECASE,
)
BAD = [
    "Take off the back and look: is a wire burnt?", "Turn the knob to light: does it click?", "Unplug it, and wait?",
    "What does a meter read at the outlet?", "Does it light with a match?", "Could you reset the breaker?",
    "Lift the top: is the small flame out?", "Try the oven: does it glow?", "Open the drawer: is the lever closed?",
    "Set the oven to bake: does it get hot?", "Swap the coils: does the other one heat?", "Pull it out: is it crushed?",
    "Feel the air: is it warm?", "Try it without clothes: does it hum?", "Clean the pipe first: does it help?",
]  # fmt: skip
#: Words of the trade, which nobody who owns the appliance need know.
JARGON = re.compile(
    r"\b(igniter|electrode|orifice|manifold|relay|module|interlock|polarity|valve coil|element|limiter"
    r"|infinite switch|receptacle|terminal|neutral|harness|thermostat|cut-off|blower|exhaust|duct)\b"
)
#: What an answer cannot tell: it is volunteered, or not noticed.
UNASKED = {"clothes_dryer": {"stops_and_starts_again"}}


def words(family: Family) -> Iterator[str]:
    for question in family.questions:
        yield from (question.text, *(answer.text for answer in question.answers))


@pytest.mark.parametrize("text", BAD)
def test_the_word_list_finds_what_is_not_for_customers(text):
    assert ASKS_TO_DO.search(text)


def test_no_question_asks_to_do_anything(family: Family):
    assert len(family.questions) >= 10
    assert [text for text in words(family) if ASKS_TO_DO.search(text)] == []


def test_words_are_plain(family: Family):
    assert [text for text in words(family) if JARGON.search(text.lower())] == []


def test_what_is_seen_is_seen_from_outside_as_the_appliance_is_used(family: Family):
    tests, zones = {t.id: t for t in family.tests}, {z.id: z for z in family.zones}
    in_use = {state.id for state in family.states if state.powered}
    seen = {test for question in family.questions for answer in question.answers for test in answer.seen}
    assert "control_lock" in seen
    for test in (tests[name] for name in seen):
        assert (test.kind, test.instrument, test.skill) == ("seen", None, None)
        assert not zones[test.zone].minutes
        assert not zones[test.zone].steps
        assert in_use & set(test.states), test.id


def test_hazards_that_a_customer_can_tell_are_always_asked_and_stop(family: Family):
    always = [question for question in family.questions if question.always]
    told = {answer.stop for question in always for answer in question.answers if answer.stop}
    locks = {lock.id: lock for lock in family.interlocks}
    assert {name for name, lock in locks.items() if lock.kind == "stop" and lock.complaints} <= told
    assert told
    for lock in (locks[name] for name in told):  # the first thing that the customer hears
        assert re.search(r"\b(switch|breaker|plug|leave|fresh air)\b", lock.steps[0], re.IGNORECASE), lock.id
    for question in always:
        for answer in (a for a in question.answers if a.stop):
            assert set(answer.complaints) & set(locks[str(answer.stop)].complaints), answer.id


def test_every_complaint_can_be_told_by_an_answer(family: Family):
    asked = {name for question in family.questions for answer in question.answers for name in answer.complaints}
    assert {complaint.id for complaint in family.complaints} - asked == UNASKED.get(family.id, set())


def test_outcomes_that_customers_tell_cover_each_other(family: Family):
    """A reported test's outcomes are the answers of one question, so that nothing the customer says is lost."""
    reported = [test for test in family.tests if test.reported]
    assert len(reported) >= 4
    for test in reported:
        (question,) = (q for q in family.questions if any(test.id in a.seen for a in q.answers))
        assert {answer.seen[test.id] for answer in question.answers} == set(test.outcomes)
