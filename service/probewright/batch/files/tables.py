"""How a long table is declared: its columns, and what each kind of row holds of a document.

The same declaration writes a table and reads it back, so that the two cannot part.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

#: ``whole`` is a whole number, ``day`` a calendar day, ``numbers`` and ``texts`` are lists.
CellKind = Literal["text", "number", "whole", "flag", "day", "numbers", "texts"]
Path = tuple[str, ...]
Cells = dict[str, Any]
Document = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its name, what its cells are, and what they say."""

    name: str
    kind: CellKind
    about: str


@dataclass(frozen=True, slots=True)
class RowKind:
    """A kind of row: where in the document it belongs, and which column holds which member of it.

    ``how`` is ``object`` for a row that there is once, ``items`` for each item of an array, and ``members`` for each
    member of an object, whose name stands in the column ``key``.  A column whose path is empty holds the whole item.
    ``always`` writes the row even when it has no cells; ``empty`` names members that may be there without anything in
    them, and ``beside`` what stands in a member that has to be there when its neighbours are.
    """

    name: str
    about: str
    at: Path
    how: Literal["object", "items", "members"]
    columns: Mapping[str, Path]
    key: str | None = None
    always: bool = False
    empty: tuple[str, ...] = ()
    beside: Mapping[Path, str] = field(default_factory=dict)
    #: The columns by the members that they hold, nested as these are.
    tree: Mapping[str, Any] = field(init=False)

    def __post_init__(self) -> None:
        """Turn the columns about."""
        tree: dict[str, Any] = {}
        for column, path in self.columns.items():
            if path:
                put(tree, path, column)
        object.__setattr__(self, "tree", tree)


@dataclass(frozen=True, slots=True)
class Table:
    """A table: ``shared`` are the columns that every row has."""

    name: str
    columns: tuple[Column, ...]
    kinds: tuple[RowKind, ...]
    shared: tuple[str, ...]

    @property
    def by_name(self) -> dict[str, Column]:
        """The columns by their names."""
        return {column.name: column for column in self.columns}


#: The column that names members which are there, with nothing in them.
EMPTY = "empty"


def rows_of(document: Document, kinds: tuple[RowKind, ...], shared: Cells) -> Iterator[Cells]:
    """The rows of a document; ``shared`` is put into each."""
    for kind in kinds:
        for name, item in _items(document, kind):
            cells = _cells(item, kind)
            if kind.key is not None:
                cells[kind.key] = name
            if cells or kind.always:
                yield {**shared, "row": kind.name, **cells}


def _items(document: Document, kind: RowKind) -> Iterator[tuple[str | None, Any]]:
    there = found(document, kind.at)
    if there is None:
        return
    if kind.how == "object":
        yield None, there
    elif kind.how == "items":
        yield from ((None, item) for item in there)
    else:
        yield from there.items()


def _cells(item: Any, kind: RowKind) -> Cells:
    cells: Cells = {}
    if not kind.tree:
        (column,) = kind.columns
        cells[column] = item
        return cells
    _collect(item, kind.tree, cells)
    hollow = [name for name in kind.empty if item.get(name) == {}]
    return cells | {EMPTY: hollow} if hollow else cells


def _collect(item: Document, tree: Mapping[str, Any], cells: Cells) -> None:
    """The members that have columns; the others are left alone, as is what is null."""
    for name, value in item.items():
        there = tree.get(name)
        if there is None or value is None:
            continue
        if isinstance(there, str):
            cells[there] = value
        else:
            _collect(value, there, cells)


def found(item: Any, path: Path) -> Any:
    """What stands at a path; None where nothing does."""
    for step in path:
        item = item.get(step)
        if item is None:
            return None
    return item


def put(item: dict[str, Any], path: Path, value: object) -> None:
    """Put a value where a path says, objects on the way as well."""
    for step in path[:-1]:
        item = item.setdefault(step, {})
    item[path[-1]] = value
