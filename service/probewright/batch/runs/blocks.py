"""Blocks: a bounded number of input lines, and what became of them.

Where blocks begin and end depends on the input alone, never on who works on them, so any number of workers gives the
same output.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

import orjson

from probewright.batch.files.items import JobLine, Origin

#: Lines and bytes of one block: some seconds of work, and little to lose or to send.
MOST_LINES = 512
MOST_BYTES = 8_388_608


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

    def __len__(self) -> int:
        return self.payload.count(b"\n") + 1

    def lines(self) -> Iterator[JobLine]:
        """Its lines again."""
        texts = iter(self.payload.split(b"\n"))
        for file, unit, first, last, line, count, reason in orjson.loads(self.places):
            for step in range(count):
                text, origin = next(texts), Origin(file, first + step, last + step, unit)
                if reason is None:
                    yield JobLine(line + step, origin, text)
                else:
                    yield JobLine(line + step, origin, None, reason, text)


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


_Run = tuple[str, str, int, int, int, int, str | None]
"""Lines that follow one another in a file: the file, the unit in which places in it are counted, first and last place
of the first line, its number, how many lines, and the reason if they could not be read."""


@dataclass(slots=True)
class _Growing:
    """A block that is being filled."""

    index: int
    runs: list[_Run] = field(default_factory=list)
    texts: list[bytes] = field(default_factory=list)
    size: int = 0

    def add(self, line: JobLine, text: bytes) -> None:
        self.size += len(text) + 1
        # In a job it is white space; what could not be read is told in one line.
        self.texts.append(text.replace(b"\n", b" ") if b"\n" in text else text)
        place = line.origin
        if self.runs:
            file, unit, first, last, number, count, reason = self.runs[-1]
            follows = (file, unit, first + count, last + count, number + count, reason)
            if follows == (place.file, place.unit, place.first, place.last, line.line, line.reason):
                self.runs[-1] = (file, unit, first, last, number, count + 1, reason)
                return
        self.runs.append((place.file, place.unit, place.first, place.last, line.line, 1, line.reason))

    def block(self) -> Block:
        *_, number, count, _ = self.runs[-1]
        first = self.runs[0][4]
        return Block(self.index, first, number + count - 1, b"\n".join(self.texts), orjson.dumps(self.runs))


def in_blocks(
    lines: Iterable[JobLine], most_lines: int = MOST_LINES, most_bytes: int = MOST_BYTES
) -> Iterator[Block]:
    """Put lines into blocks.

    Parameters
    ----------
    lines : iterable of JobLine
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
        text = line.text if line.job is None else line.job
        full = len(growing.texts) >= most_lines or growing.size + len(text) > most_bytes
        if growing.texts and full:
            yield growing.block()
            growing = _Growing(growing.index + 1)
        growing.add(line, text)
    if growing.texts:
        yield growing.block()
