"""Cuts what a caller has, of any length, into pieces that one request carries."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from probewright.client.documents import written
from probewright.client.errors import UnsendableError

#: Lines and bytes of one request.  Choices: small enough for a proxy's limit on bodies, which is seldom under a
#: megabyte (from memory), and for what a system takes to send at once; large enough that a request costs little.
PIECE_LINES, PIECE_BYTES = 200, 200_000


@dataclass(frozen=True, slots=True)
class Entry:
    """One document: its place in what the caller gave, and the line that is sent, or why none is."""

    index: int
    document: object
    line: bytes | None
    problem: UnsendableError | None = None


@dataclass(frozen=True, slots=True)
class Size:
    """The most that one piece holds; a line that alone is longer goes alone.

    Raises
    ------
    ValueError
        Where it holds nothing.
    """

    lines: int = PIECE_LINES
    bytes: int = PIECE_BYTES

    def __post_init__(self) -> None:
        if self.lines < 1 or self.bytes < 1:
            raise ValueError("piece_lines and piece_bytes must be at least 1")


def pieces(documents: Iterable[object], size: Size) -> Iterator[list[Entry]]:
    """Pieces in the order of the documents.

    No document is taken before the piece ahead of it was worked through, but for the one that did not fit into it; and
    never more than a piece has lines.
    """
    piece: list[Entry] = []
    held = 0
    for index, document in enumerate(documents):
        entry = _entry(index, document)
        length = len(entry.line or b"") + 1
        if piece and held + length > size.bytes:
            yield piece
            piece, held = [], 0
        piece.append(entry)
        held += length
        if len(piece) >= size.lines:
            yield piece
            piece, held = [], 0
    if piece:
        yield piece


def _entry(index: int, document: object) -> Entry:
    try:
        return Entry(index, document, written(document))
    except UnsendableError as error:
        return Entry(index, document, None, error)
