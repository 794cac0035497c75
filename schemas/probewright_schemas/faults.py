"""What is wrong in a document, each with a JSON pointer (RFC 6901), from marshmallow's nested messages."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Self

from marshmallow import Schema, fields
from marshmallow.exceptions import SCHEMA

from probewright_schemas.suggest import did_you_mean

MOST_FAULTS = 100
_LONGEST_NAME = 200

Path = tuple[str | int, ...]


class Message(str):
    """A message for a person that carries its stable code through marshmallow."""

    __slots__ = ("code",)
    code: str

    def __new__(cls, text: str, code: str) -> Self:
        """Attach ``code`` to ``text``."""
        self = super().__new__(cls, text)
        self.code = code
        return self


@dataclass(frozen=True, slots=True)
class DocumentFault:
    """One thing wrong: where (a JSON pointer), what, and a stable code."""

    pointer: str
    message: str
    code: str


class DocumentError(ValueError):
    """A document breaks its schema; ``faults`` lists every place."""

    def __init__(self, faults: Sequence[DocumentFault]) -> None:
        self.faults = tuple(faults)
        super().__init__("; ".join(f"{f.pointer or '/'}: {f.message}" for f in self.faults))


def pointer(path: Sequence[str | int]) -> str:
    """A path as a JSON pointer: ``("a/b", 0)`` gives ``/a~1b/0``."""
    return "".join("/" + str(step).replace("~", "~0").replace("/", "~1") for step in path)


def faults_of(messages: object, schema: Schema) -> tuple[DocumentFault, ...]:
    """Flatten marshmallow's messages, in the order of the document's paths, at most :data:`MOST_FAULTS`.

    Parameters
    ----------
    messages : dict, list or str
        ``ValidationError.messages``.
    schema : Schema
        What it was loaded with: its field names are what an unknown field is compared with.
    """
    found = sorted(faults_at(messages, schema), key=lambda item: [(isinstance(s, str), s) for s in item[0]])
    faults = [_fault(path, message) for path, message in found[:MOST_FAULTS]]
    if len(found) > MOST_FAULTS:
        faults.append(DocumentFault("", f"and {len(found) - MOST_FAULTS} more faults", "more"))
    return tuple(faults)


def faults_at(messages: object, schema: Schema) -> Iterator[tuple[Path, Message]]:
    """Every message in its final words, with its path."""
    return _walk(messages, (), schema)


def _fault(path: Path, message: Message) -> DocumentFault:
    if any(isinstance(step, str) and len(step) > _LONGEST_NAME for step in path):
        short = next(i for i, step in enumerate(path) if isinstance(step, str) and len(step) > _LONGEST_NAME)
        return DocumentFault(pointer(path[:short]), f"a name has more than {_LONGEST_NAME} characters", "length")
    return DocumentFault(pointer(path), str(message), message.code)


def _walk(messages: object, path: Path, at: Any) -> Iterator[tuple[Path, Message]]:
    """Yield every message with its path; ``at`` is the schema or field that the messages are about."""
    if isinstance(messages, Mapping):
        for key, inner in messages.items():
            if key == SCHEMA:
                yield from _at_object(inner, path, at)
            else:
                yield from _walk(inner, (*path, key if isinstance(key, int) else str(key)), _inside(at, key))
    elif isinstance(messages, (list, tuple)):
        for inner in messages:
            yield from _walk(inner, path, at)
    else:
        yield path, _worded(messages, path, at)


def _at_object(messages: object, path: Path, at: Any) -> Iterator[tuple[Path, Message]]:
    for message in messages if isinstance(messages, list) else [messages]:
        if getattr(message, "code", "") == "unknown_field":  # a field that is really called "_schema"
            yield from _walk(message, (*path, SCHEMA), _Unknown(at))
        else:
            yield from _walk(message, path, at)


@dataclass(frozen=True, slots=True)
class _Unknown:
    """Where a field was found that the schema does not have."""

    parent: Any


def _worded(message: object, path: Path, at: Any) -> Message:
    worded = message if isinstance(message, Message) else Message(str(message), "invalid")
    if worded.code == "unknown_field" and isinstance(at, _Unknown) and path:
        schema = _schema_of(at.parent)
        names = [f.data_key or name for name, f in schema.fields.items()] if schema else []
        hint = did_you_mean(str(path[-1]), names)
        return Message(f"unknown field{hint}", "unknown_field") if hint else worded
    return worded


def _schema_of(at: Any) -> Schema | None:
    schema = getattr(at, "schema", at)
    return schema if isinstance(schema, Schema) else None


def _inside(at: Any, key: object) -> Any:
    """The field of ``key`` under a schema or field."""
    if isinstance(at, fields.List):
        return at.inner
    if isinstance(at, fields.Dict):
        return at.value_field
    schema = _schema_of(at)
    for name, field in schema.fields.items() if schema else ():
        if key == (field.data_key or name):
            return field
    return _Unknown(at)
