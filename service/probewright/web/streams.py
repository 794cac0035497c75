"""Streams of lines over HTTP: what comes in is answered as it comes, and no more of it is held than a small piece.

The server pulls each piece of the answer once the one before it was sent, so a client that reads slowly slows the work,
and one that goes away ends it.  Whole lines are answered without waiting for more, as far as the server's input can say
what has come in: it needs a method ``read1(size)``, as buffered files have, that gives what is there; the rest of the
servers are asked for one line at a time.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from threading import Lock, Semaphore
from typing import TYPE_CHECKING, Any

import orjson
from werkzeug.exceptions import BadRequest
from werkzeug.sansio.utils import get_content_length

from probewright.batch.answering import Batch, Outcome
from probewright.batch.lines import Line
from probewright.web.problems import problem_of

if TYPE_CHECKING:
    from _typeshed.wsgi import WSGIEnvironment

#: In the environment of a request: an input to be read in place of ``wsgi.input``, by servers whose own cannot say
#: what has come in.
INPUT = "probewright.input"
_MOST_AT_ONCE = 65_536


class CutOffError(BadRequest):
    """The body ends before it is whole: the client went away, or its chunks are none."""

    description = "The body ends before it is whole."


class Streams:
    """How many streams run in this process; ``most`` may at once, any number where it is 0."""

    def __init__(self, most: int) -> None:
        self._free = Semaphore(most) if most else None

    def admit(self) -> Callable[[], None] | None:
        """What gives the place back, to be called when the stream is over; None when there is no place."""
        if self._free is None:
            return lambda: None
        if not self._free.acquire(blocking=False):
            return None
        return _once(self._free.release)


def _once(function: Callable[[], None]) -> Callable[[], None]:
    left, lock = [function], Lock()

    def call() -> None:
        with lock:
            function = left.pop() if left else None
        if function is not None:
            function()

    return call


def arrivals(environ: WSGIEnvironment) -> Iterator[bytes]:
    """The body of a request as it comes in.

    Raises
    ------
    CutOffError
        When it is not whole.
    """
    stated, chunked = environ.get("CONTENT_LENGTH") or None, environ.get("HTTP_TRANSFER_ENCODING")
    left = get_content_length(stated, chunked)
    source = environ.get(INPUT) or environ["wsgi.input"]
    take: Callable[[int], bytes] = getattr(source, "read1", source.readline)
    if left is None and not environ.get("wsgi.input_terminated"):
        return  # there is no body, or one whose end nobody tells
    while left is None or left > 0:
        try:
            came = take(_MOST_AT_ONCE if left is None else min(left, _MOST_AT_ONCE))
        except OSError:
            raise CutOffError from None
        if not came:
            break
        left = left if left is None else left - len(came)
        yield came
    if left:
        raise CutOffError


def head(pieces: Iterator[list[Line]]) -> tuple[Line, Iterator[list[Line]]]:
    """The first line, and the rest.

    Raises
    ------
    CutOffError
        When the body is cut off in it.
    BadRequest
        When there is none.
    """
    piece = next(pieces, None)
    if piece is None:
        raise BadRequest("The body has no line; the first one must say what is different, and may be {}.")

    def rest() -> Iterator[list[Line]]:
        if piece[1:]:
            yield piece[1:]
        yield from pieces

    return piece[0], rest()


def answered(batch: Batch[Any, Any], pieces: Iterator[list[Line]], most: int) -> Iterator[bytes]:
    """The lines of the answer, some at once, and the summary at the end unless the body was cut off."""
    yield b""  # so that the status and the headers are sent before anything has come in
    try:
        for piece in pieces:
            yield b"".join(_line(batch.member, outcome) for outcome in batch.work(piece, most))
    except CutOffError:
        return
    yield _dumped({"summary": batch.summary()})


def _line(member: str, outcome: Outcome) -> bytes:
    if isinstance(outcome.answer, Exception):
        return _dumped({"line": outcome.line, "problem": problem_of(outcome.answer)})
    return _dumped({"line": outcome.line, member: outcome.answer})


def _dumped(document: dict[str, Any]) -> bytes:
    return orjson.dumps(document, option=orjson.OPT_APPEND_NEWLINE)


__all__ = ["INPUT", "CutOffError", "Streams", "answered", "arrivals", "head"]
