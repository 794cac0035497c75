"""From many documents to as many answers, in order, a piece at a time."""

from __future__ import annotations

from collections import Counter, deque
from collections.abc import Generator, Iterable, Iterator
from contextlib import closing
from dataclasses import dataclass
from typing import Any, Literal

from probewright.client.documents import lines, understood
from probewright.client.errors import BadAnswerError, ClientError, CutOffError, refusal
from probewright.client.pieces import Entry, Size, pieces
from probewright.client.transport import NDJSON, Call, Transport, chunks

Items = Generator["BatchItem", None, None]


@dataclass(frozen=True, slots=True)
class BatchItem:
    """What became of one document: an answer, or the problem that it met.

    Attributes
    ----------
    index : int
        The document's place in what the caller gave, counted from 0.
    document : object
        The document itself.
    answer : dict or None
        The diagnosis of a case.
    result : dict or None
        What became of a stored job.
    problem : ClientError or None
        Why there is neither: what asking for it alone would have raised.
    """

    index: int
    document: object
    answer: dict[str, Any] | None = None
    result: dict[str, Any] | None = None
    problem: ClientError | None = None

    def raise_for_problem(self) -> None:
        """Raise the problem, if there is one."""
        if self.problem is not None:
            raise self.problem


@dataclass(frozen=True, slots=True)
class Kind:
    """A stream: where it goes, how its answers are called, and the line that comes before the documents, if any."""

    path: str
    key: Literal["answer", "result"]
    head: bytes | None = None


def stream(transport: Transport, kind: Kind, documents: Iterable[object], size: Size) -> Items:
    """One item for each document, in order; closing it closes the connection."""
    for piece in pieces(documents, size):
        yield from _piece(transport, kind, deque(piece))


def _piece(transport: Transport, kind: Kind, left: deque[Entry]) -> Items:
    """Send a piece; after an answer that was cut off, what of it was not answered yet."""
    attempts = transport.retries.begin()
    yield from _unsent(left)
    while left:
        try:
            yield from _once(transport, kind, left)
        except ClientError as error:
            attempts.failed(error, f"POST {kind.path}")


def _unsent(left: deque[Entry]) -> Items:
    """Those in front that could not be sent."""
    while left and left[0].problem is not None:
        entry = left.popleft()
        yield BatchItem(entry.index, entry.document, problem=entry.problem)


def _once(transport: Transport, kind: Kind, left: deque[Entry]) -> Items:
    """One request for all that is left.

    The last answer waits for the summary: where the end is missing, there is something left to ask again.
    """
    sent = [entry.line for entry in left if entry.line is not None]
    body = b"\n".join([*([] if kind.head is None else [kind.head]), *sent, b""])
    call = Call("POST", kind.path, body, NDJSON)
    with closing(transport.open(call)) as response:
        answers = (understood(line, str(call)) for line in lines(chunks(response, call), str(call)))
        told = _Told(kind, call)
        for number in range(1, len(sent) + 1):
            answered = told.answer(answers, left[0])
            if number == len(sent):
                told.end(answers)
            left.popleft()
            yield answered
            yield from _unsent(left)


class _Told:
    """Reads the lines of one answer, and insists that they are what was asked for."""

    def __init__(self, kind: Kind, call: Call) -> None:
        self._kind, self._call = kind, call
        self._line = 0 if kind.head is None else 1
        self._counts: Counter[str] = Counter()

    def answer(self, answers: Iterator[dict[str, Any]], entry: Entry) -> BatchItem:
        """The next line, which answers this document."""
        self._line += 1
        document = self._next(answers)
        found, problem = document.get(self._kind.key), document.get("problem")
        if document.get("line") != self._line or isinstance(found, dict) == isinstance(problem, dict):
            raise self._bad(f"line {self._line} was to be answered, and something else came")
        if isinstance(problem, dict):
            self._counts["refused"] += 1
            return BatchItem(entry.index, entry.document, problem=_problem(problem, str(self._call)))
        self._counts["answered"] += 1
        return BatchItem(entry.index, entry.document, **{self._kind.key: found})

    def end(self, answers: Iterator[dict[str, Any]]) -> None:
        """The summary, and nothing after it."""
        summary = self._next(answers).get("summary")
        if not isinstance(summary, dict):
            raise self._bad("the summary was to come, and something else came")
        if any(summary.get(name) != self._counts[name] for name in ("answered", "refused")):
            raise self._bad("the summary counts other lines than came")
        if self._more(answers):
            raise self._bad("lines came after the summary")

    def _next(self, answers: Iterator[dict[str, Any]]) -> dict[str, Any]:
        document = next(answers, None)
        if document is None:
            raise CutOffError(f"{self._call}: the answer ended without its summary", status=200)
        return document

    def _more(self, answers: Iterator[dict[str, Any]]) -> bool:
        try:
            return next(answers, None) is not None
        except CutOffError:
            return False  # all that was asked for came

    def _bad(self, what: str) -> BadAnswerError:
        return BadAnswerError(f"{self._call}: {what}", status=200)


def _problem(problem: dict[str, Any], what: str) -> ClientError:
    """The error of one document.  ``line`` counts the lines of a request, which the caller does not see."""
    told = {name: value for name, value in problem.items() if name != "line"}
    status = told.get("status")
    return refusal(status if isinstance(status, int) else 500, told, what)
