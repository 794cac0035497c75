"""JSON documents out and in."""

from __future__ import annotations

import math
import os
from collections.abc import Iterable, Iterator, Mapping
from numbers import Integral, Real
from typing import Any

import orjson

from probewright.client.errors import BadAnswerError, UnsendableError

#: Bytes of one line of an answer, and of one answer: more than any diagnosis or family has.
LONGEST_ANSWER = 64 * 2**20


def written(document: object) -> bytes:
    """A document as JSON (RFC 8259), on one line.

    Beside what JSON has, mappings, dates and the numbers of other libraries are taken.

    Raises
    ------
    UnsendableError
        With the place of a number that is not finite; or with what cannot be written.
    """
    try:
        body = orjson.dumps(document, _plain, orjson.OPT_PASSTHROUGH_DATACLASS)
    except orjson.JSONEncodeError as error:
        raise UnsendableError(f"this is no JSON document: {error}") from None
    # What is not finite is written as null, so that where there is none there is nothing to look for.
    if b"null" in body:
        _refuse_infinite(document, "")
    return body


def _plain(value: object) -> object:
    """What JSON has no name for; a number of another library is asked for by its kind."""
    if isinstance(value, Integral):
        return int(value)
    if isinstance(value, Real):
        return float(value)
    if isinstance(value, Mapping):
        return dict(value)
    raise TypeError(f"{type(value).__name__} cannot be written")


def _refuse_infinite(value: object, pointer: str) -> None:
    if isinstance(value, Mapping):
        for name, inner in value.items():
            _refuse_infinite(inner, f"{pointer}/{str(name).replace('~', '~0').replace('/', '~1')}")
    elif isinstance(value, list | tuple):
        for place, inner in enumerate(value):
            _refuse_infinite(inner, f"{pointer}/{place}")
    elif isinstance(value, Real) and not isinstance(value, Integral) and not math.isfinite(value):
        raise UnsendableError(f"{pointer or '/'}: {value} is not a finite number")


def understood(body: bytes, what: str) -> dict[str, Any]:
    """An answer, or a line of one.

    Raises
    ------
    BadAnswerError
        Where it is no JSON object.
    """
    try:
        document = orjson.loads(body)
    except orjson.JSONDecodeError:
        raise BadAnswerError(f"{what}: the answer is not JSON") from None
    if not isinstance(document, dict):
        raise BadAnswerError(f"{what}: the answer is no JSON object")
    return document


def lines(chunks: Iterable[bytes], what: str, longest: int = LONGEST_ANSWER) -> Iterator[bytes]:
    """The whole lines of a stream, as they come; one that does not end was cut off, and is dropped.

    Raises
    ------
    BadAnswerError
        For a line of more bytes than ``longest``.
    """
    held = bytearray()
    for chunk in chunks:
        held += chunk
        if b"\n" in chunk:
            *whole, rest = held.split(b"\n")
            held = rest
            yield from (bytes(line) for line in whole if line.strip())
        if len(held) > longest:
            raise BadAnswerError(f"{what}: a line of the answer has more than {longest} bytes")


def iter_ndjson(source: str | os.PathLike[str] | Iterable[str | bytes]) -> Iterator[Any]:
    """The documents of a file with one on each line, read as they are asked for; empty lines are skipped.

    Parameters
    ----------
    source : path, or iterable of lines
        A file that is open, for example; it is not closed.

    Raises
    ------
    UnsendableError
        For a line that is not JSON; it names the line, counted from 1.
    OSError
        When the file cannot be read.
    """
    if isinstance(source, str | os.PathLike):
        with open(source, "rb") as file:
            yield from _parsed(file)
    else:
        yield from _parsed(source)


def _parsed(source: Iterable[str | bytes]) -> Iterator[Any]:
    for number, line in enumerate(source, start=1):
        if line.strip():
            try:
                document = orjson.loads(line)
            except orjson.JSONDecodeError as error:
                raise UnsendableError(f"line {number} is not JSON: {error}") from None
            yield document
