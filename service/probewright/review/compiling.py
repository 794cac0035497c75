"""Whether a family can be compiled at all: laws, circuits and tables under each build that is reviewed."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from probewright.errors import said
from probewright.review.catalogue import remark
from probewright.review.remark import Remark
from probewright.review.subject import BuildView, Subject


def compiling(subject: Subject) -> Iterator[Remark]:
    """A finding for each record that cannot be compiled, or that gives what is no number."""
    told: set[str] = set()
    for build in subject.builds:
        for record, failed in _failures(build):
            if record not in told:
                told.add(record)
                yield failed


def _failures(build: BuildView) -> Iterator[tuple[str, Remark]]:
    for test in build.compiled.tests:
        record = f"test {test}"
        failed = _tried(record, lambda test=test: build.predicted(test).finite)  # type: ignore[misc]
        if failed is not None:
            yield record, failed
    for complaint in build.compiled.complaints:
        record = f"complaint {complaint}"
        failed = _tried(record, lambda name=complaint: bool(np.isfinite(build.reported(name)).all()))  # type: ignore[misc]
        if failed is not None:
            yield record, failed


def _tried(record: str, finite: Callable[[], bool]) -> Remark | None:
    try:
        if finite():
            return None
    except Exception as error:  # noqa: BLE001  laws are foreign code, and a circuit may have no solution
        return remark("cannot_be_compiled", record, f"what it should give cannot be worked out: {said(error)}")
    return remark("not_a_number", record, "what it should give is not a finite number")
