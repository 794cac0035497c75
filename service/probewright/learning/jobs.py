"""Reads closed jobs: one JSON object on each line, every bad line told by its number and what is wrong with it.

What counting needs of a job is small, and what many jobs share is kept once.  Of the rest only the line itself is kept,
to be read again for the jobs that are scored; so a hundred thousand jobs take a few hundred megabytes.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import TypeVar, cast

from probewright.circuit.parts import holds
from probewright.errors import Fault, InvalidCase, RequestError
from probewright.inference.configurations import configurations
from probewright.inference.hypotheses import together
from probewright.inference.ids import Vocabulary
from probewright.inference.prepared import repairs_before
from probewright.inference.preparing import prepare
from probewright.intake import MalformedJsonError, read_json
from probewright.packs.model import Family, Table
from probewright_schemas.closed import UNKNOWN, ClosedJob, closed_loader
from probewright_schemas.faults import DocumentError
from probewright_schemas.records import Case
from probewright_schemas.suggest import did_you_mean

#: More than any shop closes; the lines are kept in memory.
MOST_JOBS = 250_000
#: Bytes of one line.
LONGEST_LINE = 1_048_576
#: Faults that are told of one line.
_MOST_TOLD = 3

Options = tuple[tuple[str, str], ...]
T = TypeVar("T")
_LOAD = closed_loader()


@dataclass(frozen=True, slots=True)
class BadLine:
    """A line that is no closed job of the family, and why; lines count from 1."""

    line: int
    reason: str


@dataclass(frozen=True, slots=True)
class Job:
    """What counts of a closed job.

    ``complaint`` is the first of its case: what the customer called about.
    ``seen`` holds, of each test that a table describes, the first outcome that was seen before any repair.  ``line``
    is the job as it was written.
    """

    day: date
    options: Options
    complaint: str | None
    proven: tuple[str, ...]
    seen: tuple[tuple[str, str], ...]
    line: bytes

    @property
    def case(self) -> Case:
        """The whole case, read again."""
        return _LOAD(read_json(self.line)).case


@dataclass(frozen=True, slots=True)
class JobFile:
    """The jobs of a file, in the order of the days on which they were closed, and the lines that are none.

    Jobs of one day stand in the order of what was written, so the order of the lines does not matter.
    """

    jobs: tuple[Job, ...]
    bad: tuple[BadLine, ...]


class TooManyJobsError(RequestError):
    """More lines than are taken at once."""

    code = "too_many_jobs"


def read_jobs(lines: Iterable[bytes], family: Family) -> JobFile:
    """Read closed jobs of a family.

    Empty lines do not count.  Bad lines are those that break the contract, are about another family, name what this one
    does not have, or prove a fault that the options rule out or that cannot be there beside the other; and a job with a
    reference that was written before, byte for byte.

    Parameters
    ----------
    lines : iterable of bytes
        A file opened for reading bytes, for example.
    family : Family

    Raises
    ------
    TooManyJobsError
        For more than :data:`MOST_JOBS` jobs.
    """
    reader = _Reader(family)
    for number, line in enumerate(lines, start=1):
        written = line.strip()
        if written:
            reader.take(number, written)
    jobs = sorted(reader.jobs, key=lambda job: (job.day, job.line))
    return JobFile(tuple(jobs), tuple(reader.bad))


class _Reader:
    """Collects jobs and bad lines."""

    def __init__(self, family: Family) -> None:
        self.family, self._vocabulary = family, Vocabulary(family)
        self.jobs: list[Job] = []
        self.bad: list[BadLine] = []
        self._tables = frozenset(t.id for t in family.tests if any(isinstance(m, Table) for m in t.models))
        self._faults = {fault.id: fault for fault in family.faults}
        self._possible = lru_cache(maxsize=1024)(self._faults_of)
        self._written: dict[bytes, int] = {}
        self._shared: dict[object, object] = {}

    def take(self, number: int, line: bytes) -> None:
        """Take one line."""
        if len(self.jobs) >= MOST_JOBS:
            raise TooManyJobsError(f"line {number}: more than {MOST_JOBS} jobs; learn from fewer at once")
        try:
            self.jobs.append(self._job(number, line))
        except InvalidCase as refusal:
            told = [f"{f.pointer or '/'}: {f.message}" for f in refusal.faults[:_MOST_TOLD]]
            more = len(refusal.faults) - len(told)
            self.bad.append(BadLine(number, "; ".join([*told, *([f"and {more} more"] if more > 0 else [])])))
        except MalformedJsonError as refusal:
            self.bad.append(BadLine(number, f"is not JSON: {refusal.reason} (column {refusal.column})"))

    def _job(self, number: int, line: bytes) -> Job:
        if len(line) > LONGEST_LINE:
            raise _wrong("", f"is longer than {LONGEST_LINE} bytes", "too_long")
        try:
            closed = _LOAD(read_json(line))
        except DocumentError as error:
            raise InvalidCase([Fault(f.pointer, f.message, f.code) for f in error.faults]) from None
        self._check(closed)
        if closed.case.reference is not None and self._written.setdefault(line, number) != number:
            raise _wrong("", f"is the same as line {self._written[line]}", "duplicate")
        case = closed.case
        options, proven = tuple(sorted(case.options.items())), tuple(sorted(closed.proven))
        return Job(
            closed.day, self._once(options), next(iter(case.complaints), None), self._once(proven),
            self._once(self._seen(case)), line,
        )  # fmt: skip

    def _check(self, closed: ClosedJob) -> None:
        """Refuse a job that cannot be one of the family."""
        case, family = closed.case, self.family
        if case.family != family.id:
            raise _wrong("/case/family", f"is {case.family!r}, not {family.id!r}", "unknown_family")
        try:
            prepare(case, self._vocabulary)
        except InvalidCase as error:
            raise InvalidCase([Fault(f"/case{f.pointer}", f.message, f.code) for f in error.faults]) from None
        possible = self._possible(tuple(sorted(case.options.items())))
        if possible is None:
            raise _wrong("/case/options", "no appliance of this family has these together", "options_contradict")
        for place, name in enumerate(closed.proven):
            self._check_fault(f"/proven/{place}", name, possible)
        pair = [self._faults[name] for name in closed.proven if name in self._faults]
        if len(pair) > 1 and not together(*pair):
            raise _wrong("/proven", "these two cannot be there at the same time", "impossible_pair")

    def _check_fault(self, pointer: str, name: str, possible: Collection[str]) -> None:
        if name != UNKNOWN and name not in self._faults:
            hint = did_you_mean(name, (*self._faults, UNKNOWN))
            raise _wrong(pointer, f"unknown fault {name!r}{hint}", "unknown_fault")
        if name != UNKNOWN and name not in possible:
            raise _wrong(pointer, f"no appliance with these options can have {name!r}", "impossible_fault")

    def _faults_of(self, options: Options) -> frozenset[str] | None:
        """The faults that an appliance with these options can have; None where there is no such appliance."""
        builds = configurations(self.family, dict(options))
        if not builds:
            return None
        return frozenset(f.id for f in self.family.faults if any(holds(f.when, b.options) for b in builds))

    def _once(self, value: T) -> T:
        return cast("T", self._shared.setdefault(value, value))

    def _seen(self, case: Case) -> tuple[tuple[str, str], ...]:
        first: dict[str, str] = {}
        for reading in case.readings:
            if reading.test in self._tables and reading.seen is not None and not repairs_before(case, reading):
                first.setdefault(reading.test, reading.seen)
        return tuple(sorted(first.items()))


def _wrong(pointer: str, message: str, code: str) -> InvalidCase:
    return InvalidCase([Fault(pointer, message, code)])
