"""The kinds of field that documents are made of.

Each takes its description, unit and example for the published contract, and each knows two ways to read a value: the
strict one of marshmallow, which words every fault, and :meth:`quick`, which accepts the same clean values in a
fraction of the time and raises :class:`UncleanError` on anything else.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from math import isfinite
from sys import maxsize
from typing import Any, cast

from marshmallow import ValidationError, fields

from probewright_schemas.faults import Message
from probewright_schemas.limits import LARGEST_NUMBER
from probewright_schemas.suggest import did_you_mean

Check = Callable[[Any], Any]

LONGEST_NAME = 100
_COUNTED = 2.0**53
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\ud800-\udfff]")
_PUBLISHED_PATTERN = r"^[^\u0000-\u001f\u007f-\u009f]*$"


class UncleanError(Exception):
    """Not accepted by the quick way; ask the strict one what is wrong."""

    __slots__ = ()


class Described:
    """Common to all kinds: description and example are required, messages carry a code."""

    def make_error(self, key: str, **_: Any) -> ValidationError:
        """Marshmallow's own messages, in our words."""
        words = {
            "required": Message("is required", "missing"),
            "null": Message("may not be null: leave it out", "null"),
        }
        return ValidationError(words.get(key, Message("is not valid", "invalid")))


def _about(kind: str, description: str, example: object, **more: object) -> dict[str, object]:
    about: dict[str, object] = {"type": kind, "description": description, "examples": [example]}
    return about | {key: _whole(value) for key, value in more.items() if value is not None}


def _whole(value: object) -> object:
    """A bound without a needless fraction; beyond what a float counts in ones, its digits would be an accident."""
    return int(value) if isinstance(value, float) and value.is_integer() and abs(value) < _COUNTED else value


class Text(Described, fields.Field[str]):
    """A string of bounded length without control characters."""

    def __init__(
        self,
        description: str,
        *,
        example: str,
        longest: int = LONGEST_NAME,
        shortest: int = 1,
        required: bool = False,
        data_key: str | None = None,
    ) -> None:
        bounds = {"minLength": shortest, "maxLength": longest, "pattern": _PUBLISHED_PATTERN}
        about = _about("string", description, example, **bounds)
        super().__init__(required=required, data_key=data_key, metadata=about)
        self.shortest, self.longest = shortest, longest

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> str:
        if not isinstance(value, str):
            raise ValidationError(Message(f"must be a string, not {kind_of(value)}", "type"))
        if not self.shortest <= len(value) <= self.longest:
            raise ValidationError(Message(f"must have {self.shortest} to {self.longest} characters", "length"))
        if _CONTROL.search(value):
            raise ValidationError(Message("may not hold control characters", "characters"))
        return value

    def quick(self) -> Check:
        """The quick way."""
        shortest, longest = self.shortest, self.longest

        def check(value: Any) -> str:
            if type(value) is str and shortest <= len(value) <= longest and value.isprintable():
                return value
            raise UncleanError

        return check


class Words(Text):
    """A string of an answer: any length."""

    def __init__(
        self, description: str, *, example: str, required: bool = False, data_key: str | None = None
    ) -> None:
        super().__init__(
            description, example=example, shortest=0, longest=maxsize, required=required, data_key=data_key
        )
        self.metadata = _about("string", description, example)


class Choice(Described, fields.Field[str]):
    """One of a fixed set of words."""

    def __init__(
        self, description: str, choices: Sequence[str], *, example: str, required: bool = False,
        data_key: str | None = None,
    ) -> None:  # fmt: skip
        about = _about("string", description, example, enum=list(choices))
        super().__init__(required=required, data_key=data_key, metadata=about)
        self.choices = tuple(choices)

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> str:
        if not isinstance(value, str):
            raise ValidationError(Message(f"must be a string, not {kind_of(value)}", "type"))
        if value not in self.choices:
            hint = did_you_mean(value, self.choices)
            raise ValidationError(Message(f"must be one of {', '.join(self.choices)}{hint}", "choice"))
        return value

    def quick(self) -> Check:
        """The quick way."""
        choices = frozenset(self.choices)

        def check(value: Any) -> str:
            if type(value) is str and value in choices:
                return value
            raise UncleanError

        return check


class Number(Described, fields.Field[float]):
    """A finite JSON number; strings, booleans, NaN and infinities are refused."""

    def __init__(
        self,
        description: str,
        *,
        example: float,
        unit: str,
        least: float = -LARGEST_NUMBER,
        most: float = LARGEST_NUMBER,
        required: bool = False,
    ) -> None:
        bounds = {name: bound for name, bound in (("minimum", least), ("maximum", most)) if isfinite(bound)}
        about = _about("number", description, example, **bounds) | {"x-unit": unit}
        super().__init__(required=required, metadata=about)
        self.least, self.most = least, most

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, (int, float)):
            hint = ", without quotes" if isinstance(value, str) else ""
            raise ValidationError(Message(f"must be a number{hint}, not {kind_of(value)}", "type"))
        if isinstance(value, float) and not isfinite(value):
            raise ValidationError(Message("must be finite", "not_finite"))
        if not self.least <= value <= self.most:
            raise ValidationError(Message(f"must lie from {self.least:g} to {self.most:g}", "range"))
        return float(value)

    def quick(self) -> Check:
        """The quick way."""
        least, most = self.least, self.most

        def check(value: Any) -> float:
            kind = type(value)
            if (kind is float or kind is int) and least <= value <= most:
                return float(value)
            raise UncleanError

        return check


class Count(Number):
    """A whole number from 0 up."""

    def __init__(self, description: str, *, example: int, most: int, required: bool = False) -> None:
        super().__init__(description, example=example, unit="1", least=0, most=most, required=required)
        self.metadata = {**self.metadata, "multipleOf": 1}

    def _deserialize(self, value: Any, *rest: Any, **more: Any) -> int:
        number = super()._deserialize(value, *rest, **more)
        if not number.is_integer():
            raise ValidationError(Message("must be a whole number", "whole"))
        return int(number)

    def quick(self) -> Check:
        """The quick way."""
        most = self.most

        def check(value: Any) -> int:
            if type(value) is int and 0 <= value <= most:
                return value
            raise UncleanError

        return check


class Flag(Described, fields.Field[bool]):
    """``true`` or ``false``."""

    def __init__(
        self, description: str, *, example: bool, required: bool = False, default: bool | None = None
    ) -> None:
        super().__init__(required=required, metadata=_about("boolean", description, example, default=default))

    def _deserialize(self, value: Any, *_: Any, **__: Any) -> bool:
        if not isinstance(value, bool):
            raise ValidationError(Message(f"must be true or false, not {kind_of(value)}", "type"))
        return value

    def quick(self) -> Check:
        """The quick way."""

        def check(value: Any) -> bool:
            if value is True or value is False:
                return value
            raise UncleanError

        return check


class Listing(Described, fields.List):  # type: ignore[type-arg]  # generic over what a field reads, which differs here
    """An array of bounded length; read as a tuple."""

    def __init__(
        self,
        inner: fields.Field[Any],
        description: str,
        *,
        example: object,
        most: int | None = None,
        least: int = 0,
        unique: bool = False,
        required: bool = False,
    ) -> None:
        about = _about("array", description, example, maxItems=most, minItems=least or None, uniqueItems=unique or None)
        super().__init__(inner, required=required, metadata=about)
        self.least, self.most, self.unique = least, most, unique

    def _deserialize(self, value: Any, *rest: Any, **more: Any) -> Any:
        if not isinstance(value, list):
            raise ValidationError(Message(f"must be an array, not {kind_of(value)}", "type"))
        if self.most is not None and len(value) > self.most:
            raise ValidationError(Message(f"may have at most {self.most} items", "count"))
        if len(value) < self.least:
            raise ValidationError(Message(f"needs at least {self.least} item(s)", "count"))
        items = super()._deserialize(value, *rest, **more)
        if self.unique:
            self._refuse_repeats(items)
        return tuple(items)

    @staticmethod
    def _refuse_repeats(items: Sequence[object]) -> None:
        seen: set[object] = set()
        repeats: dict[int, list[Message]] = {}
        for index, item in enumerate(items):
            if item in seen:
                repeats[index] = [Message(f"{item!r} is listed twice", "duplicate")]
            seen.add(item)
        if repeats:
            raise ValidationError(repeats)

    def quick(self) -> Check:
        """The quick way."""
        least, most, unique, inner = self.least, self.most, self.unique, _quick(self.inner)

        def check(value: Any) -> tuple[Any, ...]:
            if type(value) is not list or len(value) < least or (most is not None and len(value) > most):
                raise UncleanError
            items = tuple([inner(item) for item in value])
            if unique and len(set(items)) < len(items):
                raise UncleanError
            return items

        return check


class Keyed(Described, fields.Dict):
    """An object of any names, bounded in number, with one kind of value."""

    def __init__(
        self,
        values: fields.Field[Any],
        description: str,
        *,
        example: object,
        most: int | None = None,
        required: bool = False,
    ) -> None:
        super().__init__(
            values=values, required=required, metadata=_about("object", description, example, maxProperties=most)
        )
        self.most = most
        self._name = Text("A name.", example="name")

    def _deserialize(self, value: Any, *_: Any, **more: Any) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise ValidationError(Message(f"must be an object, not {kind_of(value)}", "type"))
        if self.most is not None and len(value) > self.most:
            raise ValidationError(Message(f"may have at most {self.most} members", "count"))
        result: dict[str, Any] = {}
        errors: dict[str, Any] = {}
        for key, item in value.items():
            try:
                self._name.deserialize(key)
            except ValidationError as error:
                errors[key] = [_of_name(m) for m in error.messages]
                continue
            try:
                result[key] = self._value.deserialize(item, **more)
            except ValidationError as error:
                errors[key] = error.messages
        if errors:
            raise ValidationError(errors)
        return result

    @property
    def _value(self) -> fields.Field[Any]:
        return cast("fields.Field[Any]", self.value_field)  # it is always given

    def quick(self) -> Check:
        """The quick way."""
        most, name, item = self.most, self._name.quick(), _quick(self._value)

        def check(value: Any) -> dict[str, Any]:
            if type(value) is not dict or (most is not None and len(value) > most):
                raise UncleanError
            return {name(key): item(inner) for key, inner in value.items()}

        return check


class Item(Described, fields.Nested):
    """An object with a schema of its own; only inside an array or object, whose example shows it, it needs none."""

    def __init__(
        self, schema: type[Any], description: str, *, example: object = None, required: bool = False
    ) -> None:
        about = {"description": description} | ({} if example is None else {"examples": [example]})
        super().__init__(schema, required=required, metadata=about)

    def quick(self) -> Check:
        """The quick way."""
        check: Check = self.schema.quick()  # type: ignore[attr-defined]  # only record schemas are nested
        return check


def _quick(field: Any) -> Check:
    check: Check = field.quick()
    return check


def _of_name(message: Any) -> Message:
    return Message(f"the name {message}", getattr(message, "code", "type"))


def kind_of(value: object) -> str:
    """What JSON calls a value."""
    names: tuple[tuple[type | tuple[type, ...], str], ...] = (
        (bool, "a boolean"),
        (str, "a string"),
        ((int, float), "a number"),
        (list, "an array"),
        (dict, "an object"),
    )
    if value is None:
        return "null"
    return next((name for kind, name in names if isinstance(value, kind)), type(value).__name__)
