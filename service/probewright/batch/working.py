"""The work on one block of stored jobs, for whoever does it: this process, a child, or a worker on another machine."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from threading import Lock
from typing import Any

import orjson

from probewright.batch.answering import Outcome, Reevaluations, load_changes
from probewright.batch.files import JobLine, bad_line
from probewright.batch.lines import Line
from probewright.batch.reevaluating import Reevaluator
from probewright.batch.runs.blocks import Block, BlockResult, Ready
from probewright.batch.runs.installed import ShopFile, identity, load
from probewright.errors import Fault, InvalidCase, ProbewrightError, said
from probewright.intake import read_json
from probewright.packs.registry import Registry
from probewright.settings import Settings
from probewright_schemas.batch_records import Changes
from probewright_schemas.records import Effort


@dataclass(frozen=True, slots=True)
class Asked:
    """What a re-evaluation was asked for, in a form that can be sent to another machine.

    ``changes`` is the document of the changes in JSON, ``effort`` comes in place of the cases' own, and ``answers`` is
    whether the new answers are given in whole beside what changed.
    """

    changes: bytes = b"{}"
    shop: tuple[ShopFile, ...] = ()
    settings: Settings = field(default_factory=Settings)
    effort: Effort | None = None
    recompute: bool = False
    answers: bool = False
    strict: bool = False

    def load_changes(self) -> Changes:
        """The changes as records; raises RequestError."""
        return load_changes(read_json(self.changes))


def set_up(asked: Asked) -> Ready:
    """Load the packs, and make ready to work on blocks.

    Raises
    ------
    PackError, ShopFileError
        When no pack can be used, or a file of the shop is broken.
    RequestError
        When the changes break their contract, or name what the packs do not have.
    """
    return ready(asked, load(asked.shop, strict=asked.strict))


def ready(asked: Asked, registry: Registry) -> Ready:
    """As :func:`set_up`, with packs that are loaded."""
    reevaluator = Reevaluator(
        asked.load_changes(), registry, asked.settings, effort=asked.effort, recompute=asked.recompute,
        answers=asked.answers,
    )  # fmt: skip
    return Ready(partial(_work, reevaluator), identity(registry, asked.settings))


class _Collector:
    """The collector of circles, out of the way while anybody is at a block."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._at_work = 0
        self._was = False

    def leave(self) -> None:
        with self._lock:
            if not self._at_work:
                self._was = gc.isenabled()
                gc.disable()
            self._at_work += 1

    def come_back(self) -> None:
        with self._lock:
            self._at_work -= 1
            if not self._at_work and self._was:
                gc.enable()


_COLLECTOR = _Collector()


@contextmanager
def uncollected() -> Iterator[None]:
    """Without looking for circles of objects.

    A block is hundreds of thousands of objects that all go with it: looking for circles among them while they are there
    is a third of the work, and finds none.  What an exception leaves is found between two blocks.
    """
    _COLLECTOR.leave()
    try:
        yield
    finally:
        _COLLECTOR.come_back()


@uncollected()
def _work(reevaluator: Reevaluator, block: Block) -> BlockResult:
    lines = list(block.lines())
    jobs = [line for line in lines if line.job is not None]
    batch = Reevaluations(reevaluator)
    # Their length was looked at when they were read.
    outcomes = batch.work([Line(line.line, line.job) for line in jobs], 0)
    problems = _problems(jobs, outcomes)
    output = [
        orjson.dumps({"line": outcome.line, "result": outcome.answer}, option=orjson.OPT_APPEND_NEWLINE)
        for outcome in outcomes
        if not isinstance(outcome.answer, Exception)
    ]
    rejected = []
    for line in lines:
        if line.job is None:
            batch.tally.refuse("unreadable")
            rejected.append(bad_line(line))
        elif line.line in problems:
            rejected.append(bad_line(line, problems[line.line]))
    return BlockResult(b"".join(output), b"".join(rejected), orjson.dumps(batch.tally.to_json()))


def _problems(jobs: Sequence[JobLine], outcomes: Sequence[Outcome]) -> dict[int, dict[str, Any]]:
    """Why jobs were not answered, by the numbers of their lines."""
    return {
        job.line: problem(outcome.answer)
        for job, outcome in zip(jobs, outcomes, strict=True)
        if isinstance(outcome.answer, Exception)
    }


def problem(error: Exception) -> dict[str, Any]:
    """What is wrong with a job, for the side file: the members of a problem of the service that are about the case."""
    faults: Sequence[Fault] = error.faults if isinstance(error, InvalidCase) else ()
    known = isinstance(error, ProbewrightError)
    return {
        "code": error.code if isinstance(error, ProbewrightError) else "internal_error",
        "detail": str(error) if known else said(error),
        "errors": [{"pointer": f.pointer, "message": f.message, "code": f.code} for f in faults],
    }
