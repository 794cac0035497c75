"""Results and jobs to files, as their endings say."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, BinaryIO

import orjson

from probewright.batch.files.case_table import CASES
from probewright.batch.files.errors import FilesError
from probewright.batch.files.outputs import output
from probewright.batch.files.result_table import RESULTS
from probewright.batch.files.row_sinks import SUMMARY, Sink, sink
from probewright.batch.files.tables import Cells, rows_of
from probewright_schemas.batch import StoredJobSchema
from probewright_schemas.faults import DocumentError
from probewright_schemas.load import loader

#: A document, or the line of JSON that it is written as.
Document = Mapping[str, Any] | bytes
_CHECK = loader(StoredJobSchema())


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
    with output(path, format, overwrite=overwrite) as (stream, found):
        if found == "ndjson":
            return _as_lines(lines, stream)
        with sink(stream, found, RESULTS) as rows:
            return _results_as_rows(lines, rows)


def write_jobs(
    jobs: Iterable[Document], path: str, *, format: str | None = None, overwrite: bool = False  # noqa: A002
) -> int:
    """Write stored jobs, ``{"case", "answer"?}`` with whatever else they hold; otherwise as :func:`write_results`.

    A table holds of answers what re-evaluation reads of them, and is written of sound jobs alone.

    Raises
    ------
    FilesError
        When the file cannot be written, or a table cannot hold a job: it breaks its schema.
    """
    with output(path, format, overwrite=overwrite) as (stream, found):
        if found == "ndjson":
            return _as_lines(jobs, stream)
        with sink(stream, found, CASES) as rows:
            return _jobs_as_rows(jobs, rows)


def _as_lines(documents: Iterable[Document], stream: BinaryIO) -> int:
    count = 0
    for document in documents:
        line = document.rstrip(b"\r\n") if isinstance(document, bytes) else orjson.dumps(document)
        stream.write(line + b"\n")
        count += 1
    return count


def _parsed(document: Document) -> Mapping[str, Any]:
    return orjson.loads(document) if isinstance(document, bytes) else document


def _results_as_rows(lines: Iterable[Document], rows: Sink) -> int:
    count = 0
    for written in lines:
        document = _parsed(written)
        if "summary" in document:
            rows.tell(SUMMARY, orjson.dumps(document["summary"]).decode())
        result = document.get("result", {})
        shared = {name: result.get(name) for name in ("reference", "family")} | {"line": document.get("line")}
        for cells in rows_of(document, RESULTS.kinds, shared):
            rows.add({name: value for name, value in cells.items() if value != []})
        count += 1
    return count


def _jobs_as_rows(jobs: Iterable[Document], rows: Sink) -> int:
    count = 0
    for count, written in enumerate(jobs, start=1):
        for cells in job_rows(written, count):
            rows.add(cells)
    return count


def job_rows(written: Document, number: int) -> Iterator[Cells]:
    """The rows of one stored job, the ``number``-th of its table, counted from 1."""
    try:
        job = _parsed(written)
        _CHECK(job)
    except orjson.JSONDecodeError as error:
        raise FilesError(f"job {number} cannot be written as a table: it is not JSON ({error})") from None
    except DocumentError as error:
        raise FilesError(f"job {number} cannot be written as a table: {error.faults[0].pointer}: "
                         f"{error.faults[0].message}") from None  # fmt: skip
    others = {name: orjson.dumps(value).decode() for name, value in job.items() if name not in ("case", "answer")}
    if any(not name or not name.isprintable() for name in others):
        raise FilesError(f"job {number} cannot be written as a table: a member has no name that can be printed")
    document = {"case": job["case"], "answer": job.get("answer"), "other": others}
    case = job["case"]
    shared = {"job": number, "reference": case.get("reference"), "family": case["family"]}
    return rows_of(document, CASES.kinds, shared)
