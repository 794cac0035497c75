"""Check: every closing check is asked for after some repair, and a sound appliance passes it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from probewright.circuit.parts import holds
from probewright.inference.configurations import configurations
from probewright.packs.model import Closing, Repair
from probewright.testing.subject import Subject

Document = dict[str, Any]


def can_be_passed(subject: Subject) -> None:
    """Make a repair that asks for the check, read its test as a sound appliance shows it, and see that it passed."""
    failed = [f"closing check {closing.id}: {why}" for closing in subject.family.closings
              for why in _failure(subject, closing)]  # fmt: skip
    if failed:
        raise AssertionError("\n".join(failed))


def _failure(subject: Subject, closing: Closing) -> list[str]:
    asking = [repair for repair in subject.family.repairs if closing.id in repair.closing_checks]
    if not asking:
        return ["no repair asks for it; name it in the closing_checks of those that it proves, or leave it out"]
    found = next(_cases(subject, closing, asking), None)
    if found is None:
        return [f"no build has both a repair that asks for it and its test {closing.test}; mend their 'when'"]
    answer = subject.client.diagnose(found)
    statuses = {check["id"]: check.get("status") for check in answer["closing_checks"]}
    status = statuses.get(closing.id, "not asked for")
    if status == "passed" or (closing.test is None and closing.id in statuses):
        return []
    shown = [str(reading.get("seen", reading.get("value", "over range"))) for reading in found["readings"]]
    return [f"expected it to pass after {found['repairs_done'][0]['repair']} when its test {closing.test} shows "
            f"{' '.join(shown)}, as a sound appliance typically does, but it is {status}; mend its limits or passes"]


def _cases(subject: Subject, closing: Closing, asking: list[Repair]) -> Iterator[Document]:
    """Cases after a repair, one for each build that has it and the test."""
    for repair in asking:
        for build in configurations(subject.family, _given(repair)):
            if holds(repair.when, build.options) and (closing.test is None or _has(subject, build.options, closing)):
                yield _case(subject, closing, repair, build.options)


def _given(repair: Repair) -> dict[str, str]:
    return {option: allowed if isinstance(allowed, str) else allowed[0] for option, allowed in repair.when.items()}


def _has(subject: Subject, options: Mapping[str, str], closing: Closing) -> bool:
    return closing.test in subject.typical.compiled(options).tests


def _case(subject: Subject, closing: Closing, repair: Repair, options: Mapping[str, str]) -> Document:
    readings = []
    if closing.test is not None:
        test = subject.typical.compiled(options).tests[closing.test]
        shown = subject.typical.shown(subject.typical.job(None, options), test)
        readings.append({**subject.typical.reading(test, shown), "after_repair": repair.id})
    return {
        "family": subject.family.id, "options": dict(options), "readings": readings, "meters": subject.typical.meters,
        "repairs_done": [{"repair": repair.id, "complaint_remains": False}],
    }  # fmt: skip
