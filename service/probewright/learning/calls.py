"""What a pack forecasts for calls: which faults are behind what customers complain of, as a function of the rates.

Jobs with the same options and the same complaint are one *call*.  The forecast is the engine's own, from options and
that complaint alone; its likelihoods do not depend on the rates, so they are computed once.

Axes: call (K), row (D, a build with a complaint), hypothesis (H, of one build).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.errors import EngineError
from probewright.inference.builds import Build, OpenBuilds
from probewright.inference.evidence import Evidence, tell
from probewright.inference.store import ModelStore
from probewright.learning.jobs import Options
from probewright_schemas.records import Case

Array = NDArray[np.float64]
Index = NDArray[np.intp]

Call = tuple[Options, str]
"""Options, and what is complained of."""


@dataclass(frozen=True, slots=True, eq=False)
class _Build:
    """One build, with the complaints that are made of it.

    Attributes
    ----------
    first, second : ndarray of int, shape (H - 1,)
        The faults of each hypothesis but the last, by place in the family's list, from 1; 0 for none.
    contains : ndarray of shape (H, n_faults + 1)
        Which faults each hypothesis contains; the last column is something unknown.
    likelihood : ndarray of shape (D, H)
    rows : ndarray of int, shape (D,)
        Where its rows stand among those of all builds.
    """

    first: Index
    second: Index
    contains: Array
    likelihood: Array
    rows: Index

    def weights(self, log_odds: Array) -> Array:
        """Prior times likelihood, not normalised over rows: shape (D, H)."""
        known = np.append(0.0, log_odds[:-1])
        prior = np.exp(np.append(known[self.first] + known[self.second], log_odds[-1]))
        return self.likelihood * (prior / prior.sum())


class Calls:
    """The calls of some jobs, ready for forecasts at any rates.

    Attributes
    ----------
    possible : ndarray of bool, shape (K, n_faults + 1)
        Which faults the forecast of each call reckons with: those that an appliance with these options can have, and
        last something unknown, always.
    """

    def __init__(self, calls: Sequence[Call], store: ModelStore) -> None:
        self._place = {fault.id: i for i, fault in enumerate(store.family.faults, start=1)}
        self.possible = np.zeros((len(calls), len(self._place) + 1), dtype=bool)
        self.possible[:, -1] = True
        rows: dict[tuple[int, str], int] = {}
        builds: dict[int, Build] = {}
        shares: list[tuple[int, int, float]] = []
        for k, (options, complaint) in enumerate(calls):
            case = Case(store.family.id, options=dict(options), complaints=(complaint,))
            opened = store.open_builds(case)
            if opened is None:
                raise EngineError(f"no appliance has {dict(options)}")  # lines with such options are no jobs
            self.possible[k, [self._place[fault] - 1 for fault in opened.faults]] = True
            for build in opened.builds:
                builds.setdefault(id(build.compiled), build)
                shares.append((k, rows.setdefault((id(build.compiled), complaint), len(rows)), build.share))
        self._shares = np.zeros((len(calls), len(rows)))
        for k, row, share in shares:
            self._shares[k, row] += share
        self._builds = [
            self._build(build, {c: row for (owner, c), row in rows.items() if owner == key})
            for key, build in builds.items()
        ]

    def _build(self, build: Build, rows: Mapping[str, int]) -> _Build:
        hypotheses = build.compiled.hypotheses
        place = np.array([0, *(self._place[fault] for fault in hypotheses.faults)], dtype=np.intp)
        first, second = place[hypotheses.first], place[hypotheses.second]
        contains = np.zeros((len(hypotheses), len(self._place) + 2))
        known = np.arange(len(hypotheses) - 1)
        contains[known, first] = contains[known, second] = contains[-1, -1] = 1.0
        alone = OpenBuilds([build], ())
        made = [Evidence(alone, (complaint,), (), None, ()) for complaint in rows]
        # There is no reading among them that might be misread.
        likelihood = np.exp([told.log_likelihoods()[0] for told in tell(made, 0.0)])
        return _Build(first, second, contains[:, 1:], likelihood, np.array(list(rows.values()), dtype=np.intp))

    def forecast(self, log_odds: Array) -> Array:
        """Probability that each fault, and last something unknown, is behind each call.

        Parameters
        ----------
        log_odds : ndarray of shape (n_faults + 1,), in nats
            Logarithm of the odds of each fault's rate, and last of something unknown.

        Returns
        -------
        ndarray of shape (K, n_faults + 1)
        """
        present, whole = self._summed([build.weights(log_odds) for build in self._builds])
        return np.asarray(present / whole[:, None])

    def moments(self, log_odds: Array, counts: Array) -> tuple[Array, Array]:
        """How many of so many calls each fault is expected behind, and how these numbers change with the rates.

        Parameters
        ----------
        log_odds : as for :meth:`forecast`
        counts : ndarray of shape (K,)

        Returns
        -------
        ndarray of shape (n_faults + 1,)
        ndarray of shape (n_faults + 1, n_faults + 1)
            The covariance of what is present, summed over the calls.  It is the derivative of the first by
            ``log_odds``; exactly so where the options leave no build open.
        """
        weights = [build.weights(log_odds) for build in self._builds]
        present, whole = self._summed(weights)
        present = present / whole[:, None]
        by_row = (counts / whole) @ self._shares
        both = np.zeros((present.shape[1], present.shape[1]))
        for build, weight in zip(self._builds, weights, strict=True):
            of_hypothesis = by_row[build.rows] @ weight
            both += build.contains.T @ (of_hypothesis[:, None] * build.contains)
        return counts @ present, both - (present * counts[:, None]).T @ present

    def _summed(self, weights: Sequence[Array]) -> tuple[Array, Array]:
        """Weight of each fault, and of all hypotheses, over the open builds of each call."""
        rows = self._shares.shape[1]
        present, whole = np.zeros((rows, self.possible.shape[1])), np.zeros(rows)
        for build, weight in zip(self._builds, weights, strict=True):
            present[build.rows], whole[build.rows] = weight @ build.contains, weight.sum(axis=1)
        return self._shares @ present, self._shares @ whole
