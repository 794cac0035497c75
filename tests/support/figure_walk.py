"""Every number of a record, however deep, with its path."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass

#: Fields whose numbers are no claims about the world: a degree of a phase, an order of states.
COUNTS = {"phase", "risk"}


def numbers(record: object, path: str = "family") -> Iterator[tuple[str, object]]:
    """Every number in a record, however deep, with its path."""
    if isinstance(record, bool | str) or record is None:
        return
    if isinstance(record, int | float):
        yield path, record
    elif isinstance(record, Mapping):
        for key, value in record.items():
            yield from numbers(value, f"{path}[{key}]")
    elif isinstance(record, tuple | list):
        for i, value in enumerate(record):
            yield from numbers(value, f"{path}[{getattr(value, 'id', i)}]")
    elif is_dataclass(record):
        for field in fields(record):
            if field.name not in COUNTS:
                yield from numbers(getattr(record, field.name), f"{path}.{field.name}")
