"""What reading files gives: one item for each case, told by where it stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: What standard input is called in messages.
STANDARD_INPUT = "standard input"
#: Bytes that are kept of a line or row that cannot be used.
LONGEST_TEXT = 2000


@dataclass(frozen=True, slots=True)
class Origin:
    """Where an item stands: the file, and its first and last line or row, counted from 1."""

    file: str
    first: int
    last: int
    unit: Literal["line", "row"] = "line"

    def __str__(self) -> str:
        if self.first == self.last:
            return f"{self.file}, {self.unit} {self.first}"
        return f"{self.file}, {self.unit}s {self.first} to {self.last}"


@dataclass(frozen=True, slots=True)
class JobLine:
    """A stored job as one line of JSON, without a newline; or, where it cannot be one, why.

    ``line`` counts from 1 over all input: the lines of NDJSON, empty ones too, and the cases of a table.  ``job`` is
    None exactly where ``reason`` is given; ``text`` is then how it was written, cut at :data:`LONGEST_TEXT`.
    """

    line: int
    origin: Origin
    job: bytes | None
    reason: str | None = None
    text: bytes = b""
