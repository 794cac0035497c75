"""Tests whose results cannot change what is done."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from probewright.review.catalogue import remark
from probewright.review.remark import Remark
from probewright.review.subject import BuildView, Subject

#: A test that shows any two faults, or a fault and none, by no more than this apart tells nothing.
TELLS = 0.05


def deciding(subject: Subject) -> Iterator[Remark]:
    """Tests that in no build tell two hypotheses apart that call for different repairs.

    *No fault* calls for none, which is a course of its own.  Tests that hazards, closing checks or conditions rest on
    have another purpose.
    """
    family = subject.family
    hazards = {name for lock in family.interlocks for name in (*lock.seen, *lock.above, *lock.cleared_by)}
    proving = {closing.test for closing in family.closings}
    for test in family.tests:
        if test.closing or test.measures is not None or test.id in hazards or test.id in proving:
            continue
        having = [build for build in subject.builds if test.id in build.tests]
        if having and all(_most(build, test.id) <= TELLS for build in having):
            told = "it shows the same, within 5 %, whatever repair is needed"
            yield remark("test_decides_nothing", f"test {test.id}", told)


def _most(build: BuildView, test: str) -> float:
    """The most that a test tells any two hypotheses apart that call for different courses."""
    predicted = build.tests[test]
    names = ("", *(build.courses.get(fault, fault) for fault in build.faults))
    course = np.unique(names, return_inverse=True)[1]
    # Classes and courses together, each pair once: a class may go with several courses.
    pairs = np.unique(np.stack([predicted.index, course]), axis=1)
    classes, courses = pairs
    apart = predicted.distance[np.ix_(classes, classes)]
    return float(np.where(courses[:, None] != courses[None, :], apart, 0.0).max())
