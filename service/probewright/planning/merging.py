"""Outcomes that call for nearly the same, taken together, so that a plan branches only where it matters.

What is lost by taking outcomes together is counted in nats of information about the course of action, under the belief
at hand.  It is nothing where the likelihoods of two outcomes are proportional, and the losses of one merger after
another add up to the whole loss.
"""

from __future__ import annotations

from math import inf, log
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from probewright.decision.compiling import compiled

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Flags = NDArray[np.bool_]


class Merged(NamedTuple):
    """Which outcomes are one.

    Attributes
    ----------
    groups : ndarray of int, shape (n_outcomes,)
        The group of each outcome of each test, numbered within the test in the order in which they come first.
    lost : ndarray of shape (n_tests,), in nats
        Information about the course before less that after, for a belief that adds up to 1.
    """

    groups: Index
    lost: Array


def merged_outcomes(
    joint: Array, starts: Index, courses: Index, neighbours: Flags, most: int = 4, slack: float = 0.005,
) -> Merged:  # fmt: skip
    """Take outcomes of tests together, in each test those first that lose least.

    Parameters
    ----------
    joint : ndarray of shape (n_outcomes, n_hypotheses)
        Probability of each outcome together with each hypothesis; the outcomes of one test lie together.
    starts : ndarray of int, shape (n_tests + 1,)
        Row at which each test begins, and the end.
    courses : ndarray of int, shape (n_hypotheses,)
        The course of action that each hypothesis calls for, counted from 0.
    neighbours : ndarray of bool, shape (n_tests,)
        Whether only outcomes that lie next to each other may go together, as those of a measured test.
    most : int
        More groups than this are never left, whatever is lost.
    slack : float
        Nats that may be lost in all while no more than ``most`` groups are left, for a belief that adds up to 1.
    """
    which = np.asarray(courses)[:, None] == np.arange(int(np.max(courses, initial=0)) + 1)
    groups, lost = _merged(
        np.ascontiguousarray(joint @ which.astype(np.float64)), np.asarray(starts, dtype=np.int64),
        np.asarray(neighbours, dtype=np.bool_), most, slack,
    )  # fmt: skip
    return Merged(groups, lost)


@compiled
def _merged(masses: Array, starts: Index, neighbours: Flags, most: int, slack: float) -> tuple[Index, Array]:
    """All tests, one after another; ``masses`` are joint probabilities by course, and are summed in place."""
    groups, lost = np.arange(len(masses)), np.zeros(len(starts) - 1)
    for test in range(len(starts) - 1):
        first, end = starts[test], starts[test + 1]
        count, total = end - first, masses[first:end].sum()
        while count > 1:
            one, other, least = _least(masses, groups, first, end, neighbours[test])
            if count <= most and lost[test] + least > slack * total:
                break
            lost[test] += least
            masses[one] += masses[other]
            for row in range(first, end):
                if groups[row] == other:
                    groups[row] = one
            count -= 1
        if total > 0:
            lost[test] /= total
        _numbered(groups, first, end)
    return groups, lost


@compiled
def _least(masses: Array, groups: Index, first: int, end: int, adjacent: bool) -> tuple[int, int, float]:
    """The two groups, each named by its first outcome, that lose least when they become one; of equals the first."""
    one, other, least = first, first, inf
    for a in range(first, end):
        if groups[a] != a:
            continue
        for b in range(a + 1, end):
            if groups[b] != b:
                continue
            loss = _loss(masses[a], masses[b])
            if loss < least:
                one, other, least = a, b, loss
            if adjacent:
                break
    return one, other, least


@compiled
def _loss(a: Array, b: Array) -> float:
    """What is lost by taking two outcomes together, in nats: never less than nothing."""
    lost, of_a, of_b = 0.0, a.sum(), b.sum()
    if of_a <= 0 or of_b <= 0:
        return 0.0
    share_a, share_b = of_a / (of_a + of_b), of_b / (of_a + of_b)
    for x, y in zip(a, b):  # noqa: B905 (the compiler knows no strict)
        both = x + y
        if x > 0:
            lost += x * log(x / (both * share_a))
        if y > 0:
            lost += y * log(y / (both * share_b))
    return max(lost, 0.0)


@compiled
def _numbered(groups: Index, first: int, end: int) -> None:
    """Number the groups of one test from 0, in the order of their first outcomes."""
    count = 0
    for row in range(first, end):
        if groups[row] == row:
            groups[row] = count - end  # negative, so that it is not taken for a row
            count += 1
        else:
            groups[row] = groups[groups[row]]
    for row in range(first, end):
        groups[row] += end
