"""Whether records are made of what their fields ask for: figures that carry a basis, tuples, mappings."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import get_args

from probewright.circuit.parts import Change, Source
from probewright.figures import Figure, Spread
from probewright.packs.check.names import Report
from probewright.packs.model import DefaultCosts, Model, Supply

#: What a field must hold, by how its annotation begins.
_KINDS: tuple[tuple[str, type], ...] = (
    ("tuple[", tuple),
    ("Mapping[", Mapping),
    ("When", Mapping),
    ("Chances", Mapping),
    ("Outcomes", Mapping),
    ("Figure", Figure),
    ("Spread", Spread),
    ("str", str),
    ("bool", bool),
    ("Supply", Supply),
    ("DefaultCosts", DefaultCosts),
)
_MAPPING = "Mapping[str, "
#: What a mapping holds, by how its annotation begins; nothing where that stands in the annotation itself.
_INNER = {"Chances": "Figure", "Outcomes": "Figure", _MAPPING: ""}
#: What a tuple holds, and unions that have a name of their own.
_ITEMS = re.compile(r"tuple\[([\w |]+), \.\.\.\]")
_UNIONS = {"Model": get_args(Model), "Change": get_args(Change)}
_EXACT = {(Source, "phase")}  # a leg's position in the supply is what it is by definition


def check_forms(family: object, report: Report) -> None:
    """Check every record under a family, to any depth."""
    _walk(family, "family", report)


def _walk(value: object, where: str, report: Report) -> None:
    if isinstance(value, Figure):
        return
    if is_dataclass(value) and not isinstance(value, type):
        _walk_record(value, where, report)
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            if not isinstance(key, str):
                report.say(where, f"its keys are strings, not {type(key).__name__}", "wrong_type")
            _walk(inner, f"{where}[{key!r}]", report)
    elif isinstance(value, (tuple, list)):
        for index, inner in enumerate(value):
            _walk(inner, _named(inner) or f"{where}[{index}]", report)
    elif isinstance(value, float):
        report.say(where, f"{value!r} {_NO_BASIS}", "no_basis")


def _walk_record(record: object, where: str, report: Report) -> None:
    for field in fields(record):  # type: ignore[arg-type]  # the caller has seen that it is a dataclass instance
        value = getattr(record, field.name)
        here = f"{where}: {field.name}"
        annotation = field.type if isinstance(field.type, str) else getattr(field.type, "__name__", "")
        if _fits(annotation, value, here, report) and (type(record), field.name) not in _EXACT:
            _walk(value, here, report)


def _fits(annotation: str, value: object, where: str, report: Report) -> bool:
    """Whether a value, and what it holds, is what an annotation asks for; what is not is reported."""
    problem = _misfit(annotation, value)
    if problem:
        report.say(where, problem, "no_basis" if problem.endswith(_NO_BASIS) else "wrong_type")
        return False
    if isinstance(value, tuple):
        return _items_fit(annotation, value, where, report)
    inner = next((_INNER[start] for start in _INNER if annotation.startswith(start)), None)
    if inner is None or not isinstance(value, Mapping):
        return True
    asked = inner or annotation.removeprefix(_MAPPING).removesuffix("]")
    fit = [_fits(asked, held, f"{where}[{key!r}]", report) for key, held in value.items()]  # each is reported
    return all(fit)


def _items_fit(annotation: str, value: tuple[object, ...], where: str, report: Report) -> bool:
    """Whether a tuple holds records or texts of the kinds that its annotation names, or what is made of them."""
    asked = _ITEMS.match(annotation)
    if asked is None:
        return True
    named = asked[1].split(" | ")
    kinds = {kind.__name__ for name in named for kind in _UNIONS.get(name, ())} or set(named)
    strange = [i for i, held in enumerate(value) if not kinds & {kind.__name__ for kind in type(held).__mro__}]
    for i in strange:
        told = f"holds a {type(value[i]).__name__}; expected {' or '.join(sorted(kinds))}"
        report.say(f"{where}[{i}]", told, "wrong_type")
    return not strange


_NO_BASIS = "carries no basis: wrap it in published(), common_practice() or the like"


def _misfit(annotation: str, value: object) -> str | None:
    """Why a value is not what its field's annotation asks for, for the slips that Python lets pass."""
    if annotation.endswith("| None") and value is None:
        return None
    kind = next((kind for start, kind in _KINDS if annotation.startswith(start)), None)
    if kind is None or isinstance(value, kind):
        return None
    if kind is Figure and isinstance(value, (int, float)):
        return f"{value!r} {_NO_BASIS}"
    hint = "; a tuple of one ends in a comma" if kind is tuple and not isinstance(value, list) else ""
    return f"must be a {kind.__name__.lower()}, not {type(value).__name__}{hint}"


def _named(record: object) -> str | None:
    """How a record of a list is called in messages."""
    name = getattr(record, "id", None)
    return f"{type(record).__name__.lower()} {name}" if isinstance(name, str) else None
