"""Documents go out as JSON or not at all; lines come in whole or not at all."""

from __future__ import annotations

import io
import json
import math
from datetime import date
from types import MappingProxyType

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.client import BadAnswerError, UnsendableError, iter_ndjson
from probewright.client.documents import lines, written

SOME = settings(max_examples=100, deadline=None, derandomize=True)
whole = st.integers(-(2**63), 2**64 - 1)
finite = st.floats(allow_nan=False, allow_infinity=False)
text = st.text(st.characters(exclude_categories=["Cs"]))
documents = st.recursive(
    st.none() | st.booleans() | whole | finite | text,
    lambda inner: st.lists(inner) | st.dictionaries(text, inner), max_leaves=20,
)  # fmt: skip


@SOME
@given(documents)
def test_what_is_written_is_read_the_same_by_another_parser_and_is_one_line(document):
    body = written(document)
    assert json.loads(body) == document
    assert b"\n" not in body


@SOME
@given(documents, st.sampled_from([math.nan, math.inf, -math.inf, np.float64("nan"), np.float32("inf")]))
def test_a_number_that_is_not_finite_is_refused_wherever_it_is(document, number):
    with pytest.raises(UnsendableError, match="is not a finite number"):
        written({"deep": [document, {"here": (1, number)}]})


def test_the_place_of_a_number_is_a_json_pointer():
    # RFC 6901, section 3: '~' is written as '~0', and '/' as '~1'.
    with pytest.raises(UnsendableError, match=r"^/readings/1/a~1b~0c: nan is not"):
        written({"readings": [None, {"a/b~c": math.nan}]})


def test_numbers_of_other_libraries_days_and_mappings_are_written():
    document = {"n": np.float64(2.5), "i": np.int64(3), "s": np.float32(0.5), "day": date(2026, 3, 1),
                "m": MappingProxyType({"a": (None, 1)})}  # fmt: skip
    assert json.loads(written(document)) == {"n": 2.5, "i": 3, "s": 0.5, "day": "2026-03-01", "m": {"a": [None, 1]}}


@pytest.mark.parametrize("document", [{1, 2}, b"{}", {"x": object()}, {1: 2}, "\ud800", 2**64, iter([])])
def test_what_is_no_json_is_not_sent(document):
    with pytest.raises(UnsendableError, match="no JSON document"):
        written({"case": document})


def test_nesting_without_an_end_is_not_sent():
    document = []
    document.append(document)
    with pytest.raises(UnsendableError):
        written(document)


def test_records_are_not_mistaken_for_documents():
    from probewright_schemas.records import Case  # noqa: PLC0415  only here

    with pytest.raises(UnsendableError, match="Case"):
        written(Case("gas_range"))


@SOME
@given(st.lists(st.binary(max_size=30)), st.lists(st.integers(1, 40), min_size=1))
def test_lines_are_the_same_however_they_come(parts, sizes):
    stream = b"\n".join(part.replace(b"\n", b"") for part in parts)
    chunks, at = [], 0
    while at < len(stream):
        size = sizes[len(chunks) % len(sizes)]
        chunks.append(stream[at : at + size])
        at += size
    assert list(lines(chunks, "x")) == [line for line in stream.split(b"\n")[:-1] if line.strip()]


def test_a_line_is_given_before_more_is_asked_for():
    asked = []

    def chunks():
        for chunk in (b"a\nb", b"c\n", b"d\n"):
            asked.append(chunk)
            yield chunk

    coming = lines(chunks(), "x")
    assert (next(coming), len(asked)) == (b"a", 1)
    assert (next(coming), len(asked)) == (b"bc", 2)


def test_a_line_without_an_end_is_not_held_for_ever():
    taken = []

    def endless():
        while True:
            taken.append(1)
            yield b"x" * 1000

    with pytest.raises(BadAnswerError, match="more than 10000 bytes"):
        list(lines(endless(), "x", longest=10_000))
    assert len(taken) == 11


CONTENT = '{"a": 1}\n\n  \r\n{"b": "ä"}\r\n[2]'


def test_documents_of_a_file_are_read_from_a_path_or_whatever_gives_lines(tmp_path):
    path = tmp_path / "cases.ndjson"
    path.write_text(CONTENT, encoding="utf-8", newline="")
    wanted = [{"a": 1}, {"b": "ä"}, [2]]
    assert list(iter_ndjson(path)) == wanted
    assert list(iter_ndjson(str(path))) == wanted
    assert list(iter_ndjson(io.BytesIO(CONTENT.encode()))) == wanted
    assert list(iter_ndjson(io.StringIO(CONTENT))) == wanted
    assert list(iter_ndjson(CONTENT.splitlines())) == wanted


@pytest.mark.parametrize("bad", [b"{", b"NaN", b"\xff", b'{"a": 1} {"b": 2}'])
def test_a_bad_line_is_told_by_its_number(bad):
    coming = iter_ndjson([b"1\n", b"\n", bad])
    assert next(coming) == 1
    with pytest.raises(UnsendableError, match=r"^line 3 is not JSON"):
        next(coming)


def test_a_file_is_read_as_it_is_asked_for():
    taken = []

    def source():
        for number in range(10):
            taken.append(number)
            yield b"1\n"

    next(iter_ndjson(source()))
    assert taken == [0]
