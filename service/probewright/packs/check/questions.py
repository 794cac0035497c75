"""Rules of questions for the customer: what they tell exists, and a lay person can tell it safely."""

from __future__ import annotations

from collections.abc import Sequence

from probewright.packs.check.names import Names, Report
from probewright.packs.model import Answer, Family, Interlock, Question, Test
from probewright.packs.questions import DOES_NOT_KNOW, used_in


def check_questions(family: Family, report: Report, names: Names) -> None:
    """Check every question, and that what only customers tell is asked."""
    for question in family.questions:
        _check_question(question, family, report, names)
    asked = {test for question in family.questions for answer in question.answers for test in answer.seen}
    for test in family.tests:
        if not test.reported:
            continue
        if test.id not in asked:
            report.say(f"test {test.id}", "is only told by customers, but no question asks for it")
        if test.closing:
            report.say(f"test {test.id}", "proves repairs, so that it cannot be left to what customers tell")
        if test.id in family.checklist:
            report.say("checklist", f"names test {test.id!r}, which only customers tell")


def _check_question(question: Question, family: Family, report: Report, names: Names) -> None:
    record = f"question {question.id}"
    names.when(report, record, question.when)
    if not question.text.strip().endswith("?"):
        report.say(record, "its text asks nothing: it ends with a question mark")
    if not question.why.strip():
        report.say(record, "why is empty")
    if len(question.answers) < 2:
        report.say(record, "needs at least two answers")
    if any(answer.id == DOES_NOT_KNOW for answer in question.answers):
        report.say(record, f"the answer {DOES_NOT_KNOW!r} is there already")
    told = [_told(answer) for answer in question.answers]
    if not any(any(of) for of in told):
        report.say(record, "no answer adds anything")
    for i, answer in enumerate(question.answers):
        if told[i] in told[:i]:
            report.say(f"{record}: answer {answer.id}", "adds the same as an earlier one")
        _check_answer(f"{record}: answer {answer.id}", answer, family, report, names)
    if not question.always and any(answer.stop is not None for answer in question.answers):
        report.say(record, "an answer stops everything, so it is asked always")


def _told(answer: Answer) -> tuple[object, ...]:
    return (dict(answer.options), frozenset(answer.complaints), frozenset(answer.working), dict(answer.seen))


def _check_answer(record: str, answer: Answer, family: Family, report: Report, names: Names) -> None:
    if not answer.text.strip():
        report.say(record, "text is empty")
    names.when(report, record, answer.options)
    for complaint in answer.complaints:
        report.known(record, "complaint", complaint, names.complaints)
    for function in answer.working:
        report.known(record, "function", function, names.functions)
    denied = [c.function for c in family.complaints if c.id in answer.complaints]
    for function in (f for f in answer.working if f in denied):
        report.say(record, f"complains of {function!r}, and says that it works")
    for test, outcome in answer.seen.items():
        if report.known(record, "test", test, names.tests):
            report.known(record, f"outcome of test {test!r}", outcome, names.tests[test].outcomes)
            _check_safe(record, names.tests[test], family, report)
    _check_stop(record, answer, family.interlocks, report)


def _check_safe(record: str, test: Test, family: Family, report: Report) -> None:
    """A lay person looks from outside, at the appliance as it is used, with nothing in the hand."""
    told = f"rests on test {test.id!r}, which a lay person cannot tell safely: it"
    if test.kind != "seen":
        report.say(record, f"{told} is measured")
    if test.instrument is not None or test.skill is not None:
        report.say(record, f"{told} takes an instrument or a skill")
    zone = next((zone for zone in family.zones if zone.id == test.zone), None)
    if zone is not None and (zone.minutes > 0 or zone.steps):
        report.say(record, f"{told} is done where something must be opened")
    used = used_in(family.states)
    if used is not None and used.id not in test.states:
        report.say(record, f"{told} is not done in the state {used.id!r}, in which the appliance is used")


def _check_stop(record: str, answer: Answer, interlocks: Sequence[Interlock], report: Report) -> None:
    """An answer that raises an interlock says so, and no other."""
    raised = [
        lock.id
        for lock in interlocks
        if any(complaint in lock.complaints for complaint in answer.complaints)
        or any(outcome in lock.seen.get(test, ()) for test, outcome in answer.seen.items())
    ]
    if answer.stop is not None and answer.stop not in raised:
        report.say(record, f"stop names interlock {answer.stop!r}, which nothing of the answer raises")
    for lock in raised:
        if answer.stop is None:
            report.say(record, f"raises interlock {lock!r}, so stop must name it")
