"""Lays an overlay's limits, rows of tables and own records over a family."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from probewright.circuit.parts import When
from probewright.packs.check.names import Names, values_of
from probewright.packs.model import Limit, Model, Stated, Table, Test
from probewright.packs.overlay.draft import FIELDS, Draft
from probewright.packs.overlay.records import Effects, OutcomeRow, Overlay
from probewright.packs.overlay.safety import Guard, check_cures

_OWN = ("part", "closing check", "complaint", "fault", "repair", "test")

#: What effects say of each thing that they name.
_SHOWN = ("fails_with", "shown_by", "outcomes", "stated", "cured_by", "changes")


def lay_own(draft: Draft, overlay: Overlay) -> None:
    """Add the records of the shop's own, then how faults show in what is there."""
    for kind in _OWN:
        for record in getattr(overlay, FIELDS[kind]):
            draft.add(kind, record)
    _check_said_once(draft, "effects", (
        (f"fault {of.fault!r} and {name!r}", (of.fault, member, name))
        for of in overlay.effects for member in _SHOWN for name in getattr(of, member)
    ))  # fmt: skip
    for index, effects in enumerate(overlay.effects):
        _lay_effects(draft, f"effects[{index}]", effects)
    check_cures(draft, overlay)


def _check_said_once(draft: Draft, path: str, said: Iterable[tuple[str, Hashable]]) -> None:
    """Of two that say something of the same, one would have no effect."""
    seen: set[Hashable] = set()
    for told, key in said:
        if key in seen:
            draft.report.say(path, f"two are of {told}")
        seen.add(key)


def lay_limits(draft: Draft, overlay: Overlay) -> None:
    """Replace limits, or add them."""
    guard = Guard(draft.below)
    for name, limits in overlay.limits.items():
        path = f"limits of {name}"
        for limit in limits:
            Names.of(draft.below).when(draft.report, path, limit.when)
        if len({_condition(limit.when) for limit in limits}) < len(limits):
            draft.report.say(path, "two have the same when")

        def limited(test: Test, path: str = path, limits: tuple[Limit, ...] = limits) -> Test:
            laid = test.limits
            for limit in limits:
                laid = _with_limit(laid, limit)
            weakened = guard.weakened(test.id, test.limits, laid)
            if weakened is not None:
                draft.report.say(path, weakened)
            return replace(test, limits=laid)

        draft.edit("limits", "test", name, limited)


def _condition(when: When) -> frozenset[tuple[str, frozenset[str]]]:
    """A condition in a form that can be compared."""
    return frozenset((option, frozenset(values_of(allowed))) for option, allowed in when.items())


def _with_limit(limits: tuple[Limit, ...], limit: Limit) -> tuple[Limit, ...]:
    same = [_condition(other.when) == _condition(limit.when) for other in limits]
    if any(same):
        return tuple(limit if is_same else other for is_same, other in zip(same, limits, strict=True))
    place = next((i for i, other in enumerate(limits) if len(other.when) <= len(limit.when)), len(limits))
    return (*limits[:place], limit, *limits[place:])


def lay_outcomes(draft: Draft, overlay: Overlay) -> None:
    """Replace rows of tables."""
    _check_said_once(draft, "outcomes", (
        (f"test {row.test!r} and {'a sound appliance' if row.fault is None else f'fault {row.fault!r}'}",
         (row.test, row.fault, _condition(row.when))) for row in overlay.outcomes
    ))  # fmt: skip
    for index, row in enumerate(overlay.outcomes):
        path = f"outcomes[{index}]"
        Names.of(draft.below).when(draft.report, path, row.when)
        if row.fault is None or draft.known(path, "fault", row.fault):
            draft.edit(path, "test", row.test, _RowChange(draft, path, row))


class _RowChange:
    """Puts a row into the table that it is of."""

    def __init__(self, draft: Draft, path: str, row: OutcomeRow) -> None:
        self.draft, self.path, self.row = draft, path, row

    def __call__(self, test: Test) -> Test:
        row, say = self.row, self.draft.report.say
        tables = [model for model in test.models if isinstance(model, Table)]
        own = [table for table in tables if _condition(table.when) == _condition(row.when)]
        if not tables:
            say(self.path, f"test {test.id!r} has no table of outcomes")
        elif not own:
            told = " or ".join(_told(table.when) for table in tables)
            say(self.path, f"no table of test {test.id!r} is for {_told(row.when)}; give when = {told}")
        elif row.fault is not None and row.fault not in own[0].by_fault:
            known = ", ".join(own[0].by_fault) or "none"
            say(self.path, f"the table of test {test.id!r} has no row for fault {row.fault!r} (it has {known}); "
                           "a row is added in effects")  # fmt: skip
        for outcome in row.chances:
            self.draft.report.known(self.path, f"outcome of test {test.id!r}", outcome, test.outcomes)
        models = tuple(self._put(model) if any(model is table for table in own) else model for model in test.models)
        return replace(test, models=models)

    def _put(self, table: Model) -> Model:
        row = self.row
        if not isinstance(table, Table) or (row.fault is not None and row.fault not in table.by_fault):
            return table
        if row.fault is None:
            return replace(table, healthy=row.chances)
        return replace(table, by_fault={**table.by_fault, row.fault: row.chances})


def _told(when: When) -> str:
    named = (f"{option} = {' or '.join(values_of(allowed))}" for option, allowed in when.items())
    return f"{{{', '.join(named)}}}"


def _lay_effects(draft: Draft, path: str, effects: Effects) -> None:
    fault = effects.fault
    if not draft.known(path, "fault", fault):
        return
    _lay_in(draft, f"{path}.fails_with", "function", "fails_with", fault, effects.fails_with)
    _lay_in(draft, f"{path}.shown_by", "complaint", "shown_by", fault, effects.shown_by)
    _lay_in(draft, f"{path}.cured_by", "repair", "cures", fault, effects.cured_by)
    _lay_in(draft, f"{path}.changes", "circuit", "changes", fault, effects.changes)
    for test, row in effects.outcomes.items():
        draft.edit(f"{path}.outcomes", "test", test, _shown(draft, f"{path}.outcomes", Table, fault, row))
    for test, spread in effects.stated.items():
        draft.edit(f"{path}.stated", "test", test, _shown(draft, f"{path}.stated", Stated, fault, spread))


def _lay_in(
    draft: Draft, path: str, kind: str, member: str, fault: str, values: Mapping[str, object]
) -> None:
    """Set the entry of a fault in a mapping of several records."""
    for name, value in values.items():

        def changed(record: Any, value: object = value) -> Any:
            return replace(record, **{member: {**getattr(record, member), fault: value}})

        draft.edit(path, kind, name, changed)


def _shown(
    draft: Draft, path: str, model: type[Stated | Table], fault: str, shown: object
) -> Callable[[Test], Test]:
    """What sets the entry of a fault in every model of one kind that a test has."""

    def changed(test: Test) -> Test:
        if not any(isinstance(m, model) for m in test.models):
            draft.report.say(path, f"test {test.id!r} has no {model.__name__.lower()} model")
        return replace(test, models=tuple(_with_fault(m, fault, shown) if isinstance(m, model) else m
                                          for m in test.models))  # fmt: skip

    return changed


def _with_fault(model: Any, fault: str, shown: object) -> Any:
    return replace(model, by_fault={**model.by_fault, fault: shown})
