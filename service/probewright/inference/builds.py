"""The builds that a case leaves open, side by side as one row of columns.

Columns run over the builds one after another, each in the order of its hypotheses.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Hashable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from threading import Lock
from typing import Any

import numpy as np
from numpy.typing import NDArray

from probewright.inference.compiled import LEAST_REPORT, Compiled

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Rows = NDArray[np.int32]
#: Records of evidence whose classes are kept for one set of builds: a family has fewer tests, complaints and functions,
#: but complaints of one function are classed together.
_MOST_RECORDS = 512


@dataclass(frozen=True, slots=True)
class Build:
    """One configuration that is still open, its share, and its compiled arrays."""

    share: float
    compiled: Compiled


class ClassRows:
    """The class of every column in each record of evidence, kept as it is asked for."""

    def __init__(self, columns: int) -> None:
        self._columns = columns
        self._places: dict[Hashable, tuple[int, Any]] = {}
        self._rows = np.empty((0, columns), dtype=np.int32)
        self._lock = Lock()

    def place(self, key: Hashable, make: Callable[[], tuple[Any, Index]]) -> tuple[int, Any]:
        """The row of a record, and what was made with it.

        Parameters
        ----------
        make : callable
            Gives anything, and the class of each column: called when the record is new.
        """
        found = self._places.get(key)
        if found is None:
            made, row = make()
            with self._lock:
                found = self._places.get(key) or self._added(key, made, row)
        return found

    def _added(self, key: Hashable, made: Any, row: Index) -> tuple[int, Any]:
        place = len(self._places)
        if place == len(self._rows):
            # Others may be reading the rows that are there: they keep the array that they took.
            grown = np.empty((max(8, 2 * place), self._columns), dtype=np.int32)
            grown[:place] = self._rows
            self._rows = grown
        self._rows[place] = row
        self._places[key] = place, made
        return place, made

    def rows(self) -> Rows:
        """All rows that were placed by now: shape (n_records or more, n_columns)."""
        return self._rows

    @property
    def full(self) -> bool:
        """Whether there are as many as are kept."""
        return len(self._places) >= _MOST_RECORDS


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
    complaints : mapping of str to Complaint
        Of the family.
    by_chance : mapping of str to float
        How often each complaint of the family is made of a sound appliance.
    log_prior : ndarray of shape (n_columns,), in nats
    starts : ndarray of int, shape (n_builds + 1,)
        Where each build's columns begin, and the end.
    first, second : ndarray of int32, shape (n_columns,)
        The faults of each column, counted from 1; 0 for none.
    kept : mapping of str to anything
        What is prepared from the builds for each test, and depends on nothing else.
    records : ClassRows
        Of each record of evidence the class of each column.
    """

    def __init__(self, builds: Sequence[Build], weighed: Collection[str]) -> None:
        self.builds, self.weighed = tuple(builds), frozenset(weighed)
        self.faults = tuple(dict.fromkeys(f for b in builds for f in b.compiled.hypotheses.faults))
        priors = [np.log(b.share) + b.compiled.hypotheses.log_prior for b in builds]
        self.log_prior = np.concatenate(priors)
        self.starts = np.cumsum([0, *(len(prior) for prior in priors)])
        self.complaints = {c.id: c for c in self.builds[0].compiled.family.complaints}
        self.by_chance = {c.id: max(float(c.if_working), float(LEAST_REPORT)) for c in self.complaints.values()}
        self.kept: dict[str, Any] = {}
        self._records = ClassRows(len(self.log_prior))
        self.first, self.second = self._faults_of_columns()

    def _faults_of_columns(self) -> tuple[Rows, Rows]:
        place = {fault: i for i, fault in enumerate(self.faults, start=1)}
        first, second = np.zeros((2, len(self.log_prior)), dtype=np.int32)
        for build, columns in self.blocks():
            hypotheses = build.compiled.hypotheses
            own = np.array([0, *(place[fault] for fault in hypotheses.faults)], dtype=np.int32)
            known = slice(columns.start, columns.stop - 1)
            first[known], second[known] = own[hypotheses.first], own[hypotheses.second]
        return first, second

    @property
    def records(self) -> ClassRows:
        """Of each record of evidence the class of each column; a fresh one when too many were asked for."""
        if self._records.full:
            self._records = ClassRows(len(self.log_prior))
        return self._records

    def __len__(self) -> int:
        return len(self.log_prior)

    def blocks(self) -> list[tuple[Build, slice]]:
        """Each build with its columns."""
        starts = self.starts.tolist()
        return [(build, slice(*ends)) for build, ends in zip(self.builds, pairwise(starts), strict=True)]

    @property
    def none(self) -> Index:
        """The columns of *no fault*."""
        return self.starts[:-1]

    @property
    def unknown(self) -> Index:
        """The columns of *something that the pack does not know*."""
        return self.starts[1:] - 1

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
        count = len(self.faults) + 1
        second = np.where(self.second > 0, self.second, self.first)
        key = np.minimum(self.first, second) * count + np.maximum(self.first, second)
        sets = np.asarray(np.bincount(key, weights, count * count), dtype=np.float64)
        return sets.reshape(count, count)[1:, 1:]

    def shares(self, weights: Array) -> Array:
        """Probability of each build, from weights of shape (n_columns,)."""
        return np.asarray(np.add.reduceat(weights, self.starts[:-1]))
