"""The builds that a case leaves open, side by side as one row of columns.

Columns run over the builds one after another, each in the order of its hypotheses.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.inference.compiled import Compiled

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
    faults : tuple of str
        Faults of any of them.
    log_prior : ndarray of shape (n_columns,), in nats
    starts : ndarray of int, shape (n_builds + 1,)
        Where each build's columns begin, and the end.
    """

    def __init__(self, builds: Sequence[Build]) -> None:
        self.builds = tuple(builds)
        self.faults = tuple(dict.fromkeys(f for b in builds for f in b.compiled.hypotheses.faults))
        place = {fault: i for i, fault in enumerate(self.faults, start=1)}
        firsts, seconds = [], []
        for build in builds:
            hypotheses = build.compiled.hypotheses
            number = np.array([0, *(place[fault] for fault in hypotheses.faults)], dtype=np.intp)
            firsts.append(np.append(number[hypotheses.first], 0))
            seconds.append(np.append(number[hypotheses.second], 0))
        self._first, self._second = np.concatenate(firsts), np.concatenate(seconds)
        priors = [np.log(b.share) + b.compiled.hypotheses.log_prior for b in builds]
        self.log_prior = np.concatenate(priors)
        self.starts = np.cumsum([0, *(len(prior) for prior in priors)])

    @property
    def none(self) -> Index:
        """The columns of *no fault*."""
        return self.starts[:-1]

    @property
    def unknown(self) -> Index:
        """The columns of *something that the pack does not know*."""
        return self.starts[1:] - 1

    def present(self, weights: Array) -> Array:
        """Probability that each fault is present, from weights of shape (n_columns,): shape (n_faults,)."""
        count = len(self.faults) + 1
        return np.asarray((np.bincount(self._first, weights, count) + np.bincount(self._second, weights, count))[1:])

    def present_in_rows(self, weights: Array, faults: Index) -> Array:
        """The same for some faults and many rows of weights.

        Parameters
        ----------
        weights : ndarray of shape (n_rows, n_columns)
        faults : ndarray of int, shape (n_chosen,)

        Returns
        -------
        ndarray of shape (n_rows, n_chosen)
        """
        wanted = faults[:, None] + 1
        contains = (self._first == wanted) | (self._second == wanted)
        return np.asarray(weights @ contains.T.astype(np.float64))

    def shares(self, weights: Array) -> Array:
        """Probability of each build, from weights of shape (n_columns,)."""
        return np.asarray(np.add.reduceat(weights, self.starts[:-1]))
