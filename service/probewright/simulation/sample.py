"""Lines of drawn cases: each with what was truly wrong, and where wanted with what the service answers today."""

from __future__ import annotations

import multiprocessing
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import MISSING, Field, dataclass, fields
from datetime import date
from functools import lru_cache
from typing import Any, Final, Literal, get_args

import orjson

from probewright.engine import diagnose
from probewright.errors import EngineError, RequestError
from probewright.intake import load_case
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright.simulation.cases import Drawing, Drawn
from probewright.simulation.draw import Omissions
from probewright.simulation.perturb import OMISSIONS
from probewright_schemas.dump import to_document
from probewright_schemas.records import Effort

Document = dict[str, Any]
#: The whole answer, or what re-evaluation reads of one (:class:`~probewright_schemas.batch.EarlierAnswerSchema`).
Answers = Literal["full", "brief"]
ANSWERS: Final[tuple[str, ...]] = get_args(Answers)
#: Cases that are drawn in one go, and such groups that wait for each process.
GROUP = 50
_WAITING = 4
_SIMPLE = frozenset({str, float, int, bool, date, type(None)})
_BRIEF: Final[Mapping[str, Mapping[str, None]]] = {
    "readings": dict.fromkeys(("test", "verdict", "probability_within")),
    "faults": dict.fromkeys(("fault", "probability")),
}


@dataclass(frozen=True, slots=True)
class Sample:
    """What to draw; ``misread`` is the share of misread readings, None for the deployment's own."""

    cases: int
    seed: int = 0
    answers: Answers | None = None
    effort: Effort = "none"
    misread: float | None = None
    omissions: Omissions = OMISSIONS


def lines(pack: LoadedPack, settings: Settings, sample: Sample, workers: int = 1) -> Iterator[bytes]:
    """Draw cases, as JSON without a line feed, in the order of their numbers.

    Parameters
    ----------
    workers : int
        Processes; they need an operating system that can fork.  They change no byte.

    Raises
    ------
    PackModelError
        When hardly any appliance of the family raises a complaint.
    """
    task = _Task(pack, settings, sample)
    groups = range((sample.cases + GROUP - 1) // GROUP)
    # The first is drawn here: what it compiles is there in every process that is forked afterwards.
    yield from task.group(0)
    if workers > 1 and len(groups) > 2 and "fork" in multiprocessing.get_all_start_methods():
        yield from _in_processes(task, groups[1:], workers)
        return
    for number in groups[1:]:
        yield from task.group(number)


class _Task:
    """Draws groups of cases."""

    def __init__(self, pack: LoadedPack, settings: Settings, sample: Sample) -> None:
        self.pack, self.settings, self.sample = pack, settings, sample
        misread = settings.misread_rate if sample.misread is None else sample.misread
        self.drawing = Drawing(pack, sample.seed, misread, sample.omissions, sample.effort)

    def group(self, number: int) -> list[bytes]:
        """The lines of one group."""
        numbers = range(number * GROUP, min((number + 1) * GROUP, self.sample.cases))
        try:
            return [self._line(case) for case in numbers]
        except RequestError as error:
            # Nothing that is drawn may be refused.  An error that carries records cannot be sent between processes.
            raise EngineError(f"a simulated case is refused: {error}") from None

    def _line(self, number: int) -> bytes:
        drawn = self.drawing.case(number)
        document: Document = {"invented": True, "case": plain(drawn.case)}
        if self.sample.answers is not None:
            document["answer"] = self._answer(document["case"])
        return orjson.dumps(document | {"truth": _truth(drawn)})

    def _answer(self, case: Document) -> Document:
        # Of the case as whoever reads the line will have it.
        read = load_case(orjson.loads(orjson.dumps(case)))
        answer = to_document(diagnose(read, self.pack, self.settings))
        return answer if self.sample.answers == "full" else brief(answer)


def brief(answer: Mapping[str, Any]) -> Document:
    """What re-evaluation reads of an answer."""
    kept = {name: answer[name] for name in ("pack", "unexplained", "no_fault", "computation") if name in answer}
    for name, members in _BRIEF.items():
        kept[name] = [{m: entry[m] for m in members if m in entry} for entry in answer[name]]
    if "next" in answer:
        kept["next"] = {name: answer["next"].get(name, "") for name in ("kind", "id")}
    return kept


def _truth(drawn: Drawn) -> Document:
    return {
        "faults": list(drawn.wrong.faults),
        "unknown": drawn.wrong.unknown,
        "options": drawn.options,
        "misread": list(drawn.misread),
        "gains": drawn.gains,
    }


def plain(value: Any) -> Any:
    """A record as JSON has it, without members that say what is taken for granted; days are left to the writer."""
    kind: Any = type(value)
    if kind in _SIMPLE:
        return value
    if kind is tuple:
        return [plain(inner) for inner in value]
    if isinstance(value, Mapping):
        return {key: plain(inner) for key, inner in value.items()}
    members = [(name, getattr(value, name), default) for name, default in _defaults(kind)]
    return {name: plain(inner) for name, inner, default in members if inner is not default and inner != default}


@lru_cache(maxsize=64)
def _defaults(record: type[Any]) -> tuple[tuple[str, Any], ...]:
    return tuple((field.name, _default(field)) for field in fields(record))


def _default(field: Field[Any]) -> Any:
    return field.default if field.default_factory is MISSING else field.default_factory()


_TASK: list[_Task] = []  # of a forked process, for a pack's hooks cannot be sent to one


def _begin(task: _Task) -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)  # a terminal interrupts all of us, and only the parent says so
    _TASK.append(task)


def _group(number: int) -> list[bytes]:
    return _TASK[-1].group(number)


def _in_processes(task: _Task, groups: Iterable[int], workers: int) -> Iterator[bytes]:
    """The lines of groups in their order, with few of them on their way at any time."""
    with ProcessPoolExecutor(workers, multiprocessing.get_context("fork"), _begin, (task,)) as pool:
        try:
            for drawn in _in_order(pool.submit, groups, workers * _WAITING):
                yield from drawn
        except BrokenProcessPool:
            told = "a process that draws cases was ended: by a hook or law of the pack, or for want of memory"
            raise EngineError(told) from None
        finally:
            pool.shutdown(wait=False, cancel_futures=True)


def _in_order(
    submit: Callable[[Callable[[int], list[bytes]], int], Future[list[bytes]]], groups: Iterable[int], most: int,
) -> Iterator[list[bytes]]:  # fmt: skip
    waiting: deque[Future[list[bytes]]] = deque()
    for number in groups:
        waiting.append(submit(_group, number))
        if len(waiting) >= most:
            yield waiting.popleft().result()
    while waiting:
        yield waiting.popleft().result()
