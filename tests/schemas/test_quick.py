"""The quick way and the strict way read the same documents alike."""

from __future__ import annotations

import orjson
from hypothesis import example, given, settings
from marshmallow import ValidationError

from probewright_schemas.case import CaseSchema
from probewright_schemas.fields import UncleanError
from support.edits import ANYTHING, EDITS, FULL, edited

SCHEMA = CaseSchema()
QUICK = SCHEMA.quick()


def agree(document):
    try:
        quick = QUICK(document)
    except UncleanError:
        return None
    strict = SCHEMA.load(document)
    assert repr(quick) == repr(strict)
    return quick


@settings(max_examples=400, deadline=None, derandomize=True)
@given(EDITS)
@example([])
def test_what_the_quick_way_accepts_the_strict_way_reads_alike(edits):
    agree(edited(edits))


@settings(max_examples=200, deadline=None, derandomize=True)
@given(ANYTHING)
def test_arbitrary_documents_break_neither(document):
    agree(document)


def test_clean_documents_take_the_quick_way():
    assert agree(FULL) is not None
    assert agree({"family": "x"}) is not None
    assert agree(orjson.loads(orjson.dumps(FULL))) is not None


@settings(max_examples=200, deadline=None, derandomize=True)
@given(EDITS)
def test_what_the_strict_way_refuses_the_quick_way_refuses(edits):
    document = edited(edits)
    try:
        SCHEMA.load(document)
    except ValidationError:
        try:
            QUICK(document)
        except UncleanError:
            return
        raise AssertionError("accepted by the quick way alone") from None
