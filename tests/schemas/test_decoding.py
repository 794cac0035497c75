"""What is read from bytes at once is what the strict way reads of the same bytes, and less of it."""

from __future__ import annotations

import json
from dataclasses import fields

import orjson
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from marshmallow import fields as marshmallow_fields

from probewright_schemas.base import RecordSchema
from probewright_schemas.batch import StoredJobSchema
from probewright_schemas.case import CaseSchema, LimitsSchema, ReadingSchema
from probewright_schemas.decoding import Decoder
from probewright_schemas.fields import UncleanError
from probewright_schemas.load import loader
from probewright_schemas.records import Quantity
from support.edits import ANYTHING, EDITS, FULL, edited

STRICT, DECODER = CaseSchema(), Decoder(CaseSchema())
JOB = {
    "case": FULL, "kept": {"anything": [None, {"x": 1e300}]},
    "answer": {
        "pack": {"family": "gas_range", "version": "1", "digest": "sha256:0", "more": 1}, "notice": "Left alone.",
        "readings": [{"test": "t", "verdict": "within", "probability_within": 1, "findings": []}],
        "faults": [{"fault": "f", "probability": 0.5, "evidence": [{"from": "t", "decibans": -3}]}],
        "unexplained": 0, "no_fault": 0.25, "next": {"kind": "done", "id": "", "title": "T"}, "computation": "sha256:1",
    },
}  # fmt: skip


def read(decoder, line):
    """The record of a line, or None where it is not read."""
    try:
        return decoder.record(decoder.read(line))
    except UncleanError:
        return None


def agree(decoder, schema, line):
    """Whatever is read is what marshmallow makes of it."""
    found = read(decoder, line)
    if found is not None:
        assert repr(found) == repr(schema.load(orjson.loads(line)))
    return found


@settings(max_examples=500, deadline=None, derandomize=True)
@given(EDITS)
@example([])
def test_what_is_read_the_strict_way_reads_alike(edits):
    # As some write JSON: with NaN, which is none, and escapes.
    agree(DECODER, STRICT, json.dumps(edited(edits)).encode())


@settings(max_examples=300, deadline=None, derandomize=True)
@given(EDITS, ANYTHING)
def test_of_a_stored_job_what_nobody_asks_for_is_left_alone(edits, anything):
    document = {**JOB, "case": edited(edits), "more": anything}
    agree(Decoder(StoredJobSchema()), StoredJobSchema(), json.dumps(document).encode())


@settings(max_examples=300, deadline=None, derandomize=True)
@given(st.binary(max_size=40) | ANYTHING.map(lambda document: json.dumps(document).encode()))
def test_bytes_of_any_kind_break_nothing(line):
    agree(DECODER, STRICT, line)


def test_clean_lines_are_read():
    for document in (FULL, {"family": "x"}):
        assert agree(DECODER, STRICT, orjson.dumps(document)) is not None
        assert agree(DECODER, STRICT, json.dumps(document, indent=1).encode()) is not None
    assert agree(Decoder(StoredJobSchema()), StoredJobSchema(), orjson.dumps(JOB)) is not None


def test_what_was_read_has_the_members_of_its_record():
    case = DECODER.read(orjson.dumps(FULL))
    assert case.readings[0].value == 2.6
    assert case.conditions.ambient.unit == "degF"
    assert case.costs.parts == {"p": 2.0}
    assert {field.name for field in fields(DECODER.record(case))} == set(case.__struct_fields__)


@pytest.mark.parametrize("line", [
    b"", b"{", b'{"family": "x"} x', b'{"family": "x",}', b'{"family": "\x7f"}', b'{"family": "\xc3\xa9"}',
    b'{"family": "\xff"}', b'{"family": "a\\u0009"}', b'{"family": ""}', b'{"family": null}', b'{"family": 1}',
    b'{"family": "x", "x": 1}', b'{"family": "x", "readings": {}}', b'{"family": "x", "day": "2026-02-30"}',
    b'{"family": "x", "complaints": ["a", "a"]}', b'{"family": "x", "options": {"": "y"}}',
    b'{"family": "x", "readings": [{"test": "t"}]}', b'{"family": "x", "readings": [{"test": "t", "value": 1}]}',
    b'{"family": "x", "readings": [{"test": "t", "seen": "a", "meter": "m"}]}',
    b'{"family": "x", "costs": {"callback": -1}}', b'{"family": "x", "costs": {"callback": true}}',
    b'{"family": "x", "costs": {"callback": 1e999}}', b'{"family": "x", "effort": "most"}',
    b'{"family": "x", "tech_sheet": {"t": {"unit": "A"}}}', b'{"family": "' + b"x" * 101 + b'"}',
    b'{"family": "x", "working": [' + b"[" * 2000 + b"]" * 2000 + b"]}",
])  # fmt: skip
def test_what_is_not_clean_is_left_to_the_strict_way(line):
    with pytest.raises(UncleanError):
        DECODER.read(line)


def test_rules_that_nobody_can_check_and_fields_of_other_kinds_are_refused_at_once():
    class Unchecked(RecordSchema):
        record = Quantity
        rules = (lambda _: (),)

    class Foreign(RecordSchema):
        record = Quantity
        value, unit = marshmallow_fields.Float(), marshmallow_fields.String()

    with pytest.raises(TypeError, match="Unchecked has rules"):
        Decoder(Unchecked())
    with pytest.raises(TypeError, match="no way to decode a Float"):
        Decoder(Foreign())


RESULTS = {"value": 1.0, "values": (1.0,), "seen": "x", "over_range": True, "under_range": True}


@given(st.sets(st.sampled_from(sorted(RESULTS))), st.booleans(), st.booleans())
def test_readings_that_pass_for_clean_obey_the_rule(given_results, unit, correction):
    document = {"test": "t"} | {name: RESULTS[name] for name in given_results}
    document |= ({"unit": "A"} if unit else {}) | ({"correction": {"gain": 1.1}} if correction else {})
    line = json.dumps(document).encode()
    obeyed = not ReadingSchema.rules[0](json.loads(line))
    assert (read(Decoder(ReadingSchema()), line) is not None) == obeyed


@given(*[st.none() | st.floats(-9, 9)] * 2)
def test_limits_that_pass_for_clean_obey_the_rule(low, high):
    sides = {name: value for name, value in (("low", low), ("high", high)) if value is not None}
    line = json.dumps({"unit": "A", **sides}).encode()
    assert (read(Decoder(LimitsSchema()), line) is None) == bool(LimitsSchema.rules[0](json.loads(line)))


@pytest.mark.parametrize("high", [2**53, 2**53 + 1, 2**53 + 2])
def test_limits_that_no_float_tells_apart_are_left_to_the_strict_way(high):
    line = json.dumps({"unit": "A", "low": 2**53 + 1, "high": high}).encode()
    assert (read(Decoder(LimitsSchema()), line) is None) == (high < 2**53 + 2)


def test_the_quick_loader_reads_the_same():
    assert loader(CaseSchema())(orjson.loads(orjson.dumps(FULL))) == read(DECODER, orjson.dumps(FULL))
