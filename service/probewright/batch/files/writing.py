"""Results and jobs to files, as their endings say."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, BinaryIO

import orjson

from probewright.batch.files.outputs import check_output, output

#: A document, or the line of JSON that it is written as.
Document = Mapping[str, Any] | bytes

__all__ = ["check_output", "write_jobs", "write_results"]


def write_results(
    lines: Iterable[Document], path: str, *, format: str | None = None, overwrite: bool = False  # noqa: A002
) -> int:
    """Write the lines of a re-evaluation; the file appears when the last has come.

    Parameters
    ----------
    lines : iterable of mapping or bytes
        ``{"line", "result"}`` or ``{"line", "problem"}``, and at the end ``{"summary"}``; bytes are such documents as
        JSON, without a newline or with one.
    path : str
        NDJSON, CSV or Parquet by its ending, ``.gz`` and ``.zst`` too; ``-`` for standard output, NDJSON.
    format : str, optional
        What is to be written whatever the ending.
    overwrite : bool
        Whether a file that is there may be replaced.

    Returns
    -------
    int
        How many documents were written.

    Raises
    ------
    FilesError
        When the file cannot be written.
    """
    with output(path, format, overwrite=overwrite) as (stream, _):
        return _as_lines(lines, stream)


def write_jobs(
    jobs: Iterable[Document], path: str, *, format: str | None = None, overwrite: bool = False  # noqa: A002
) -> int:
    """Write stored jobs, ``{"case", "answer"?}`` with whatever else they hold; otherwise as :func:`write_results`.

    A table holds of answers what re-evaluation reads of them.
    """
    with output(path, format, overwrite=overwrite) as (stream, _):
        return _as_lines(jobs, stream)


def _as_lines(documents: Iterable[Document], stream: BinaryIO) -> int:
    count = 0
    for document in documents:
        line = document.rstrip(b"\r\n") if isinstance(document, bytes) else orjson.dumps(document)
        stream.write(line + b"\n")
        count += 1
    return count
