"""What every record's schema shares: unknown fields refused, rules across fields, a record at the end."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, ClassVar

from marshmallow import RAISE, Schema, ValidationError, post_load, validates_schema
from marshmallow.exceptions import SCHEMA

from probewright_schemas.faults import Message, Path
from probewright_schemas.fields import Check, UncleanError

Rule = Callable[[Mapping[str, Any]], Sequence[tuple[Path, Message]]]
"""Looks at an object as it was sent and returns what is wrong with it as a whole.

It must bear anything in the fields: they are checked beside it, not before it.
"""


class RecordSchema(Schema):
    """Loads one record.  Subclasses give ``record`` and fields of :mod:`probewright_schemas.fields`.

    Where there are ``rules``, ``clean`` tells by a record whose fields are sound whether it obeys them all; it may
    refuse more than they do.
    """

    record: ClassVar[type[Any]]
    rules: ClassVar[tuple[Rule, ...]] = ()
    clean: ClassVar[staticmethod[[Any], bool] | None] = None
    closed: ClassVar[bool] = False  # whether the published contract forbids other fields: true of requests

    error_messages: dict[str, str] = {  # noqa: RUF012  marshmallow copies it
        "unknown": Message("unknown field", "unknown_field"),
        "type": Message("must be an object", "type"),
    }

    class Meta:
        """Options of marshmallow."""

        unknown = RAISE

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def obey_rules(self, _: object, original: object, **__: object) -> None:
        """Apply the rules across fields."""
        if not isinstance(original, Mapping):
            return
        errors: dict[Any, Any] = {}
        for rule in self.rules:
            for path, message in rule(original):
                nest(errors, path, message)
        if errors:
            raise ValidationError(errors)

    @post_load
    def build(self, data: dict[str, Any], **_: object) -> Any:
        """Make the record; objects without one stay as they were, under the names that the document has."""
        if self.record is dict:
            return {self.fields[name].data_key or name: value for name, value in data.items()}
        return self.record(**data)

    def quick(self) -> Check:
        """Compile the declarations into a function that accepts clean documents, else raises ``UncleanError``."""
        known: dict[str, tuple[str, Check]] = {
            field.data_key or name: (name, field.quick())  # type: ignore[attr-defined]  # fields are of our kinds
            for name, field in self.fields.items()
        }
        required = frozenset(name for name, field in self.fields.items() if field.required)
        record, rules, strict = self.record, self.rules, self.unknown == RAISE

        def check(document: Any) -> Any:
            if type(document) is not dict:
                raise UncleanError
            values = {}
            for key, value in document.items():
                entry = known.get(key)
                if entry is None:
                    if strict:
                        raise UncleanError
                    continue
                values[entry[0]] = entry[1](value)
            if not required <= values.keys():
                raise UncleanError
            for rule in rules:
                if rule(document):
                    raise UncleanError
            return record(**values)

        return check


def nest(errors: dict[Any, Any], path: Path, message: Message) -> None:
    """Add a message at its path to errors as marshmallow nests them."""
    *outer, last = path or (SCHEMA,)
    for step in outer:
        errors = errors.setdefault(step, {})
    errors.setdefault(last, []).append(message)
