"""Checks: cases of a pack get valid answers, the same each time, and outcomes of tests are probabilities."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, isclose
from typing import Any

from marshmallow import ValidationError

from probewright.packs.model import Test
from probewright.testing.clients import Client, load
from probewright.testing.subject import Subject
from probewright_schemas.results import DiagnosisSchema

Document = dict[str, Any]
#: How far the probabilities of a test's outcomes may miss 1.
_CLOSE = 1e-6


def sample_cases_are_answered(subject: Subject) -> None:
    """Every sample case, and every complaint without readings, gets an answer that keeps the published contract."""
    schema = DiagnosisSchema()
    for named, case in _asked(subject):
        answer = subject.client.diagnose(case)
        try:
            schema.load(answer)
        except ValidationError as error:
            raise AssertionError(f"the answer to {named} does not keep its schema: {error.messages}") from error


def _asked(subject: Subject) -> list[tuple[str, Document]]:
    """Sample cases without a plan, and complaints with one."""
    cases = [(f"the sample case of {fault}", case) for fault, case in subject.cases.items()]
    complaints = [(f"complaint {c.id}", {"complaints": [c.id]}) for c in subject.family.complaints]
    return [*cases, *complaints]


def same_answers(subject: Subject) -> None:
    """A service that was started anew answers sample cases as this one does, to the last digit."""
    other = Client(load(subject.pack))
    for fault, case in subject.cases.items():
        one, two = subject.client.diagnose(case), other.diagnose(case)
        if one != two:
            differing = ", ".join(key for key in one if one[key] != two.get(key))
            raise AssertionError(
                f"the sample case of {fault} is answered differently when the pack is loaded anew, in {differing}: let "
                "hooks use what they are given alone, and build the family from constants"
            )


def outcomes_add_up(subject: Subject) -> None:
    """Likelihoods of what may be seen add up to 1 under every fault, also when the pack scores readings itself."""
    for test in subject.family.tests:
        if test.outcomes:
            _check_test(test, subject.client)


def _check_test(test: Test, client: Client) -> None:
    reports = [_score(test, outcome, client) for outcome in test.outcomes]
    if any(not report["readings"] for report in reports):
        return  # an outcome that the pack's validator rejects is no evidence, whatever it scores
    names = reports[0]["hypotheses"]
    rows = [report["readings"][0]["log_likelihoods"] for report in reports]
    for name, total in zip(names, _totals(rows), strict=True):
        if not isclose(total, 1.0, abs_tol=_CLOSE):
            raise AssertionError(
                f"the likelihoods of {', '.join(test.outcomes)} of test {test.id} under {name} add up to {total:.6g}; "
                "expected 1: each outcome's is the probability that it is seen"
            )


def _totals(rows: Sequence[Sequence[float]]) -> list[float]:
    return [sum(map(exp, column)) for column in zip(*rows, strict=True)]


def _score(test: Test, outcome: str, client: Client) -> Document:
    options = {option: allowed if isinstance(allowed, str) else allowed[0] for option, allowed in test.when.items()}
    return client.score({"options": options, "readings": [{"test": test.id, "seen": outcome, "state": test.states[0]}]})
