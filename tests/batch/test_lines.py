from __future__ import annotations

import tracemalloc

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.batch.lines import MOST_BYTES, MOST_LINES, Line, pieces


def lines_of(*arrivals, most=1000):
    return [line for piece in pieces(arrivals, most) for line in piece]


def test_lines_are_numbered_as_they_stand_and_blank_ones_left_out():
    assert lines_of(b"a\n\n  \t\r\nb\r\n\nc") == [Line(1, b"a"), Line(4, b"b\r"), Line(6, b"c")]


@pytest.mark.parametrize("body", [b"", b"\n", b" \n\t\n\r\n "])
def test_nothing_makes_no_line(body):
    assert list(pieces([body], 1000)) == []


def test_a_last_line_without_its_end_counts():
    assert lines_of(b"a\nb") == lines_of(b"a\nb\n") == [Line(1, b"a"), Line(2, b"b")]


def test_a_line_that_is_too_long_is_dropped_to_its_end_and_the_next_is_read():
    assert lines_of(b"12345\n123456\n12345", most=5) == [Line(1, b"12345"), Line(2, None), Line(3, b"12345")]
    assert lines_of(b"123", b"456", b"789\nx", most=5) == [Line(1, None), Line(2, b"x")]


def test_a_last_line_that_is_too_long_is_told():
    assert lines_of(b"a\n", b"123456", most=5) == [Line(1, b"a"), Line(2, None)]


def test_blanks_that_are_too_long_are_told_as_well():
    """Nobody can know that nothing else would have come."""
    assert lines_of(b" " * 6 + b"\n", most=5) == [Line(1, None)]


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.lists(st.binary(max_size=12).map(lambda b: b.replace(b"\n", b"")), max_size=60), st.data())
def test_where_arrivals_are_cut_makes_no_difference(contents, data):
    body = b"\n".join(contents)
    cuts = sorted(data.draw(st.lists(st.integers(0, len(body)), max_size=10)))
    arrivals = [body[a:b] for a, b in zip([0, *cuts], [*cuts, len(body)], strict=True)]
    wanted = [
        Line(number, content if len(content) <= 8 else None)
        for number, content in enumerate(contents, 1)
        if content.strip(b" \t\r") or len(content) > 8
    ]
    assert lines_of(*arrivals, most=8) == wanted


def test_whole_lines_are_handed_on_before_more_is_asked_for():
    asked = []

    def arrivals():
        for arrival in (b"a\nb", b"b\n", b"c"):
            asked.append(arrival)
            yield arrival

    found = pieces(arrivals(), 100)
    assert (next(found), len(asked)) == ([Line(1, b"a")], 1)
    assert (next(found), len(asked)) == ([Line(2, b"bb")], 2)
    assert (next(found), len(asked)) == ([Line(3, b"c")], 3)
    assert next(found, None) is None


def test_pieces_are_small_in_lines_and_in_bytes():
    many = list(pieces([b"x\n" * (3 * MOST_LINES + 1)], 100))
    assert [len(piece) for piece in many] == [MOST_LINES] * 3 + [1]
    half = b"x" * (MOST_BYTES // 2) + b"\n"
    assert [len(piece) for piece in pieces([half * 5], MOST_BYTES)] == [2, 2, 1]
    whole = b"x" * (2 * MOST_BYTES) + b"\n"
    assert [len(piece) for piece in pieces([whole * 2], 2 * MOST_BYTES)] == [1, 1]


def test_a_line_without_end_is_not_held():
    tracemalloc.start()
    try:
        found = list(pieces((b"x" * 65_536 for _ in range(1000)), 100_000))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert found == [[Line(1, None)]]
    assert peak < 1_000_000  # bytes: of 65 million that came in
