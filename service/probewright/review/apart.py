"""Faults that no test tells apart, though different repairs cure them, and the cheapest test that would."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.review.catalogue import remark
from probewright.review.extra_tests import extra_test
from probewright.review.predictions import best_of
from probewright.review.records import listed
from probewright.review.remark import Remark
from probewright.review.revealing import complained, tested
from probewright.review.subject import BuildView, Subject

Array = NDArray[np.float64]

#: Two faults are told apart when so much of what some test shows under one is not shown under the other.
APART = 0.5
#: A repair cures both of two faults when it cures each this often.
CURES = 0.5
#: What the best test does is named from here on.
NAMED = 0.05
#: Less of the builds are rare.
RARE = 0.02
#: Groups for which an extra test is looked for, the likeliest first.
_MOST_GROUPS = 12


@dataclass(frozen=True, slots=True)
class Group:
    """Faults of which no test tells any two apart; ``best`` is the most that any test does."""

    faults: tuple[str, ...]
    builds: tuple[BuildView, ...]
    best: float


def not_told_apart(subject: Subject) -> Iterator[Remark]:
    """Everything that this module looks for."""
    rate = {fault.id: float(fault.rate) for fault in subject.family.faults}
    found = groups(subject)
    ranked = sorted(found, key=lambda group: -sum(rate[f] for f in group.faults))
    for group in found:
        among = [build for build in subject.builds if set(group.faults) <= set(build.faults)]
        where = subject.where(group.builds, among)
        share = sum(build.configuration.share for build in group.builds)
        told = f"no test tells {'any two of them' if len(group.faults) > 2 else 'the two'} apart{where}"
        if group.best >= NAMED:
            told += f" (the best of them does so in {group.best:.0%} of the readings)"
        better = extra_test(subject, group.builds[0], group.faults) if group in ranked[:_MOST_GROUPS] else None
        rule = "faults_alike" if share >= RARE else "faults_alike_in_rare_builds"
        hint = "" if better is None else f"The cheapest test that would: {better}."
        yield remark(rule, f"faults {listed(group.faults, len(group.faults))}", told, hint)


def groups(subject: Subject) -> list[Group]:
    """Groups of faults that are alike in some builds, each with all builds in which they are."""
    pairs: dict[tuple[str, str], list[tuple[BuildView, float]]] = {}
    for build in subject.builds:
        for pair, best in alike(build).items():
            pairs.setdefault(pair, []).append((build, best))
    order = {fault.id: i for i, fault in enumerate(subject.family.faults)}
    by_builds: dict[tuple[BuildView, ...], dict[tuple[str, str], float]] = {}
    for pair, found in pairs.items():
        in_order = (min(pair, key=order.__getitem__), max(pair, key=order.__getitem__))
        builds = tuple(build for build, _ in found)
        by_builds.setdefault(builds, {})[in_order] = max(best for _, best in found)
    made = [group for builds, of in by_builds.items() for group in _cliques(of, builds)]
    return sorted(made, key=lambda group: [order[fault] for fault in group.faults])


def _cliques(pairs: dict[tuple[str, str], float], builds: tuple[BuildView, ...]) -> Iterator[Group]:
    """Groups in which each two are alike, that together have every pair."""
    left = dict.fromkeys(pairs)
    while left:
        members = list(next(iter(left)))
        for other in dict.fromkeys(fault for pair in pairs for fault in pair):
            if other not in members and all(_pair(other, member, pairs) in pairs for member in members):
                members.append(other)
        inside = [pair for pair in pairs if pair[0] in members and pair[1] in members]
        for pair in inside:
            left.pop(pair, None)
        yield Group(tuple(members), builds, max(pairs[pair] for pair in inside))


def _pair(one: str, other: str, pairs: dict[tuple[str, str], float]) -> tuple[str, str]:
    return (one, other) if (one, other) in pairs else (other, one)


def alike(build: BuildView) -> dict[tuple[str, str], float]:
    """Pairs of faults that nothing tells apart in a build and that no one repair cures, with the most that a test does.

    Faults that nothing reveals are left out: they are a finding of their own.
    """
    revealed = tested(build) | complained(build)
    visible = [i for i, fault in enumerate(build.faults, start=1) if fault in revealed]
    a, b = np.triu_indices(len(visible), 1)
    first, second = np.array(visible, dtype=np.intp)[a], np.array(visible, dtype=np.intp)[b]
    kept = ~_cured_alike(build)[first - 1, second - 1]
    first, second = first[kept], second[kept]
    # What only proves work is done too late to tell faults apart.
    finding = [shown for test, shown in build.tests.items() if not build.compiled.tests[test].closing]
    best = best_of(finding, first, second, APART)
    for chances in build.reports.values():
        best = np.where(np.abs(chances[first] - chances[second]) >= APART, APART, best)
    open_ = np.flatnonzero(best < APART)
    return {
        (build.faults[first[k] - 1], build.faults[second[k] - 1]): float(best[k]) for k in open_.tolist()
    }


def _cured_alike(build: BuildView) -> NDArray[np.bool_]:
    """Which two faults one repair cures, or none does: shape (n_faults, n_faults)."""
    uncured = np.array([fault not in build.courses for fault in build.faults], dtype=bool)
    both = uncured[:, None] & uncured[None, :]
    for repair in build.compiled.repairs.values():
        cured = np.array([float(repair.cures.get(fault, 0.0)) >= CURES for fault in build.faults], dtype=bool)
        both |= cured[:, None] & cured[None, :]
    return both


