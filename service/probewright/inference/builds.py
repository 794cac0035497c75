"""The builds that a case leaves open, side by side as one row of columns.

Columns run over the builds one after another, each in the order of its hypotheses.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from probewright.inference.compiled import LEAST_REPORT, Compiled

Array = NDArray[np.float64]
Index = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Build:
    """One configuration that is still open, its share, and its compiled arrays."""

    share: float
    compiled: Compiled


class OpenBuilds:
    """All builds that agree with the given options.

    Attributes
    ----------
    builds : tuple of Build
        Likeliest first.
    weighed : frozenset of str
        The options that make a difference; for any other one value stands for all.
    faults : tuple of str
        Faults of any of them.
    by_chance : mapping of str to float
        How often each complaint of the family is made of a sound appliance.
    log_prior : ndarray of shape (n_columns,), in nats
    starts : ndarray of int, shape (n_builds + 1,)
        Where each build's columns begin, and the end.
    kept : mapping of str to anything
        What is prepared from the builds for each test, and depends on nothing else.
    """

    def __init__(self, builds: Sequence[Build], weighed: Collection[str]) -> None:
        self.builds, self.weighed = tuple(builds), frozenset(weighed)
        self.faults = tuple(dict.fromkeys(f for b in builds for f in b.compiled.hypotheses.faults))
        place = {fault: i for i, fault in enumerate(self.faults)}
        priors = [np.log(b.share) + b.compiled.hypotheses.log_prior for b in builds]
        self.log_prior = np.concatenate(priors)
        self.starts = np.cumsum([0, *(len(prior) for prior in priors)])
        complaints = self.builds[0].compiled.family.complaints
        self.by_chance = {c.id: max(float(c.if_working), float(LEAST_REPORT)) for c in complaints}
        self.kept: dict[str, Any] = {}
        self._gathers: dict[str, tuple[tuple[int, ...], Index]] = {}  # bounded by the family's tests
        self._places = [np.array([place[f] for f in b.compiled.hypotheses.faults], dtype=np.intp) for b in builds]

    def __len__(self) -> int:
        return len(self.log_prior)

    def blocks(self) -> list[tuple[Build, slice]]:
        """Each build with its columns."""
        starts = self.starts.tolist()
        return [(build, slice(*ends)) for build, ends in zip(self.builds, pairwise(starts), strict=True)]

    def gather(self, test: str) -> tuple[tuple[int, ...], Index]:
        """How the likelihoods of a numeric test, by class, spread over the columns.

        Returns
        -------
        tuple of int
            ``id`` of each predictor that the builds have for the test.
        ndarray of int, shape (n_columns,)
            Where each column's likelihood stands in the likelihoods by class of these predictors, end to end, with one
            more entry at the end for builds that lack the test.
        """
        if test not in self._gathers:
            self._gathers[test] = self._gather(test)
        return self._gathers[test]

    def _gather(self, test: str) -> tuple[tuple[int, ...], Index]:
        starts: dict[int, int] = {}
        length, blocks = 0, []
        for build in self.builds:
            compiled = build.compiled
            if test not in compiled.tests:
                blocks.append(np.full(len(compiled.hypotheses), -1))
                continue
            predictor = compiled.numeric(test)
            if id(predictor) not in starts:
                starts[id(predictor)] = length
                length += int(predictor.model.classes.max()) + 2
            blocks.append(compiled.index(test) + starts[id(predictor)])
        return tuple(starts), np.concatenate(blocks)

    @property
    def none(self) -> Index:
        """The columns of *no fault*."""
        return self.starts[:-1]

    @property
    def unknown(self) -> Index:
        """The columns of *something that the pack does not know*."""
        return self.starts[1:] - 1

    def present(self, weights: Array) -> Array:
        """Probability that each fault is present.

        Parameters
        ----------
        weights : ndarray of shape (..., n_columns)

        Returns
        -------
        ndarray of shape (..., n_faults)
        """
        if len(self.builds) == 1:
            return np.asarray(weights @ self.builds[0].compiled.hypotheses.contains())
        present = np.zeros((*weights.shape[:-1], len(self.faults)))
        for build, places, start in zip(self.builds, self._places, self.starts, strict=False):
            hypotheses = build.compiled.hypotheses
            present[..., places] += weights[..., start : start + len(hypotheses)] @ hypotheses.contains()
        return present

    def together(self, weights: Array) -> Array:
        """Probability of each fault alone, and of each two at once.

        Parameters
        ----------
        weights : ndarray of shape (n_columns,)

        Returns
        -------
        ndarray of shape (n_faults, n_faults)
            On the diagonal a fault alone; above it, two at once; below it nothing.
        """
        count = len(self.faults)
        sets = np.zeros((count + 1) * (count + 1))
        for build, places, start in zip(self.builds, self._places, self.starts, strict=False):
            whole = build.compiled.whole.hypotheses
            spread = build.compiled.hypotheses.apart(weights[start : start + len(build.compiled.hypotheses)])[:-1]
            place = np.append(count, places)  # no fault last
            first, second = place[whole.first], place[whole.second]
            second = np.where(whole.second > 0, second, first)
            key = np.minimum(first, second) * (count + 1) + np.maximum(first, second)
            sets += np.bincount(key, spread, len(sets))
        return sets.reshape(count + 1, count + 1)[:-1, :-1]

    def shares(self, weights: Array) -> Array:
        """Probability of each build, from weights of shape (n_columns,)."""
        return np.asarray(np.add.reduceat(weights, self.starts[:-1]))
