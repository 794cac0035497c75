"""Documents to records."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from marshmallow import ValidationError

from probewright_schemas.base import RecordSchema
from probewright_schemas.case import CaseSchema
from probewright_schemas.faults import DocumentError, DocumentFault, faults_of
from probewright_schemas.fields import UncleanError
from probewright_schemas.records import Case
from probewright_schemas.visit import VisitRequestSchema
from probewright_schemas.visit_records import VisitRequest

DEEPEST = 16


def depth_exceeds(document: object, deepest: int) -> bool:
    """Whether arrays and objects nest deeper than ``deepest``; looks at no level below that."""
    level = [document]
    for _ in range(deepest + 1):
        level = [
            inner
            for outer in level
            if isinstance(outer, (dict, list))
            for inner in (outer.values() if isinstance(outer, dict) else outer)
        ]
        if not level:
            return False
    return True


def case_loader() -> Callable[[object], Case]:
    """Compile a function from a parsed JSON document to a case.

    Clean documents take the quick way.  Anything else goes through marshmallow, which either accepts it or words
    every fault; the function then raises :class:`DocumentError`.
    """
    return loader(CaseSchema())


def visit_loader() -> Callable[[object], VisitRequest]:
    """As :func:`case_loader`, for what is asked of a visit's plan."""
    return loader(VisitRequestSchema())


def loader(schema: RecordSchema) -> Callable[[object], Any]:
    """As :func:`case_loader`, for documents of any schema."""
    quick = schema.quick()

    def load(document: object) -> Any:
        try:
            return quick(document)
        except UncleanError:
            return _strict(schema, document)

    return load


def _strict(schema: RecordSchema, document: object) -> Any:
    if depth_exceeds(document, DEEPEST):
        raise DocumentError([DocumentFault("", f"nests deeper than {DEEPEST} levels", "too_deep")])
    try:
        return schema.load(document)  # type: ignore[arg-type]  # anything may come: it is what is checked
    except ValidationError as error:
        raise DocumentError(faults_of(error.messages, schema)) from None
