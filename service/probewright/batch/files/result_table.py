"""The table of results: one row a case, and one for each change and each corrected reading.

Whole new answers, where they were asked for, are in NDJSON alone.
"""

from __future__ import annotations

from typing import Final

from probewright.batch.files.tables import Column, RowKind, Table

_CHANGE = ("of", "reading", "before", "after", "probability_before", "probability_after")
_CORRECTED = ("reading", "test", "meter", "as_read", "value", "unit")
_PROBLEM = ("code", "title", "detail")

KINDS: Final = (
    RowKind("case", "what became of a case", ("result",), "object",
            {name: (name,) for name in ("status", "why", "shift", "notes", "computation")}
            | {f"{when}_{what}": (when, what) for when in ("before", "after") for what in ("fault", "probability")}
            | {f"pack_{name}": ("pack", name) for name in ("version", "digest")}),
    RowKind("change", "one thing that is different, the gravest first", ("result", "changes"), "items",
            {"change": ("kind",)} | {name: (name,) for name in _CHANGE}),
    RowKind("corrected", "a reading that a correction changed", ("result", "corrected"), "items",
            {name: (name,) for name in _CORRECTED}),
    RowKind("problem", "a case that could not be answered", ("problem",), "object",
            {name: (name,) for name in _PROBLEM}),
)  # fmt: skip

COLUMNS: Final = (
    Column("line", "whole", "the line, or the case of a table, that it answers"),
    Column("reference", "text", "the shop's own name for the job"),
    Column("family", "text", "the appliance family"),
    Column("row", "text", "what the row is"),
    Column("status", "text", "`same`, `unchanged`, `changed` or `new`"),
    Column("shift", "number", "the largest change of any probability"),
    Column("why", "text", "what changed and why, in one sentence"),
    Column("before_fault", "text", "what was held likeliest"),
    Column("before_probability", "number", "its probability then"),
    Column("after_fault", "text", "what is held likeliest now"),
    Column("after_probability", "number", "its probability now"),
    Column("change", "text", "what kind of thing is different"),
    Column("of", "text", "the test, part or hazard that it is about"),
    Column("reading", "whole", "the reading's place in the case, counted from 0"),
    Column("before", "text", "verdict, fault or step before"),
    Column("after", "text", "the same now"),
    Column("probability_before", "number", "its probability before"),
    Column("probability_after", "number", "its probability now"),
    Column("test", "text", "test of the corrected reading"),
    Column("meter", "text", "its instrument"),
    Column("as_read", "number", "as it was read"),
    Column("value", "number", "as corrected"),
    Column("unit", "text", "unit of both"),
    Column("notes", "texts", "what could not be done"),
    Column("pack_version", "text", "version of the pack that answered now"),
    Column("pack_digest", "text", "its digest"),
    Column("computation", "text", "digest of everything that the new answer depends on"),
    Column("code", "text", "stable name of a problem"),
    Column("title", "text", "the problem's kind, for a person"),
    Column("detail", "text", "the problem, for a person"),
)

RESULTS: Final = Table("results", COLUMNS, KINDS, ("line", "reference", "family", "row"))
