"""Lines of bounded length out of chunks of bytes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from probewright.batch.files.items import LONGEST_TEXT

#: Bytes of one line: a case with its whole answer has some tens of thousands.
LONGEST_LINE = 4 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class TooLong:
    """In the place of a line that is too long: how it begins."""

    begins: bytes


def bounded_lines(chunks: Iterable[bytes], longest: int = LONGEST_LINE) -> Iterator[bytes | TooLong]:
    """Every line without its newline, a last one without newline too; no more than ``longest`` bytes are ever held.

    The carriage return of a line that ends in CRLF stays on it.
    """
    rest, skipped = b"", None
    for chunk in chunks:
        pieces = chunk.split(b"\n")
        if skipped is None:
            pieces[0] = rest + pieces[0]
        rest = pieces.pop()
        for piece in pieces:
            if skipped is not None:
                yield skipped
                skipped = None
            else:
                yield piece if len(piece) <= longest else TooLong(piece[:LONGEST_TEXT])
        if skipped is not None:
            rest = b""
        elif len(rest) > longest:
            rest, skipped = b"", TooLong(rest[:LONGEST_TEXT])
    if skipped is not None:
        yield skipped
    elif rest:
        yield rest


def unreadable(line: bytes | TooLong, longest: int) -> str | None:
    """Why a line cannot be used whatever it should hold; None where it can."""
    if isinstance(line, TooLong):
        return f"is longer than {longest} bytes"
    if b"\0" in line:
        return f"has a NUL byte (byte {line.index(0) + 1})"
    if not line.isascii():
        try:
            line.decode()
        except UnicodeDecodeError as error:
            return f"is not UTF-8 (byte {error.start + 1})"
    return None
