"""The tables of cases and results, as DEVELOPERS.md describes them, made from the code; as a script, writes it anew."""

from __future__ import annotations

import re
from collections.abc import Iterator

from probewright.batch.files.case_table import CASES
from probewright.batch.files.result_table import RESULTS
from probewright.batch.files.tables import Column, RowKind, Table
from support.contract_reference import DEVELOPERS

BLOCK = re.compile(r"(?<=<!-- tables -->\n)(.*?)(?=<!-- end of the tables -->)", re.DOTALL)
#: A kind of cell in Parquet, and as text in CSV.
_CELLS = {
    "text": "text", "number": "number (double)", "whole": "whole number (int64)", "flag": "`true` or `false`",
    "day": "day (date32; `2026-08-30`)", "numbers": "list of numbers (`2.6;2.7`)", "texts": "list of texts (`a;b`)",
}  # fmt: skip


def _kind(kind: RowKind, table: Table) -> str:
    order = [column.name for column in table.columns]
    beside = [*([kind.key] if kind.key else []), *(["empty"] if kind.empty else [])]
    own = sorted({*kind.columns, *beside}, key=order.index)
    return f"| `{kind.name}` | {kind.about} | {', '.join(f'`{name}`' for name in own)} |"


def _column(column: Column) -> str:
    return f"| `{column.name}` | {_CELLS[column.kind]} | {column.about} |"


def _table(table: Table) -> Iterator[str]:
    shared = ", ".join(f"`{name}`" for name in table.shared)
    yield f"Rows of the table of {table.name}; beside their own columns all have {shared}:\n"
    yield "| `row` | is | its columns |\n| --- | --- | --- |"
    yield from (_kind(kind, table) for kind in table.kinds)
    yield f"\nColumns of the table of {table.name}:\n"
    yield "| column | cells | holds |\n| --- | --- | --- |"
    yield from (_column(column) for column in table.columns)
    yield ""


def reference() -> str:
    """Both tables, in Markdown."""
    return "\n" + "\n".join(line for table in (CASES, RESULTS) for line in _table(table)) + "\n"


def written(text: str) -> str:
    """DEVELOPERS.md with the tables as the code has them now."""
    assert len(BLOCK.findall(text)) == 1, "DEVELOPERS.md describes the tables once, between its marks"
    return BLOCK.sub(lambda _: reference(), text)


if __name__ == "__main__":
    DEVELOPERS.write_text(written(DEVELOPERS.read_text(encoding="utf-8")), encoding="utf-8")
