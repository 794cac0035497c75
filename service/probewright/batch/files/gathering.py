"""Gathers the rows of a table of cases into stored jobs: a bad row spoils its own case, and the others go on."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

import orjson

from probewright.batch.files.case_table import CASES
from probewright.batch.files.items import LONGEST_TEXT, JobLine, Origin
from probewright.batch.files.seen import Seen
from probewright.batch.files.tables import EMPTY, Cells, RowKind, put
from probewright_schemas.suggest import did_you_mean

#: Reasons that are told of one case.
_MOST_TOLD = 3
#: Rows of one case: several times what a case within its bounds has.
MOST_ROWS = 5000
_KINDS = {kind.name: kind for kind in CASES.kinds}
_ALLOWED = {
    kind.name: frozenset({*CASES.shared, *kind.columns, *([kind.key] if kind.key else []),
                          *([EMPTY] if kind.empty else [])})
    for kind in CASES.kinds
}  # fmt: skip
Key = tuple[int | None, str | None]


class Row(NamedTuple):
    """A row as it was read: its cells that are not empty, what is wrong in it, and how it was written where it is text.

    ``cells`` is None where it could not be told which case the row is of.  A tuple, for there are many.
    """

    number: int
    cells: Cells | None
    faults: tuple[str, ...] = ()
    text: bytes = b""


def gather(rows: Iterable[Row], file: str, before: int) -> Iterator[JobLine]:
    """The jobs of one table; ``before`` is how many items came before."""
    case: _Gathered | None = None
    lost: list[str] = []
    keys, number = _Keys(), before
    for row in rows:
        key = _key(row)
        if key is None:
            told = _told(row, row.faults or ("it has neither reference nor job",))
            (case := case or _Gathered(None, row)).spoil(row.number, told)
            lost += told[: _MOST_TOLD - len(lost)]
            continue
        if case is None or not case.goes_on(key):
            if case is not None and not case.nobody:
                number += 1
                yield case.item(file, number)
            case = _Gathered(key, row)
            case.spoil(row.number, [*lost, *keys.trouble(key, row.number)])
        case.take(row)
        lost = []
    if case is not None:
        yield case.item(file, number + 1)


def _key(row: Row) -> Key | None:
    if row.cells is None or any(fault.startswith("column job:") for fault in row.faults):
        return None
    job, reference = row.cells.get("job"), row.cells.get("reference")
    return None if job is None and reference is None else (job, reference)


def _told(row: Row, faults: Iterable[str]) -> list[str]:
    return [f"row {row.number}: {fault}" for fault in faults]


class _Keys:
    """Tells a case that comes back after others."""

    def __init__(self) -> None:
        self._references = Seen()
        self._highest = (-1, 0)

    def trouble(self, key: Key, row: int) -> Iterator[str]:
        """What is wrong with beginning a case here."""
        job, reference = key
        if job is not None:
            last, there = self._highest
            if job <= last:
                yield f"row {row}: job {job} comes after job {last} (row {there}); jobs rise, their rows stand together"
            else:
                self._highest = (job, row)
        elif reference is not None:
            earlier = self._references.earlier(reference, row)
            if earlier is not None:
                told = f"row {row}: reference {reference!r} comes back, it was there from row {earlier}"
                yield f"{told}; the rows of a case stand together"


class _Gathered:
    """One case so far; ``nobody`` are rows at the beginning of which it cannot be told whose they are."""

    def __init__(self, key: Key | None, row: Row) -> None:
        self.nobody = key is None
        self._job, self._reference = key or (None, None)
        self._first = self._last = row.number
        self._text = row.text[:LONGEST_TEXT]
        self._family: tuple[str, int] | None = None
        self._document: dict[str, Any] = {"case": {}}
        self._once: dict[str, int] = {}
        self._faults: list[str] = []
        self._more = self._rows = 0

    def goes_on(self, key: Key) -> bool:
        """Whether a row with this key is of the same case."""
        job, reference = key
        return self._job == job if self._job is not None else job is None and self._reference == reference

    def spoil(self, row: int, faults: Iterable[str]) -> None:
        """Take note of what is wrong."""
        self._last = max(self._last, row)
        for fault in faults:
            if len(self._faults) < _MOST_TOLD:
                self._faults.append(fault)
            else:
                self._more += 1

    def take(self, row: Row) -> None:
        """Add a row."""
        cells = row.cells or {}
        self._last = row.number
        self._rows += 1
        if self._rows > MOST_ROWS:
            faults = [f"a case has at most {MOST_ROWS} rows"] if self._rows == MOST_ROWS + 1 else []
        else:
            faults = [*row.faults, *self._shared(cells, row.number)] or [*self._add(cells, row.number)]
        if faults:
            self.spoil(row.number, _told(row, faults))

    def _shared(self, cells: Cells, row: int) -> Iterator[str]:
        """Family and reference are the same in all rows that give them."""
        family, reference = cells.get("family"), cells.get("reference")
        if family is not None:
            self._family = self._family or (family, row)
            if self._family[0] != family:
                yield f"family is {family!r}, and {self._family[0]!r} in row {self._family[1]}"
        if reference is not None:
            self._reference = self._reference or reference
            if self._reference != reference:
                yield f"reference is {reference!r}, and {self._reference!r} before, in the same job"

    def _add(self, cells: Cells, row: int) -> Iterator[str]:
        name = cells.get("row")
        kind = _KINDS.get(name) if name is not None else None
        if kind is None:
            hint = did_you_mean(str(name), _KINDS) or f"; known: {', '.join(_KINDS)}"
            yield "column row: is empty" if name is None else f"column row: unknown kind of row {name!r}{hint}"
            return
        if cells.keys() <= _ALLOWED[kind.name]:
            yield from self._put(kind, cells, row)
        else:
            misplaced = [column for column in cells if column not in _ALLOWED[kind.name]]
            yield from (f"column {column}: a row {kind.name!r} has none" for column in misplaced)

    def _put(self, kind: RowKind, cells: Cells, row: int) -> Iterator[str]:
        item = _item(kind, cells)
        if item is None:
            yield f"column {next(iter(kind.columns))}: is empty"
        elif kind.how == "items":
            _inside(self._document, kind, list).append(item)
        elif kind.how == "object":
            earlier = self._once.setdefault(kind.name, row)
            if earlier != row:
                yield f"a second row {kind.name!r} of the case; the first is row {earlier}"
            _inside(self._document, kind, dict).update(item)
        else:
            yield from self._put_member(kind, cells.get(kind.key or ""), item)

    def _put_member(self, kind: RowKind, name: str | None, item: object) -> Iterator[str]:
        there = _inside(self._document, kind, dict)
        if name is None:
            yield f"column {kind.key}: is empty"
        elif name in there:
            yield f"column {kind.key}: {name!r} is there twice"
        elif kind.name == "other":
            yield from _put_other(there, name, str(item))
        else:
            there[name] = item

    def item(self, file: str, number: int) -> JobLine:
        """The whole case, or what is wrong with it."""
        faults = self._faults
        if self._family is None and not faults:
            faults = ["no row gives the family"]
        origin = Origin(file, self._first, self._last, "row")
        if faults:
            more = [f"and {self._more} more"] if self._more else []
            return JobLine(number, origin, None, "; ".join([*faults, *more]), self._text)
        return JobLine(number, origin, orjson.dumps(self._whole()))

    def _whole(self) -> dict[str, Any]:
        family = None if self._family is None else self._family[0]
        named = {} if self._reference is None else {"reference": self._reference}
        case = {"family": family, **named, **self._document.pop("case")}
        others = self._document.pop("other", {})
        return {"case": case, **self._document, **others}


def _item(kind: RowKind, cells: Cells) -> Any:
    """What the row's own cells make; None where a row that is one cell has none."""
    if not kind.tree:
        (column,) = kind.columns
        return cells.get(column)
    item: dict[str, Any] = {}
    for column, value in cells.items():
        path = kind.columns.get(column)
        if path is not None:
            put(item, path, value)
    for name in cells.get(EMPTY, ()):
        item.setdefault(name, {})
    for path, value in kind.beside.items():
        neighbours = item.get(path[0])
        if neighbours is not None:
            neighbours.setdefault(path[1], value)
    return item


def _inside(document: dict[str, Any], kind: RowKind, make: type[list[Any]] | type[dict[str, Any]]) -> Any:
    """The array or object that the rows of a kind belong into."""
    *outer, last = kind.at
    for step in outer:
        document = document.setdefault(step, {})
    return document.setdefault(last, make())


def _put_other(there: dict[str, Any], name: str, text: str) -> Iterator[str]:
    if name in ("case", "answer"):
        yield f"column member: {name!r} has rows of its own"
        return
    try:
        there[name] = orjson.loads(text)
    except orjson.JSONDecodeError as error:
        yield f"column json: is not JSON ({error.msg})"
