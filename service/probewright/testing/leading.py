"""Check: every fault leads when everything reads as it predicts, or is one of several that no test tells apart."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from probewright.testing.asserting import explain
from probewright.testing.subject import Subject
from probewright.testing.typical import QUANTILES


def every_fault_can_lead(subject: Subject) -> None:
    """Diagnose an appliance with each fault of which all tests were read without noise."""
    failed = [told for fault in subject.typical.builds for told in _failure(subject, fault)]
    missing = [fault.id for fault in subject.family.faults if fault.id not in subject.typical.builds]
    failed += [f"{fault}: no build of the appliance can have it; mend its 'when'" for fault in missing]
    if failed:
        raise AssertionError("\n".join(failed))


def _failure(subject: Subject, fault: str) -> list[str]:
    typical = subject.typical
    alike = typical.alike(fault)
    rate = next(float(record.rate) for record in subject.family.faults if record.id == fault)
    if any(_leads(subject.client.diagnose(typical.case(fault, quantile)), alike, rate) for quantile in QUANTILES):
        return []
    case = typical.case(fault)
    answer = subject.client.diagnose(case)
    healthy, found = (typical.signature(one, case["options"]) for one in (None, fault))
    shown = [f"{test} {_value(value)}" for test, value in found.items() if value != healthy[test]]
    differs = f"only {', '.join(shown)} read otherwise than with nothing wrong" if shown else "no test shows it"
    return [
        f"{fault}: expected it to lead when every test reads as it predicts, but {differs}, so that the answer is\n"
        f"{explain(answer, fault)}\n  Add a test that shows it, make its tables sharper, or see whether its rate is "
        "too small beside the others'."
    ]


def _leads(answer: Mapping[str, Any], alike: tuple[str, ...], rate: float) -> bool:
    """Whether one of some faults is the likeliest, and likelier than before anything was known of the appliance."""
    return any(found["fault"] in alike and found["probability"] > rate for found in answer["faults"][:1])


def ambiguous(subject: Subject) -> tuple[tuple[str, ...], ...]:
    """Groups of faults that show the same in every test."""
    groups = {subject.typical.alike(fault) for fault in subject.typical.builds}
    return tuple(sorted(group for group in groups if len(group) > 1))


def _value(shown: tuple[str, float | str | None]) -> str:
    what, value = shown
    return what if value is None else str(value)
