"""Faults that nothing brings to light or nothing cures, and complaints that nothing explains."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from probewright.review.catalogue import remark
from probewright.review.predictions import best_of
from probewright.review.remark import Remark
from probewright.review.subject import BuildView, Subject

#: A test shows a fault when so much of what it shows then is not what it shows without.
SHOWN = 0.3
#: A complaint is made for a fault when it is made this often, and so many times as often as without one.
COMPLAINED, MORE_OFTEN = 0.02, 3.0


def revealed(subject: Subject) -> Iterator[Remark]:
    """Everything that this module looks for."""
    seen = [(build, tested(build), complained(build)) for build in subject.builds]
    for fault in subject.family.faults:
        having = [of for of in seen if fault.id in of[0].faults]
        among = [of[0] for of in having]
        silent = [build for build, _, told in having if fault.id not in told]
        unseen = [build for build, shown, _ in having if fault.id not in shown]
        hidden = [build for build in silent if build in unseen]
        yield from _fault(subject, f"fault {fault.id}", hidden, unseen, silent, among)
        yield from _uncured(subject, fault.id, among)
    yield from _unexplained(subject)


def tested(build: BuildView) -> frozenset[str]:
    """The faults that some test shows in a build."""
    count = len(build.faults)
    single = np.arange(1, count + 1)
    best = best_of(list(build.tests.values()), np.zeros(count, dtype=np.intp), single, SHOWN)
    return frozenset(build.faults[i] for i in np.flatnonzero(best >= SHOWN))


def complained(build: BuildView) -> frozenset[str]:
    """The faults that some complaint is made for in a build."""
    told = np.zeros(len(build.faults), dtype=bool)
    for chances in build.reports.values():
        told |= (chances[1:] >= COMPLAINED) & (chances[1:] >= MORE_OFTEN * chances[0])
    return frozenset(build.faults[i] for i in np.flatnonzero(told))


def _fault(
    subject: Subject, name: str, hidden: Sequence[BuildView], unseen: Sequence[BuildView],
    silent: Sequence[BuildView], among: Sequence[BuildView],
) -> Iterator[Remark]:  # fmt: skip
    """The worst that can be said of a fault."""
    if hidden:
        where = subject.where(hidden, among)
        yield remark("hidden_fault", name, f"no complaint and no test reveals it{where}")
    elif unseen:
        where = subject.where(unseen, among)
        yield remark("fault_no_test_shows", name, f"complaints point to it, but no test shows it{where}")
    elif silent and len(silent) == len(among):
        yield remark("fault_no_complaint_shows", name, "tests show it, but no complaint is made for it")


def _uncured(subject: Subject, fault: str, among: Sequence[BuildView]) -> Iterator[Remark]:
    without = [build for build in among if fault not in build.courses]
    if without:
        where = subject.where(without, among)
        rule = "fault_handed_over" if _raises(subject, fault) else "fault_without_repair"
        yield remark(rule, f"fault {fault}", f"no repair cures it{where}")


def _raises(subject: Subject, fault: str) -> bool:
    """Whether what the fault shows raises a hazard, so that the job is handed over."""
    family = subject.family
    complaints = {name for lock in family.interlocks for name in lock.complaints}
    if any(fault in complaint.shown_by for complaint in family.complaints if complaint.id in complaints):
        return True
    tests = {name for lock in family.interlocks for name in (*lock.seen, *lock.above)}
    return any(_shows(build, test, fault) for build in subject.builds for test in tests)


def _shows(build: BuildView, test: str, fault: str) -> bool:
    if test not in build.tests or fault not in build.faults:
        return False
    predicted = build.tests[test]
    return bool(predicted.distance[predicted.index[0], predicted.index[build.faults.index(fault) + 1]] >= SHOWN)


def _unexplained(subject: Subject) -> Iterator[Remark]:
    hazards = {name for lock in subject.family.interlocks for name in lock.complaints}
    for complaint in subject.family.complaints:
        among = [build for build in subject.builds if complaint.id in build.reports]
        without = [build for build in among if not _explained(build, complaint.id)]
        if without and complaint.id not in hazards:
            where = subject.where(without, among)
            yield remark("complaint_nothing_explains", f"complaint {complaint.id}", f"no fault explains it{where}")


def _explained(build: BuildView, complaint: str) -> bool:
    chances = build.reports[complaint]
    return bool((chances[1:] >= MORE_OFTEN * chances[0]).any())
