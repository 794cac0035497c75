"""From bytes to a case and the pack that it is about, with every fault named.

May import: ``packs``, ``errors``, the schemas.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from types import MappingProxyType
from typing import TypeVar

import orjson

from probewright.errors import Fault, InvalidCase, RequestError
from probewright.packs.registry import LoadedPack, Registry
from probewright_schemas.faults import DocumentError
from probewright_schemas.load import case_loader, visit_loader
from probewright_schemas.records import Case
from probewright_schemas.suggest import did_you_mean
from probewright_schemas.visit_records import VisitRequest

#: Levels of arrays and objects; a case has fewer than ten, and the parser bears 1024.
DEEPEST = 1000
#: Strings are taken whole, so that brackets in them do not count; one that does not end goes on to the end of the body.
_BRACKETS_AND_STRINGS = re.compile(rb'[][{}]|"(?:[^"\\]++|\\.)*+"?', re.DOTALL)
_LEVELS = MappingProxyType({ord("["): 1, ord("{"): 1, ord("]"): -1, ord("}"): -1})
_LOAD, _LOAD_VISIT = case_loader(), visit_loader()
T = TypeVar("T")


class MalformedJsonError(RequestError):
    """A body is not JSON (RFC 8259); ``line`` and ``column`` count from 1."""

    code = "malformed_json"

    def __init__(self, reason: str, line: int, column: int) -> None:
        self.reason, self.line, self.column = reason, line, column
        super().__init__(f"line {line}, column {column}: {reason}")


def read_json(body: bytes) -> object:
    """Parse a body.

    Of members with the same name in one object the last counts, as with most parsers.  NaN, infinities, numbers too
    large for a float, lone surrogates and more than :data:`DEEPEST` levels of nesting are refused.

    Raises
    ------
    MalformedJsonError
        With the place where reading stopped.
    """
    _refuse_depth(body)
    try:
        return orjson.loads(body)
    except orjson.JSONDecodeError as error:
        raise MalformedJsonError(error.msg, error.lineno, error.colno) from None


def is_shallow(body: bytes) -> bool:
    """Whether a body cannot nest deeper than :data:`DEEPEST` levels, whatever it is."""
    return body.count(b"[") + body.count(b"{") <= DEEPEST


def _refuse_depth(body: bytes) -> None:
    """Count levels before the parser does, which gives up on deep ones in words of its own."""
    if is_shallow(body):
        return
    depth = 0
    for found in _BRACKETS_AND_STRINGS.finditer(body):
        place = found.start()
        depth += _LEVELS.get(body[place], 0)
        if depth > DEEPEST:
            line = body.count(b"\n", 0, place) + 1
            column = place - body.rfind(b"\n", 0, place)
            raise MalformedJsonError(f"nests deeper than {DEEPEST} levels", line, column)


def load_case(document: object) -> Case:
    """Check a parsed document and make it a case.

    Raises
    ------
    InvalidCase
        With a JSON pointer to every fault.
    """
    return loaded(_LOAD, document)


def load_visit(document: object) -> VisitRequest:
    """As :func:`load_case`, for what is asked of a visit's plan."""
    return loaded(_LOAD_VISIT, document)


def loaded(load: Callable[[object], T], document: object) -> T:
    """What a loader of the schemas makes of a document; raises InvalidCase with a JSON pointer to every fault."""
    try:
        return load(document)
    except DocumentError as error:
        raise InvalidCase([Fault(f.pointer, f.message, f.code) for f in error.faults]) from None


def pack_of(case: Case | VisitRequest, registry: Registry) -> LoadedPack:
    """The pack of a case's family.

    Raises
    ------
    InvalidCase
        When no loaded pack has it.
    """
    pack = registry.packs.get(case.family)
    if pack is None:
        hint = did_you_mean(case.family, registry.packs) or f"; loaded: {', '.join(registry.packs)}"
        raise InvalidCase([Fault("/family", f"no loaded pack has this family{hint}", "unknown_family")])
    return pack
