"""From bytes to a case and the pack that it is about, with every fault named.

May import: ``packs``, ``errors``, the schemas.
"""

from __future__ import annotations

import orjson

from probewright.errors import Fault, InvalidCase, RequestError
from probewright.packs.registry import LoadedPack, Registry
from probewright_schemas.faults import DocumentError
from probewright_schemas.load import case_loader
from probewright_schemas.records import Case
from probewright_schemas.suggest import did_you_mean

_LOAD = case_loader()


class MalformedJsonError(RequestError):
    """A body is not JSON (RFC 8259); ``line`` and ``column`` count from 1."""

    code = "malformed_json"

    def __init__(self, reason: str, line: int, column: int) -> None:
        self.reason, self.line, self.column = reason, line, column
        super().__init__(f"line {line}, column {column}: {reason}")


def read_json(body: bytes) -> object:
    """Parse a body.

    Of members with the same name in one object the last counts, as with most parsers.  NaN, infinities, numbers too
    large for a float, lone surrogates and more than 1024 levels of nesting are refused.

    Raises
    ------
    MalformedJsonError
        With the place where reading stopped.
    """
    try:
        return orjson.loads(body)
    except orjson.JSONDecodeError as error:
        # Beyond some depth orjson gives up, and calls it a limit or a failed allocation as it happens.
        too_deep = "depth" in error.msg or "allocate" in error.msg
        raise MalformedJsonError("nests too deep" if too_deep else error.msg, error.lineno, error.colno) from None


def load_case(document: object) -> Case:
    """Check a parsed document and make it a case.

    Raises
    ------
    InvalidCase
        With a JSON pointer to every fault.
    """
    try:
        return _LOAD(document)
    except DocumentError as error:
        raise InvalidCase([Fault(f.pointer, f.message, f.code) for f in error.faults]) from None


def pack_of(case: Case, registry: Registry) -> LoadedPack:
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
