"""Where the rows of a table go: CSV and Parquet, the same rows always to the same bytes."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from types import MappingProxyType
from typing import Any, BinaryIO, Protocol

from probewright.batch.files.arrow import load_arrow
from probewright.batch.files.cells import TO_TEXT
from probewright.batch.files.sources import Format
from probewright.batch.files.tables import CellKind, Cells, Table

#: Rows of a row group: enough to compress well, few enough to hold.
ROW_GROUP = 65_536
#: Under this name the metadata of a Parquet file tell which table it is, and its layout.
METADATA = "probewright.table"
SUMMARY = "probewright.summary"
_ZSTD_LEVEL = 3


#: What Parquet's own conversion would refuse: whole numbers that no float holds exactly, days as text.
_CONVERT: Mapping[CellKind, Callable[[Any], object]] = MappingProxyType({
    "number": float, "numbers": lambda values: [float(value) for value in values], "day": date.fromisoformat,
})  # fmt: skip


class Sink(Protocol):
    """Takes rows."""

    def add(self, cells: Cells) -> None:
        """Write one row."""

    def tell(self, name: str, value: str) -> None:
        """Put something into the metadata, where there are any."""


@contextmanager
def sink(stream: BinaryIO, found: Format, table: Table) -> Iterator[Sink]:
    """A sink of a table in CSV or Parquet."""
    if found == "csv":
        yield _Csv(stream, table)
        return
    parquet = _Parquet(stream, table)
    try:
        yield parquet
        parquet.finish()
    finally:
        parquet.close()


class _Encoded:
    """Takes text for a stream of bytes."""

    def __init__(self, stream: BinaryIO) -> None:
        self._stream = stream

    def write(self, text: str) -> int:
        """Write it."""
        return self._stream.write(text.encode())


class _Csv:
    def __init__(self, stream: BinaryIO, table: Table) -> None:
        self._writer = csv.writer(_Encoded(stream), lineterminator="\n")
        self._columns = {column.name: (at, TO_TEXT[column.kind]) for at, column in enumerate(table.columns)}
        self._writer.writerow([column.name for column in table.columns])

    def add(self, cells: Cells) -> None:
        line = [""] * len(self._columns)
        for name, value in cells.items():
            if value is not None:
                at, to_text = self._columns[name]
                line[at] = to_text(value)
        self._writer.writerow(line)

    def tell(self, name: str, value: str) -> None:
        pass


class _Parquet:
    def __init__(self, stream: BinaryIO, table: Table) -> None:
        self._arrow, parquet = load_arrow()
        types = _types(self._arrow)
        fields = [self._arrow.field(column.name, types[column.kind]) for column in table.columns]
        self._schema = self._arrow.schema(fields, metadata={METADATA: f"{table.name} 1"})
        self._kinds = {column.name: column.kind for column in table.columns}
        self._writer = parquet.ParquetWriter(
            stream, self._schema, version="2.6", compression="zstd", compression_level=_ZSTD_LEVEL,
            write_statistics=True, store_schema=True,
        )  # fmt: skip
        self._rows: list[Cells] = []
        self._used: set[str] = set()

    def add(self, cells: Cells) -> None:
        self._rows.append(cells)
        self._used.update(cells)
        if len(self._rows) >= ROW_GROUP:
            self._flush()

    def tell(self, name: str, value: str) -> None:
        self._writer.add_key_value_metadata({name: value})

    def _flush(self) -> None:
        if self._rows:
            columns = [self._array(field.name, field.type) for field in self._schema]
            self._writer.write_table(self._arrow.table(columns, schema=self._schema), row_group_size=ROW_GROUP)
            self._rows.clear()
            self._used.clear()

    def _array(self, name: str, kind: Any) -> Any:
        if name not in self._used:
            return self._arrow.nulls(len(self._rows), kind)
        convert = _CONVERT.get(self._kinds[name])
        cells = [row.get(name) for row in self._rows]
        if convert is not None:
            cells = [None if cell is None else convert(cell) for cell in cells]
        return self._arrow.array(cells, type=kind)

    def finish(self) -> None:
        """Write what is left."""
        self._flush()

    def close(self) -> None:
        """Write the footer."""
        self._writer.close()


def _types(arrow: Any) -> Mapping[CellKind, Any]:
    return {
        "text": arrow.string(), "number": arrow.float64(), "whole": arrow.int64(), "flag": arrow.bool_(),
        "day": arrow.date32(), "numbers": arrow.list_(arrow.float64()), "texts": arrow.list_(arrow.string()),
    }  # fmt: skip
