"""The side file of what was rejected: NDJSON, one line for each case that got no answer."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import ExitStack
from typing import Any, BinaryIO, Self

import orjson

from probewright.batch.files.errors import FilesError
from probewright.batch.files.items import LONGEST_TEXT, JobLine
from probewright.batch.files.outputs import check_output, output

Document = Mapping[str, Any]


def bad_line(item: JobLine, problem: Document | None = None) -> bytes:
    """One line of the side file, with its newline.

    It holds ``file``, ``line`` (``row`` of a table: the first of the case), ``reason`` or ``problem``, and ``text``:
    how the case was written, cut at :data:`LONGEST_TEXT` bytes.
    """
    origin = item.origin
    document: dict[str, Any] = {"file": origin.file, origin.unit: origin.first}
    document |= {"reason": item.reason} if problem is None else {"problem": problem}
    written = item.text if item.job is None else item.job
    return orjson.dumps(document | {"text": written[:LONGEST_TEXT].decode(errors="replace")}) + b"\n"


class BadLines:
    """Writes the side file, which appears when all is over, empty where nothing was rejected."""

    def __init__(self, path: str, *, overwrite: bool = False) -> None:
        self.path, self.overwrite, self.count = path, overwrite, 0
        self._stack = ExitStack()
        self._stream: BinaryIO | None = None

    def __enter__(self) -> Self:
        found, _ = check_output(self.path, overwrite=self.overwrite)
        if found != "ndjson":
            raise FilesError(f"cannot write {self.path}: rejected lines are written as NDJSON")
        self._stream, _ = self._stack.enter_context(output(self.path, overwrite=self.overwrite))
        return self

    def __exit__(self, *raised: Any) -> bool | None:
        return self._stack.__exit__(*raised)

    def add(self, item: JobLine, problem: Document | None = None) -> None:
        """Write one: with its own reason, or with the problem that it got."""
        assert self._stream is not None  # noqa: S101  for mypy: it is entered
        self._stream.write(bad_line(item, problem))
        self.count += 1
