"""Rows of a table of cases in Parquet, a batch at a time."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from probewright.batch.files.arrow import load_arrow
from probewright.batch.files.case_table import CASES
from probewright.batch.files.cells import FROM_VALUE, CellError
from probewright.batch.files.csv_rows import check_names, unknown_column
from probewright.batch.files.errors import FilesError
from probewright.batch.files.gathering import Row
from probewright.batch.files.sources import Source
from probewright.batch.files.streams import OnRead

_BATCH = 4096
#: Bytes that are held of each column's compressed data, however large its row group is.
_BUFFER = 65_536
_COLUMNS = CASES.by_name


def parquet_rows(source: Source, on_read: OnRead | None = None) -> Iterator[Row]:
    """The rows of one file, counted from 1."""
    arrow, parquet = load_arrow()
    try:
        with parquet.ParquetFile(source.path, buffer_size=_BUFFER, pre_buffer=False) as file:
            check_names(source, list(file.schema_arrow.names))
            share = (source.size or 0) / max(file.metadata.num_rows, 1)
            told = before = 0
            for batch in file.iter_batches(batch_size=_BATCH, use_threads=False):
                yield from _rows(batch, before)
                before += batch.num_rows
                if on_read is not None:
                    on_read(round(share * before) - told)
                    told = round(share * before)
    except (arrow.ArrowException, OSError, ValueError) as error:
        raise FilesError(f"cannot read {source.name}: as Parquet it is broken ({_short(error)})") from None


def _short(error: Exception) -> str:
    return " ".join(str(error).split())[:200]


def _rows(batch: Any, before: int) -> Iterator[Row]:
    """Column by column, for most cells are null."""
    cells: list[dict[str, Any]] = [{} for _ in range(batch.num_rows)]
    faults: dict[int, list[str]] = {}
    for name, column in zip(batch.schema.names, batch.columns, strict=True):
        if column.null_count < len(column):
            _take(name, column, cells, faults)
    for place, found in enumerate(cells):
        wrong = faults.get(place, ())
        if found or wrong:
            yield Row(before + place + 1, found, tuple(wrong))


def _take(name: str, column: Any, cells: list[dict[str, Any]], faults: dict[int, list[str]]) -> None:
    convert = FROM_VALUE[_COLUMNS[name].kind] if name in _COLUMNS else None
    places = column.is_valid().to_numpy(zero_copy_only=False).nonzero()[0].tolist()
    for place, value in zip(places, column.drop_null().to_pylist(), strict=True):
        if value == "":
            continue
        if convert is None:
            faults.setdefault(place, []).append(unknown_column(name))
            continue
        try:
            cells[place][name] = convert(value)
        except CellError as error:
            faults.setdefault(place, []).append(f"column {name}: {error}")
