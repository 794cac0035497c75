"""Lines of a stream, as they come in: numbered as they stand, bounded, and handed on in small pieces."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from probewright.errors import RequestError

#: A piece is worked out in one go, and nothing of it is sent before: few enough lines for a person not to wait, and
#: enough for what is done once a piece not to count (choices of ours).
MOST_LINES = 16
MOST_BYTES = 65_536
_BLANK = b" \t\r"


class LineTooLongError(RequestError):
    """A line has more bytes than one may have; it was dropped while it came in."""

    code = "line_too_long"

    def __init__(self, most: int) -> None:
        self.most = most
        super().__init__(f"The line has more than {most} bytes.")


@dataclass(frozen=True, slots=True)
class Line:
    """One line without its end; ``number`` counts from 1, ``content`` is None where it was too long to be held."""

    number: int
    content: bytes | None


def pieces(arrivals: Iterable[bytes], most: int) -> Iterator[list[Line]]:
    """The lines of what arrives, in pieces that are never empty.

    A line that has come in whole is handed on before more is asked for.  Lines of blanks are counted and left out; the
    last line needs no end.

    Parameters
    ----------
    arrivals : iterable of bytes
        What came in, cut anywhere.
    most : int
        Bytes that a line may have; a longer one is not held, and has no content.
    """
    frame = _Frame(most)
    for arrival in arrivals:
        yield from _small(frame.lines(arrival))
    yield from _small(frame.rest())


def _small(lines: Iterator[Line]) -> Iterator[list[Line]]:
    piece: list[Line] = []
    size = 0
    for line in lines:
        length = len(line.content or b"")
        if piece and (len(piece) == MOST_LINES or size + length > MOST_BYTES):
            yield piece
            piece, size = [], 0
        piece.append(line)
        size += length
    if piece:
        yield piece


class _Frame:
    """What is held of a line whose end has not come in yet."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._number = 0
        self._held = bytearray()
        self._dropped = False

    def lines(self, arrival: bytes) -> Iterator[Line]:
        """The lines that end in an arrival."""
        start = 0
        while (end := arrival.find(b"\n", start)) >= 0:
            self._hold(arrival[start:end])
            yield from self._ended()
            start = end + 1
        self._hold(arrival[start:])

    def rest(self) -> Iterator[Line]:
        """The last line, where it has no end."""
        if self._held or self._dropped:
            yield from self._ended()

    def _hold(self, part: bytes) -> None:
        self._dropped = self._dropped or len(self._held) + len(part) > self._most
        if self._dropped:
            self._held.clear()
        else:
            self._held += part

    def _ended(self) -> Iterator[Line]:
        self._number += 1
        content = None if self._dropped else bytes(self._held)
        self._held.clear()
        self._dropped = False
        if content is None or content.strip(_BLANK):
            yield Line(self._number, content)
