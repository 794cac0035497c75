"""The evidence of cases: of every piece the log-likelihoods, by the classes of hypotheses that it can tell apart.

Cases that leave the same builds open are worked out together, whatever their evidence is about: all readings of one
test at once, and all complaints of one kind.  Columns run over the builds one after another, each in the order of its
hypotheses.  A small share of misread values is always allowed (``misread`` below), so no reading can rule anything out
by itself.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import accumulate, pairwise

import numpy as np
from numpy.typing import NDArray

from probewright.inference.builds import Build, ClassRows, OpenBuilds
from probewright.inference.compiled import WRONG_REPORT, volts
from probewright.inference.likelihood import Weighed, error_of
from probewright.inference.posterior import Tables
from probewright.inference.reports import Reports
from probewright.inference.structure import Classes, classes

Array = NDArray[np.float64]
Index = NDArray[np.intp]


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class Source:
    """Where one piece of evidence is from.

    Attributes
    ----------
    source : str
        What it is called in the answer.
    error : float
        The part of the likelihood that a mistake contributes under any hypothesis; 0 where no mistake is modelled.
    reading : int
        Index of the reading, -1 for other evidence.
    """

    source: str
    error: float
    reading: int = -1


@dataclass(slots=True)  # likewise
class Piece(Source):
    """One piece of evidence with what it says.

    Attributes
    ----------
    log_likelihood : ndarray of shape (n_columns,), in nats
    """

    log_likelihood: Array = field(default_factory=lambda: np.zeros(0))


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class Evidence:
    """The evidence of one case: what was said, under which supply (V; None where nobody knows it), and was read."""

    opened: OpenBuilds
    complaints: tuple[str, ...]
    working: tuple[str, ...]
    supply: float | None
    weighed: Sequence[Weighed]

    def __len__(self) -> int:
        return len(self.complaints) + len(self.working) + len(self.weighed)

    def sources(self, misread: float) -> list[Source]:
        """Its pieces: complaints first, then what works, then readings."""
        readings = [Source(w.prepared.source, error_of(w.prepared, misread), w.prepared.index) for w in self.weighed]
        return [*_reports(self), *readings]

    def pieces(self, told: Tables, misread: float) -> list[Piece]:
        """The same with what they say."""
        sources = zip(self.sources(misread), told.log_likelihoods(), strict=True)
        return [Piece(of.source, of.error, of.reading, row) for of, row in sources]


def tell(cases: Sequence[Evidence], misread: float) -> list[Tables]:
    """What the evidence of cases tells that leave the very same builds open.

    Parameters
    ----------
    cases : sequence of Evidence
        All with the same ``opened``.
    misread : float
        Share of misread values.
    """
    opened = cases[0].opened
    asked = _Asked(opened.records, cases)
    for place, case in enumerate(cases):
        asked.of_reports(place, case)
        asked.of_readings(place, case)
    return asked.told(misread)


@dataclass(frozen=True, slots=True)
class _Blocks:
    """A record of evidence in each build: its classes, and its part of the tables."""

    parts: Sequence[tuple[Build, Classes, slice]]
    size: int


@dataclass(frozen=True, slots=True)
class _Predictors:
    """A measured test: ``id`` of the predictors whose classes stand one after another; last comes what lacks it."""

    ids: Sequence[int]


class _Asked:
    """Pieces of evidence put together by what they are about."""

    def __init__(self, records: ClassRows, cases: Sequence[Evidence]) -> None:
        self._records, self._cases, self._opened = records, cases, cases[0].opened
        self._ends = [0, *accumulate(len(case) for case in cases)]
        self._pieces = [(0, 0)] * self._ends[-1]
        self._reports: dict[tuple[tuple[str, str], ...], list[tuple[int, tuple[int, ...]]]] = {}
        self._readings: dict[str, list[tuple[int, Weighed]]] = {}
        self._tables: list[Array] = []
        self._length = 0

    def of_reports(self, place: int, case: Evidence) -> None:
        """Reports about one function are about one and the same failure: they are weighed together."""
        start = self._ends[place]
        together: dict[str, list[tuple[int, tuple[str, str]]]] = {}
        complaints = self._opened.complaints
        for i, name in enumerate(case.complaints, start=start):
            function = complaints[name].function
            together.setdefault(function or f"complaint:{name}", []).append((i, ("complaint", name)))
        for i, name in enumerate(case.working, start=start + len(case.complaints)):
            together.setdefault(name, []).append((i, ("function", name)))
        for group in together.values():
            reports = tuple([report for _, report in group])
            self._reports.setdefault(reports, []).append((place, tuple([i for i, _ in group])))

    def of_readings(self, place: int, case: Evidence) -> None:
        """Each is weighed by itself."""
        for i, one in enumerate(case.weighed, start=self._ends[place + 1] - len(case.weighed)):
            self._readings.setdefault(one.prepared.test.id, []).append((i, one))

    def told(self, misread: float) -> list[Tables]:
        """Work out all tables."""
        for reports, asking in self._reports.items():
            self._tell_reports(reports, asking)
        for test, readings in self._readings.items():
            self._tell_readings(test, readings, misread)
        rows, tables = self._records.rows(), np.concatenate([np.zeros(1), *self._tables])
        pieces = np.array(self._pieces, dtype=np.int64).reshape(-1, 2)
        return [Tables(rows, tables, pieces[start:end]) for start, end in pairwise(self._ends)]

    def _add(self, record: int, places: Sequence[int], tables: Array) -> None:
        """Tables of pieces of one record: shape (n_pieces, n_classes)."""
        start, size = 1 + self._length, tables.shape[1]
        for place in places:
            self._pieces[place] = record, start
            start += size
        self._tables.append(tables.ravel())
        self._length += tables.size

    def _tell_reports(
        self, reports: tuple[tuple[str, str], ...], asking: Sequence[tuple[int, tuple[int, ...]]],
    ) -> None:  # fmt: skip
        record, blocks = self._records.place(reports, lambda: self._classed(reports))
        supplies = volts([self._cases[place].supply for place, _ in asking])
        tables = np.empty((len(reports), len(asking), blocks.size))
        for build, of, columns in blocks.parts:
            told = Reports(build.compiled, supplies, of.members)
            for table, (kind, name) in zip(tables, reports, strict=True):
                table[:, columns] = np.log(self._report(told, build, kind, name))
        for number, table in enumerate(tables):
            self._add(record, [places[number] for _, places in asking], table)

    def _report(self, told: Reports, build: Build, kind: str, name: str) -> Array:
        # A build in which a complaint cannot arise, or that lacks a function, explains the word of it by chance only.
        if kind == "complaint":
            there = name in build.compiled.complaints
            return told.complained(name) if there else np.array([self._opened.by_chance[name]])
        return told.works(name) if name in build.compiled.functions else np.array([float(WRONG_REPORT)])

    def _classed(self, reports: tuple[tuple[str, str], ...]) -> tuple[_Blocks, Index]:
        return _blocks(self._opened, [f"{kind}:{name}" for kind, name in reports])

    def _tell_readings(self, test: str, readings: Sequence[tuple[int, Weighed]], misread: float) -> None:
        if readings[0][1].prepared.test.outcomes:
            record, blocks = self._records.place(("test", test), lambda: _blocks(self._opened, [f"test:{test}"]))
            tables = _seen([one for _, one in readings], blocks, misread)
        else:
            record, predictors = self._records.place(("test", test), lambda: _predicted(self._opened, test))
            tables = _numbers([one for _, one in readings], predictors, misread)
        self._add(record, [place for place, _ in readings], tables)


def _reports(evidence: Evidence) -> Iterator[Source]:
    """What customers say."""
    for complaint in evidence.complaints:
        yield Source(f"complaint:{complaint}", evidence.opened.by_chance[complaint])
    for function in evidence.working:
        yield Source(f"working:{function}", float(WRONG_REPORT))


def _blocks(opened: OpenBuilds, records: Sequence[str]) -> tuple[_Blocks, Index]:
    """Records of evidence classed in each build, and the class of each column."""
    parts: list[tuple[Build, Classes, slice]] = []
    rows, size = np.empty(len(opened), dtype=np.intp), 0
    for build, columns in opened.blocks():
        found = classes(build.compiled, tuple(records))
        rows[columns] = size + found.index
        parts.append((build, found, slice(size, size + len(found.members))))
        size += len(found.members)
    return _Blocks(parts, size), rows


def _predicted(opened: OpenBuilds, test: str) -> tuple[_Predictors, Index]:
    """Likelihoods by class of the predictors that the builds have, end to end, and where each column's stands."""
    starts: dict[int, int] = {}
    rows, length = np.full(len(opened), -1, dtype=np.intp), 0
    for build, columns in opened.blocks():
        compiled = build.compiled
        if test in compiled.tests:
            predictor = compiled.numeric(test)
            if id(predictor) not in starts:
                starts[id(predictor)] = length
                length += int(predictor.model.classes.max()) + 2
            rows[columns] = compiled.index(test) + starts[id(predictor)]
    rows[rows < 0] = length
    return _Predictors(tuple(starts)), rows


def _seen(readings: Sequence[Weighed], blocks: _Blocks, misread: float) -> Array:
    """Readings of one test that is seen: shape (n_readings, n_classes), in nats."""
    prepared = [reading.prepared for reading in readings]
    test = prepared[0].test
    outcomes = [test.outcomes.index(str(p.reading.seen)) for p in prepared]
    situations, meters = [p.situation for p in prepared], [p.beeper for p in prepared]
    tables = np.empty((len(readings), blocks.size))
    for build, of, columns in blocks.parts:
        if test.id in build.compiled.tests:
            tables[:, columns] = build.compiled.seen(
                test.id, outcomes, situations, meters, misread, of.members, of.kept
            )
        else:
            # A build without this test explains its reading no better than a mistake would.
            tables[:, columns] = np.log(misread / len(test.outcomes))
    return tables


def _numbers(readings: Sequence[Weighed], predictors: _Predictors, misread: float) -> Array:
    """Readings of one test that is measured: shape (n_readings, n_classes), in nats."""
    errors = np.array([[error_of(reading.prepared, misread)] for reading in readings])
    by_class = [np.array([r.by_predictor[predictor].likelihood for r in readings]) for predictor in predictors.ids]
    return np.asarray(np.log(np.concatenate([*by_class, errors], axis=1)))
