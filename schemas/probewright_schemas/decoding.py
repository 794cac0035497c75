"""Bytes of JSON to records, without a document in between: for lines that come by the thousand.

What is declared in the schemas is compiled into types that the parser checks while it reads.  As with
:meth:`~probewright_schemas.base.RecordSchema.quick`, only what is clean is accepted, and the strict way words the rest.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import MISSING, Field, dataclass, fields
from functools import singledispatch
from types import GenericAlias
from typing import Annotated, Any, Literal

import msgspec
from marshmallow import RAISE
from msgspec.structs import astuple

from probewright_schemas.base import RecordSchema
from probewright_schemas.days import Day
from probewright_schemas.fields import (
    LONGEST_NAME,
    Choice,
    Count,
    Flag,
    Item,
    Keyed,
    Listing,
    Number,
    Text,
    UncleanError,
)

Holds = Callable[[Any], bool]
"""Whether what was parsed is clean in what its type does not say."""
Make = Callable[[Any], Any]
"""What a record has, from what was parsed."""


class Decoder:
    """Reads the documents of one schema.

    Reading and making the record are two steps, for of many lines no more than a few members are ever looked at: what
    :meth:`read` gives has the members of the record, under the same names, with objects like itself inside.
    """

    def __init__(self, schema: RecordSchema) -> None:
        shape = _record(schema)
        self._parse = msgspec.json.Decoder(shape.type).decode
        self._holds, self._make = shape.holds, shape.make

    def read(self, line: bytes) -> Any:
        """Parse and check a document.

        Members that no schema knows, where it lets them be, are read over: they have to be well formed, but a number in
        them may be larger than any float.

        Raises
        ------
        UncleanError
            For anything but plain ASCII without escapes that the schema accepts; the strict way tells what it is.
        """
        # Beyond ASCII and without escapes there is but one control character that JSON lets stand in a string.
        if not line.isascii() or b"\\" in line or b"\x7f" in line:
            raise UncleanError
        try:
            read = self._parse(line)
        except (msgspec.MsgspecError, RecursionError):
            raise UncleanError from None
        if self._holds is not None and not self._holds(read):
            raise UncleanError
        return read

    def record(self, read: Any) -> Any:
        """The record of what was read."""
        return read if self._make is None else self._make(read)


@dataclass(frozen=True, slots=True)
class _Shape:
    """What the parser reads, what else has to hold of it, and what is made of it; None where that is nothing."""

    type: Any
    holds: Holds | None = None
    make: Make | None = None


@singledispatch
def _shape(field: Any) -> _Shape:
    """How a field is read."""
    raise TypeError(f"no way to decode a {type(field).__name__}")


@_shape.register
def _(field: Text) -> _Shape:
    return _Shape(_text(field.shortest, field.longest))


@_shape.register
def _(field: Choice) -> _Shape:
    return _Shape(Literal[field.choices])


@_shape.register
def _(field: Number) -> _Shape:
    return _Shape(Annotated[float, msgspec.Meta(ge=field.least, le=field.most)])


@_shape.register
def _(field: Count) -> _Shape:
    return _Shape(Annotated[int, msgspec.Meta(ge=0, le=int(field.most))])


@_shape.register
def _(_: Flag) -> _Shape:
    return _Shape(bool)


@_shape.register
def _(field: Day) -> _Shape:
    make = field.quick()

    def holds(text: str) -> bool:
        try:
            make(text)
        except UncleanError:
            return False
        return True

    return _Shape(_text(field.shortest, field.longest), holds, make)


@_shape.register
def _(field: Listing) -> _Shape:
    inner, unique = _shape(field.inner), field.unique
    items: Any = GenericAlias(tuple, (inner.type, ...))
    kind = Annotated[items, msgspec.Meta(min_length=field.least, max_length=field.most)]
    each, make = inner.holds, inner.make

    def holds(items: tuple[Any, ...]) -> bool:
        if unique and len(set(items)) < len(items):
            return False
        return each is None or all(map(each, items))

    return _Shape(
        kind, holds if unique or each is not None else None,
        None if make is None else lambda items: tuple([make(item) for item in items]),
    )  # fmt: skip


@_shape.register
def _(field: Keyed) -> _Shape:
    inner = _shape(field.value_field)
    members: Any = GenericAlias(dict, (_text(1, LONGEST_NAME), inner.type))
    kind = Annotated[members, msgspec.Meta(max_length=field.most)]
    each, make = inner.holds, inner.make
    return _Shape(
        kind,
        None if each is None else lambda members: all(map(each, members.values())),
        None if make is None else lambda members: {name: make(value) for name, value in members.items()},
    )


@_shape.register
def _(field: Item) -> _Shape:
    return _record(field.schema)  # type: ignore[arg-type]  # only record schemas are nested


def _text(shortest: int, longest: int) -> Any:
    return Annotated[str, msgspec.Meta(min_length=shortest, max_length=longest)]


def _record(schema: RecordSchema) -> _Shape:
    """A schema's record: its fields in the record's order, so that what is read is its arguments."""
    clean = schema.clean
    if schema.rules and clean is None:
        raise TypeError(f"{type(schema).__name__} has rules, and nothing that says when they are obeyed")
    members, renamed = [], {}
    checked: list[tuple[str, Any, Holds]] = []
    made: list[tuple[int, Any, Make]] = []
    for place, member in enumerate(fields(schema.record)):
        field = schema.fields[member.name]
        shape, default = _shape(field), _default(member)
        members.append((member.name, shape.type, *(() if field.required else (default,))))
        if field.data_key:
            renamed[member.name] = field.data_key
        if shape.holds is not None:
            checked.append((member.name, default, shape.holds))
        if shape.make is not None:
            made.append((place, default, shape.make))
    read = msgspec.defstruct(
        schema.record.__name__, members, frozen=True, gc=False, rename=renamed or None,
        forbid_unknown_fields=schema.unknown == RAISE,
    )  # fmt: skip
    return _Shape(read, _holder(clean, checked), _maker(schema.record, made))


def _default(member: Field[Any]) -> Any:
    return member.default if member.default_factory is MISSING else member.default_factory()


def _holder(clean: Holds | None, checked: Sequence[tuple[str, Any, Holds]]) -> Holds | None:
    if not checked:
        return clean

    def holds(read: Any) -> bool:
        for name, default, check in checked:
            value = getattr(read, name)
            if value is not default and not check(value):
                return False
        return clean is None or clean(read)

    return holds


def _maker(record: Callable[..., Any], made: Sequence[tuple[int, Any, Make]]) -> Make:
    if not made:
        return lambda read: record(*astuple(read))

    def make(read: Any) -> Any:
        values = [*astuple(read)]
        for place, default, of in made:
            if values[place] is not default:
                values[place] = of(values[place])
        return record(*values)

    return make
