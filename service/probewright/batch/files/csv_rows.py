"""Rows of a table of cases in CSV (RFC 4180, but a cell may hold no line break), each line by itself."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator
from itertools import compress
from typing import Any

from probewright.batch.files.case_table import CASES
from probewright.batch.files.cells import FROM_TEXT, CellError, unguarded
from probewright.batch.files.errors import FilesError
from probewright.batch.files.gathering import Row
from probewright.batch.files.items import LONGEST_TEXT
from probewright.batch.files.lines import TooLong, bounded_lines, unreadable
from probewright.batch.files.sources import Source
from probewright.batch.files.streams import OnRead, text_chunks
from probewright_schemas.suggest import did_you_mean

#: What stands between cells: spreadsheets of many countries write semicolons.
_DELIMITERS = (",", ";", "\t")
_COLUMNS = CASES.by_name
Convert = Callable[[str], Any]
#: Text is nearly all there is, so it is not converted by a call; None stands for it.
_CONVERT: dict[str, Convert | None] = {
    column.name: None if column.kind == "text" else FROM_TEXT[column.kind] for column in CASES.columns
}


def csv_rows(source: Source, longest: int, on_read: OnRead | None = None) -> Iterator[Row]:
    """The rows of one file below its header; a row's number is that of its line.

    Raises
    ------
    FilesError
        When the header is none, or names a column twice.
    """
    csv.field_size_limit(max(csv.field_size_limit(), longest))
    lines = enumerate(bounded_lines(text_chunks(source, on_read), longest), start=1)
    reader: _Reader | None = None
    for number, line in lines:
        trouble = unreadable(line, longest)
        if trouble is None and not isinstance(line, TooLong):
            text = line.decode().removesuffix("\r")
            if not text.strip():
                continue
            if reader is not None:
                row = reader.row(number, text, line)
                if row is not None:
                    yield row
            else:
                reader = _reader(source, text)
        elif reader is None:
            raise FilesError(f"cannot read {source.name}: line {number} {trouble}")
        else:
            begins = line.begins if isinstance(line, TooLong) else line
            yield Row(number, None, (trouble or "",), begins[:LONGEST_TEXT])


def _reader(source: Source, header: str) -> _Reader:
    """By the header, which tells what stands between cells as well."""
    if "\r" in header:
        raise FilesError(f"cannot read {source.name}: its lines end in carriage returns alone; save it with line feeds")
    for delimiter in _DELIMITERS:
        try:
            names = [unguarded(name.strip()) for name in _split(header, delimiter)]
        except csv.Error:
            continue
        if "row" in names:
            break
    else:
        raise FilesError(f"cannot read {source.name}: its first line is no header of a table of cases (no column row)")
    while names and not names[-1]:
        names.pop()
    check_names(source, names)
    return _Reader(names, delimiter)


def check_names(source: Source, names: list[str]) -> None:
    """Refuse a table without what tells cases apart, or with a column twice."""
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise FilesError(f"cannot read {source.name}: the column {twice[0]!r} is there twice")
    if "row" not in names:
        raise FilesError(f"cannot read {source.name}: it is no table of cases (no column row)")
    if "reference" not in names and "job" not in names:
        raise FilesError(f"cannot read {source.name}: it has neither a column reference nor a column job")


def unknown_column(name: str) -> str:
    """What is wrong with a cell in a column that there is not."""
    return f"column {name}: there is no such column{did_you_mean(name, tuple(_COLUMNS))}"


def _split(text: str, delimiter: str) -> list[str]:
    if '"' not in text:
        return text.split(delimiter)  # the same, and faster
    return next(csv.reader((text,), delimiter=delimiter, strict=True))


class _Reader:
    """Reads rows under a header."""

    def __init__(self, names: list[str], delimiter: str) -> None:
        self._delimiter = delimiter
        self._columns = [(name, name in _COLUMNS, _CONVERT.get(name)) for name in names]

    def row(self, number: int, text: str, line: bytes) -> Row | None:
        """One row; None where all its cells are empty."""
        try:
            found = _split(text, self._delimiter)
        except csv.Error as error:
            return Row(number, None, (f"cannot be split into cells: {error}",), line[:LONGEST_TEXT])
        faults: list[str] = []
        cells: dict[str, Any] = {}
        # Most cells are empty: both halves of the pairs leave those out, in C.
        for (name, known, convert), cell in zip(compress(self._columns, found), filter(None, found), strict=False):
            if not known:
                faults.append(unknown_column(name))
            elif convert is None:
                cells[name] = unguarded(cell) if cell[0] == "'" else cell
            else:
                try:
                    cells[name] = convert(cell)
                except CellError as error:
                    faults.append(f"column {name}: {error}")
        faults += self._uneven(found)
        return Row(number, cells, tuple(faults), line[:LONGEST_TEXT]) if cells or faults else None

    def _uneven(self, found: list[str]) -> list[str]:
        wanted = len(self._columns)
        if len(found) == wanted or (len(found) > wanted and not any(found[wanted:])):
            return []
        return [f"has {len(found)} cells, and the header {wanted}"]
