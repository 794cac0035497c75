"""Log-likelihoods of the evidence of cases under every hypothesis of every open build.

Columns run over the builds one after another, each in the order of its hypotheses.  Cases that leave the same builds
open and bring evidence of the same kinds are worked out together, one row of the first axis for each.  A small share of
misread values is always allowed (``misread`` below), so no reading can rule anything out by itself.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.inference.builds import OpenBuilds
from probewright.inference.compiled import WRONG_REPORT, Compiled, volts
from probewright.inference.likelihood import Weighed, error_of
from probewright.inference.reports import Reports

Array = NDArray[np.float64]


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class Piece:
    """One piece of evidence.

    Attributes
    ----------
    source : str
        What it is called in the answer.
    log_likelihood : ndarray of shape (n_columns,), in nats
    error : float
        The part of the likelihood that a mistake contributes under any hypothesis; 0 where no mistake is modelled.
    reading : int
        Index of the reading, -1 for other evidence.
    """

    source: str
    log_likelihood: Array
    error: float
    reading: int = -1


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class Evidence:
    """The evidence of one case: what was said, under which supply (V; None where nobody knows it), and was read."""

    opened: OpenBuilds
    complaints: tuple[str, ...]
    working: tuple[str, ...]
    supply: float | None
    weighed: Sequence[Weighed]

    @property
    def kind(self) -> Hashable:
        """Cases with the same can be worked out together; as long as their builds live."""
        return id(self.opened), self.complaints, self.working, tuple(one.prepared.test.id for one in self.weighed)

    def pieces(self, rows: Array, misread: float) -> list[Piece]:
        """Its pieces, complaints first, then what works, then readings, with their rows of log-likelihoods."""
        names = [*_reports(self), *((w.prepared.source, error_of(w.prepared, misread)) for w in self.weighed)]
        places = [-1] * (len(names) - len(self.weighed)) + [w.prepared.index for w in self.weighed]
        return [
            Piece(source, row, error, place)
            for (source, error), row, place in zip(names, rows, places, strict=True)
        ]  # fmt: skip


def _reports(evidence: Evidence) -> Iterator[tuple[str, float]]:
    """What reports are called, and what a mistake contributes to each."""
    for complaint in evidence.complaints:
        yield f"complaint:{complaint}", evidence.opened.by_chance[complaint]
    for function in evidence.working:
        yield f"working:{function}", float(WRONG_REPORT)


def log_likelihoods(cases: Sequence[Evidence], misread: float) -> Array:
    """Of every piece of evidence of cases of one kind, under every hypothesis.

    Parameters
    ----------
    cases : sequence of Evidence
        All of the same :attr:`Evidence.kind`.
    misread : float
        Share of misread values.

    Returns
    -------
    ndarray of shape (n_cases, n_evidence, n_columns), in nats
    """
    first = cases[0]
    said = len(first.complaints) + len(first.working)
    rows = np.empty((len(cases), said + len(first.weighed), len(first.opened)))
    for build, columns in first.opened.blocks():
        _fill_reports(rows[:, :said, columns], cases, build.compiled)
    for place in range(len(first.weighed)):
        readings = [case.weighed[place] for case in cases]
        if readings[0].prepared.test.outcomes:
            _fill_seen(rows[:, said + place], readings, first.opened, misread)
        else:
            _fill_numbers(rows[:, said + place], readings, first.opened, misread)
    return rows


def _fill_reports(rows: Array, cases: Sequence[Evidence], compiled: Compiled) -> None:
    """Complaints and functions that are reported to work, in one build.

    Each report is given those before it: reports about one function are about one and the same failure.
    """
    first = cases[0]
    reports = Reports(compiled, volts([case.supply for case in cases]))
    for place, complaint in enumerate(first.complaints):
        # A build in which the complaint cannot arise explains it by chance only.
        by_chance = np.array([first.opened.by_chance[complaint]])
        rows[:, place] = np.log(reports.complained(complaint) if complaint in compiled.complaints else by_chance)
    for place, function in enumerate(first.working, start=len(first.complaints)):
        there = function in compiled.functions
        rows[:, place] = np.log(reports.works(function) if there else np.array([float(WRONG_REPORT)]))


def _fill_seen(rows: Array, readings: Sequence[Weighed], opened: OpenBuilds, misread: float) -> None:
    """One test that is seen."""
    prepared = [reading.prepared for reading in readings]
    test = prepared[0].test
    outcomes = [test.outcomes.index(str(p.reading.seen)) for p in prepared]
    situations, meters = [p.situation for p in prepared], [p.beeper for p in prepared]
    for build, columns in opened.blocks():
        if test.id in build.compiled.tests:
            rows[:, columns] = build.compiled.seen(test.id, outcomes, situations, meters, misread)
        else:
            # A build without this test explains its reading no better than a mistake would.
            rows[:, columns] = np.log(misread / len(test.outcomes))


def _fill_numbers(rows: Array, readings: Sequence[Weighed], opened: OpenBuilds, misread: float) -> None:
    """One test that is measured: likelihoods by class, spread over the columns."""
    predictors, index = opened.gather(readings[0].prepared.test.id)
    errors = np.array([[error_of(reading.prepared, misread)] for reading in readings])
    by_class = [np.array([r.by_predictor[predictor].likelihood for r in readings]) for predictor in predictors]
    rows[:] = np.log(np.concatenate([*by_class, errors], axis=1))[:, index]
