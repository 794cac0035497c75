"""Stored jobs as they are read from lines: what is looked at of each is made only then."""

from __future__ import annotations

from typing import Any, Protocol, cast

from probewright.intake import is_shallow, load_case, loaded, read_json
from probewright_schemas.batch import StoredJobSchema
from probewright_schemas.batch_records import EarlierAnswer, StoredJob
from probewright_schemas.case import CaseSchema
from probewright_schemas.decoding import Decoder
from probewright_schemas.fields import UncleanError
from probewright_schemas.load import loader
from probewright_schemas.records import Case

_JOBS, _CASES = Decoder(StoredJobSchema()), Decoder(CaseSchema())
_LOAD_JOB = loader(StoredJobSchema())


class Job(Protocol):
    """A stored job: :class:`~probewright_schemas.batch_records.StoredJob` is one."""

    @property
    def case(self) -> Case:
        """The case."""

    @property
    def answer(self) -> EarlierAnswer | None:
        """The answer that it was given, if any."""

    @property
    def told(self) -> Any:
        """The case, or what has its members."""


class ReadJob:
    """A stored job as it was parsed.  Its case is a record from when that is asked for; its answer has its members."""

    __slots__ = ("_case", "_read")

    def __init__(self, read: Any) -> None:
        self._read = read
        self._case: Case | None = None

    @property
    def case(self) -> Case:
        """The case."""
        if self._case is None:
            self._case = cast("Case", _CASES.record(self._read.case))
        return self._case

    @property
    def answer(self) -> EarlierAnswer | None:
        """The answer that it was given, if any."""
        return cast("EarlierAnswer | None", self._read.answer)

    @property
    def told(self) -> Any:
        """What has the members of the case."""
        return self._read.case


def read_case(line: bytes) -> Case:
    """The case of a line.

    Raises
    ------
    MalformedJsonError, InvalidCase
        As :func:`~probewright.intake.read_json` and :func:`~probewright.intake.load_case`.
    """
    try:
        if is_shallow(line):
            return cast("Case", _CASES.record(_CASES.read(line)))
    except UncleanError:
        pass
    return load_case(read_json(line))


def read_job(line: bytes) -> Job:
    """The stored job of a line; raises as :func:`read_case`."""
    try:
        if is_shallow(line):
            return ReadJob(_JOBS.read(line))
    except UncleanError:
        pass
    return load_job(read_json(line))


def load_job(document: object) -> StoredJob:
    """Check a parsed document and make it a stored job; raises InvalidCase with a JSON pointer to every fault."""
    return loaded(_LOAD_JOB, document)
