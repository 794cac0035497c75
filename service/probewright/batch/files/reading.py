"""Stored jobs out of any mixture of files, one after another, in memory that does not grow with their size."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from probewright.batch.files.arrow import load_arrow
from probewright.batch.files.csv_rows import csv_rows
from probewright.batch.files.gathering import gather
from probewright.batch.files.items import JobLine
from probewright.batch.files.lines import LONGEST_LINE
from probewright.batch.files.ndjson import read_ndjson
from probewright.batch.files.parquet_rows import parquet_rows
from probewright.batch.files.sources import Source, find_sources
from probewright.batch.files.streams import OnRead


def open_jobs(
    paths: Sequence[str],
    format: str | None = None,  # noqa: A002  as the option is called
    *,
    longest_line: int = LONGEST_LINE,
    on_read: OnRead | None = None,
) -> Iterator[JobLine]:
    """Stored jobs of files, folders, glob patterns and standard input.

    All names are looked at before this returns; the files are read as the items are asked for.

    Parameters
    ----------
    paths : sequence of str
        As :func:`find_sources` takes them.
    format : str, optional
        ``ndjson``, ``csv`` or ``parquet``; by each file's ending when absent, and NDJSON from standard input.
    longest_line : int
        Bytes; a longer line is passed over and told, without being held.
    on_read : callable, optional
        Told how many bytes of the files, as they lie on the disk, were read since it was last told.

    Raises
    ------
    FilesError
        Now, when a name cannot be used; or while reading, when a file turns out broken.
    """
    return read_sources(find_sources(paths, format), longest_line=longest_line, on_read=on_read)


def read_sources(
    sources: Sequence[Source], *, longest_line: int = LONGEST_LINE, on_read: OnRead | None = None
) -> Iterator[JobLine]:
    """As :func:`open_jobs`, of sources that were found before."""
    if any(source.format == "parquet" for source in sources):
        load_arrow()
    return _items(sources, longest_line, on_read)


def _items(sources: Sequence[Source], longest_line: int, on_read: OnRead | None) -> Iterator[JobLine]:
    last = 0
    for source in sources:
        for item in _read(source, last, longest_line, on_read):
            last = item.line
            if item.job is not None or item.reason is not None:
                yield item


def _read(source: Source, before: int, longest: int, on_read: OnRead | None) -> Iterator[JobLine]:
    if source.format == "ndjson":
        return read_ndjson(source, before, longest, on_read)
    rows = csv_rows(source, longest, on_read) if source.format == "csv" else parquet_rows(source, on_read)
    return gather(rows, source.name, before)
