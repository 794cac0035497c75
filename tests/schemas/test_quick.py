"""The quick way and the strict way read the same documents alike."""

from __future__ import annotations

import copy

import orjson
from hypothesis import example, given, settings
from hypothesis import strategies as st
from marshmallow import ValidationError

from probewright_schemas.case import CaseSchema
from probewright_schemas.fields import UncleanError

SCHEMA = CaseSchema()
QUICK = SCHEMA.quick()

FULL = {
    "family": "gas_range", "reference": "job", "options": {"fuel": "propane"}, "complaints": ["a", "b"],
    "working": ["c"],
    "conditions": {"ambient": {"value": 70, "unit": "degF"}, "set_point": {"value": 350.5, "unit": "degF"}},
    "meters": {"dmm": {"kind": "multimeter", "counts": 2, "leads_zeroed": True, "sensing": "average"}},
    "readings": [
        {"test": "t", "value": 2.6, "unit": "A", "meter": "dmm"}, {"test": "t", "values": [1, 2.5], "unit": "V"},
        {"test": "t", "over_range": True}, {"test": "t", "seen": "x", "under_range": False, "after_repair": "r"},
    ],
    "tech_sheet": {"t": {"low": 1, "high": 2, "unit": "A"}},
    "repairs_done": [{"repair": "r", "complaint_remains": False}], "costs": {"callback": 1, "parts": {"p": 2}},
    "visit": {"tools": [], "skills": ["s"], "parts_on_hand": ["p", "q"]}, "effort": "none",
}  # fmt: skip

NAMES = st.sampled_from(
    ["family", "value", "values", "unit", "test", "seen", "over_range", "meter", "kind", "low", "tools", "x", "", "dmm"]
)
PLAIN = st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5)
ANYTHING = st.recursive(
    PLAIN | st.sampled_from(["A", "quick", "dmm"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(NAMES, inner, max_size=3),
    max_leaves=6,
)


def places(document, path=()):
    yield path
    if isinstance(document, dict):
        for key, inner in document.items():
            yield from places(inner, (*path, key))
    elif isinstance(document, list):
        for index, inner in enumerate(document):
            yield from places(inner, (*path, index))


PLACES = list(places(FULL))
EDIT = st.tuples(st.sampled_from(PLACES), st.sampled_from(["put", "remove", "add"]), NAMES, ANYTHING)
EDITS = st.lists(EDIT, max_size=3)


def edited(edits):
    """The full case with places overwritten, removed, or given a member more."""
    document = copy.deepcopy(FULL)
    for path, what, name, value in edits:
        here = document
        try:
            for step in path[:-1]:
                here = here[step]
            if what == "add":
                here[path[-1]][name] = value
            elif what == "remove":
                del here[path[-1]]
            elif path:
                here[path[-1]] = value
            else:
                document = value
        except (IndexError, KeyError, TypeError):
            continue  # an earlier edit took the place away
    return document


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
