"""Blocks: a bounded number of input lines, and what became of them.

Where blocks begin and end depends on the input alone, never on who works on them, so any number of workers gives the
same output.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

import orjson

#: Lines and bytes of one block: some seconds of work, and little to lose or to send.
MOST_LINES = 512
MOST_BYTES = 1_048_576


@dataclass(frozen=True, slots=True)
class InputLine:
    """One line that came in.

    ``number`` counts all input from 1, ``source`` and ``place`` are the file and the line or row in it.  With a
    ``reason`` it could not be read, and ``text`` is what of it is worth telling.
    """

    number: int
    source: str
    place: int
    text: bytes
    reason: str | None = None


@dataclass(frozen=True, slots=True)
class Block:
    """Whole lines, joined by newlines in ``payload``; ``places`` says in JSON where they came from."""

    index: int
    first_line: int
    last_line: int
    payload: bytes
    places: bytes

    @property
    def digest(self) -> str:
        """SHA-256 of all that its result depends on."""
        return hashlib.sha256(b"%d\n%s\n%s" % (self.index, self.places, self.payload)).hexdigest()

    @property
    def told(self) -> str:
        """Its lines, for a message."""
        if self.first_line == self.last_line:
            return f"line {self.first_line}"
        return f"lines {self.first_line} to {self.last_line}"

    def lines(self) -> Iterator[InputLine]:
        """Its lines again."""
        texts = iter(self.payload.split(b"\n"))
        for source, number, place, count, reason in orjson.loads(self.places):
            for offset in range(count):
                yield InputLine(number + offset, source, place + offset, next(texts), reason)


@dataclass(frozen=True, slots=True)
class BlockResult:
    """What became of a block: lines for the output and for the rejected ones, each with its newline; counts in JSON."""

    output: bytes
    rejected: bytes = b""
    tally: bytes = b"{}"


Work = Callable[[Block], BlockResult]
"""The same block gives the same result, whoever works on it."""


@dataclass(frozen=True, slots=True)
class Ready:
    """A worker that is set up; ``identity`` names everything installed that results depend on, such as pack digests."""

    work: Work
    identity: Mapping[str, str] = field(default_factory=dict)


SetUp = Callable[[], Ready]
"""Sets up one worker, once.  For a cluster it must be importable there, or a `functools.partial` of what is."""


@dataclass(slots=True)
class _Growing:
    """A block that is being filled; ``runs`` are source, number, place, count and reason of lines that follow."""

    index: int
    runs: list[tuple[str, int, int, int, str | None]] = field(default_factory=list)
    texts: list[bytes] = field(default_factory=list)
    size: int = 0

    def add(self, line: InputLine) -> None:
        self.size += len(line.text) + 1
        # A newline within JSON is white space.
        self.texts.append(line.text.replace(b"\n", b" ") if b"\n" in line.text else line.text)
        if self.runs:
            source, number, place, count, reason = self.runs[-1]
            if (source, number + count, place + count, reason) == (line.source, line.number, line.place, line.reason):
                self.runs[-1] = (source, number, place, count + 1, reason)
                return
        self.runs.append((line.source, line.number, line.place, 1, line.reason))

    def block(self) -> Block:
        _, number, _, count, _ = self.runs[-1]
        return Block(self.index, self.runs[0][1], number + count - 1, b"\n".join(self.texts), orjson.dumps(self.runs))


def in_blocks(
    lines: Iterable[InputLine], most_lines: int = MOST_LINES, most_bytes: int = MOST_BYTES
) -> Iterator[Block]:
    """Put lines into blocks.

    Parameters
    ----------
    lines : iterable of InputLine
        In the order of their numbers, which may have gaps.
    most_lines, most_bytes : int
        A block has no more than these, but always one line, whatever its length.

    Yields
    ------
    Block
        Counted from 0, without gaps.
    """
    growing = _Growing(0)
    for line in lines:
        full = len(growing.texts) >= most_lines or growing.size + len(line.text) > most_bytes
        if growing.texts and full:
            yield growing.block()
            growing = _Growing(growing.index + 1)
        growing.add(line)
    if growing.texts:
        yield growing.block()
