"""Families with one thing changed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import Any

from probewright.figures import Figure, common_practice
from probewright.packs.check import broken_rules
from probewright.packs.model import Family, Table, Test
from probewright.review.findings import review_family
from support.lantern import lantern, likely, wiring
from support.slips import change_named

Change = Callable[[Family], Family]


def changed(field: str, name: str, **changes: object) -> Change:
    """The record of a kind changed."""
    return lambda family: change_named(family, field, name, **changes)


def added(field: str, *records: object) -> Change:
    return lambda family: replace(family, **{field: (*getattr(family, field), *records)})


def without(field: str, *names: str) -> Change:
    return lambda family: replace(
        family, **{field: tuple(record for record in getattr(family, field) if record.id not in names)}
    )


def both(*changes: Change) -> Change:
    def change(family: Family) -> Family:
        for one in changes:
            family = one(family)
        return family

    return change


def model(name: str, **changes: object) -> Change:
    """The model of a test changed."""
    def change(family: Family) -> Family:
        (old,) = next(test for test in family.tests if test.id == name).models
        return changed("tests", name, models=(replace(old, **changes),))(family)

    return change


def circuit(**changes: object) -> Change:
    return changed("circuits", "lamp", **changes)


def parts(*more: object) -> Change:
    return circuit(parts=(*wiring().parts, *more))


def changes(**more: object) -> Change:
    return circuit(changes={**wiring().changes, **more})


def table(**rows: object) -> Table:
    """What the glass shows, with other rows."""
    return Table(likely(clear=0.95, black=0.04, cracked=0.01), rows)


def seen(name: str, **more: object) -> Test:
    """A look from outside, at a lamp without power."""
    return replace(next(t for t in lantern().tests if t.id == "glass"), id=name, **{"title": name, **more})


def real(family: Family) -> Family:
    """The same with common practice for every invented figure: no demo any more."""
    return replace(_firm(family), demo=False)


def _firm(value: Any) -> Any:
    if isinstance(value, Figure):
        return common_practice(float(value))
    if isinstance(value, tuple):
        return tuple(_firm(item) for item in value)
    if isinstance(value, Mapping):
        return {key: _firm(item) for key, item in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        return replace(value, **{f.name: _firm(getattr(value, f.name)) for f in fields(value)})
    return value


def found(family: Family) -> list[tuple[str, str, str]]:
    """What a review finds of a family that loads, beside what its numbers rest on: rule, record and message."""
    assert broken_rules(family) == ()
    return [(r.rule, r.record, r.message) for r in review_family(family).remarks if r.rule != "weak_basis"]
