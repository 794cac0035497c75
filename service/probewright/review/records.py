"""The records of a family by kind, with the names that findings give them, and walks over what is in them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from probewright.circuit.parts import Circuit, Part, Source, Switch, When
from probewright.figures import Figure, Spread
from probewright.packs.model import Family, Requirement, Table

#: What findings call the records of each field of a family.
KINDS: Mapping[str, str] = {
    "options": "option", "states": "state", "zones": "zone", "circuits": "circuit", "functions": "function",
    "complaints": "complaint", "tests": "test", "faults": "fault", "parts": "part", "repairs": "repair",
    "interlocks": "interlock", "closings": "closing check", "questions": "question",
}  # fmt: skip


def of_kind(family: Family, field: str) -> Iterator[tuple[str, Any]]:
    """The records of one field, each with its name in findings."""
    for record in getattr(family, field):
        yield f"{KINDS[field]} {record.id}", record


def all_records(family: Family) -> Iterator[tuple[str, str, Any]]:
    """Every record of a family: its kind, its name in findings, and itself."""
    for field, kind in KINDS.items():
        for name, record in of_kind(family, field):
            yield kind, name, record
    yield "costs", "costs", family.costs
    yield "supply", "supply", family.supply


def figures_in(record: object, path: str = "") -> Iterator[tuple[str, Figure]]:
    """Every figure in a record, however deep, with the way to it."""
    if isinstance(record, Figure):
        yield path, record
    elif isinstance(record, Mapping):
        for key, value in record.items():
            yield from figures_in(value, f"{path}[{key}]")
    elif isinstance(record, (tuple, list)):
        for index, value in enumerate(record):
            yield from figures_in(value, f"{path}[{getattr(value, 'id', index)}]")
    elif is_dataclass(record) and not isinstance(record, type):
        for field in fields(record):
            yield from figures_in(getattr(record, field.name), f"{path}.{field.name}" if path else field.name)


def figures_of(family: Family) -> Iterator[tuple[str, str, str, Figure]]:
    """Every figure of a family: kind and name of its record, the way to it, and itself."""
    for kind, name, record in all_records(family):
        for path, figure in figures_in(record):
            yield kind, name, path, figure
    for field in ("ambient", "unknown_rate"):
        for path, figure in figures_in(getattr(family, field), field):
            yield "family", "family", path, figure


def conditions_in(record: object) -> Iterator[When]:
    """Every condition (``when``) in a record, however deep."""
    if isinstance(record, (Figure, Spread, str)):
        return
    if isinstance(record, Mapping):
        for value in record.values():
            yield from conditions_in(value)
    elif isinstance(record, (tuple, list)):
        for value in record:
            yield from conditions_in(value)
    elif is_dataclass(record) and not isinstance(record, type):
        for field in fields(record):
            value = getattr(record, field.name)
            if field.name == "when":
                yield value
            else:
                yield from conditions_in(value)


def values_of(allowed: str | tuple[str, ...]) -> tuple[str, ...]:
    """The values that a condition allows."""
    return (allowed,) if isinstance(allowed, str) else allowed


def requirements(family: Family) -> Iterator[tuple[str, Requirement]]:
    """Every circuit value that a function or a stated table needs, with the name of its record."""
    for function in family.functions:
        for requirement in function.requires:
            yield f"function {function.id}", requirement
    for test in family.tests:
        for model in test.models:
            if isinstance(model, Table):
                for requirement, _ in model.without:
                    yield f"test {test.id}", requirement


def part_name(circuit: Circuit, part: Part | Switch | Source) -> str:
    """What findings call a part of a circuit."""
    return f"circuit {circuit.id}: {type(part).__name__.lower()} {part.id}"


def listed(words: tuple[str, ...] | list[str], most: int = 6) -> str:
    """Words in a sentence: ``a, b and c``, the last ones counted where there are many."""
    if len(words) > most:
        return f"{', '.join(words[: most - 1])} and {len(words) - most + 1} more"
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1]))) if words else "none"
