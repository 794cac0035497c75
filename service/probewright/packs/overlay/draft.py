"""A family while something is laid over it: its records by kind and id, and what does not fit."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from functools import partial
from typing import Any, Final, TypeVar

from probewright.figures import Figure
from probewright.packs.check.names import Report
from probewright.packs.model import Family

T = TypeVar("T")

#: The field of a family that holds the records of each kind.
FIELDS: Final[Mapping[str, str]] = {
    "option": "options", "state": "states", "zone": "zones", "circuit": "circuits", "function": "functions",
    "complaint": "complaints", "test": "tests", "fault": "faults", "part": "parts", "repair": "repairs",
    "closing check": "closings",
}  # fmt: skip


class Draft:
    """Collects changes; what names something unknown is reported, and changes nothing."""

    def __init__(self, family: Family, report: Report) -> None:
        self.below, self.report = family, report
        self.changes: dict[str, Any] = {}
        self._records: dict[str, dict[str, Any]] = {
            kind: {record.id: record for record in getattr(family, name)} for kind, name in FIELDS.items()
        }

    def known(self, path: str, kind: str, name: str) -> bool:
        """Whether there is a record of that name; reported when not."""
        return self.report.known(path, kind, name, self._records[kind])

    def all(self, kind: str) -> Iterator[Any]:
        """The records of a kind as they are now."""
        return iter(tuple(self._records[kind].values()))

    def edit(self, path: str, kind: str, name: str, change: Callable[[Any], Any]) -> None:
        """Put what ``change`` makes of a record in its place."""
        if self.known(path, kind, name):
            records = self._records[kind]
            records[name] = change(records[name])

    def put(self, path: str, kind: str, member: str, values: Mapping[str, object]) -> None:
        """Replace one member of several records."""
        for name, value in values.items():
            self.edit(path, kind, name, partial(replace, **{member: value}))

    def add(self, kind: str, record: Any) -> None:
        """Add a record of an id that is free."""
        if record.id in self._records[kind]:
            self.report.say(FIELDS[kind], f"{kind} {record.id!r} is there already; a record of your own has its own id")
        self._records[kind].setdefault(record.id, record)

    def family(self) -> Family:
        """The family with all changes."""
        changed = {FIELDS[kind]: tuple(records.values()) for kind, records in self._records.items()} | self.changes
        return replace(self.below, **changed)


def in_layer(value: T, layer: str) -> T:
    """A record with every figure in it, to any depth, marked as set by a layer."""
    marked: Any = value
    if isinstance(value, Figure):
        marked = value.in_layer(layer)
    elif is_dataclass(value) and not isinstance(value, type):
        marked = replace(value, **{f.name: in_layer(getattr(value, f.name), layer) for f in fields(value)})
    elif isinstance(value, Mapping):
        marked = {key: in_layer(inner, layer) for key, inner in value.items()}
    elif isinstance(value, tuple):
        marked = tuple(in_layer(inner, layer) for inner in value)
    return marked
