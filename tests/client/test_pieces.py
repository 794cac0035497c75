"""Pieces keep the order, keep their bounds, and take no more than they must."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.client.pieces import Size, pieces

SOME = settings(max_examples=200, deadline=None, derandomize=True)
#: A text of so many letters, as a document of two bytes more; None for one that cannot be sent.
lengths = st.lists(st.none() | st.integers(0, 40), max_size=40)


class Counting:
    """Counts what was taken of it."""

    def __init__(self, documents):
        self.documents, self.taken = documents, 0

    def __iter__(self):
        for document in self.documents:
            self.taken += 1
            yield document


@SOME
@given(lengths, st.integers(1, 7), st.integers(1, 100))
def test_pieces_are_whole_in_order_and_within_their_bounds(given_lengths, most_lines, most_bytes):
    documents = [math.nan if length is None else "x" * length for length in given_lengths]
    source = Counting(documents)
    seen = []
    for piece in pieces(source, Size(most_lines, most_bytes)):
        seen += piece
        assert 0 < len(piece) <= most_lines
        assert sum(len(e.line or b"") + 1 for e in piece) <= most_bytes or len(piece) == 1
        assert source.taken - len(seen) <= 1  # the one that did not fit
        assert source.taken - (len(seen) - len(piece)) <= most_lines
    assert [entry.index for entry in seen] == list(range(len(documents)))
    assert [entry.line for entry in seen] == [
        None if length is None else b'"%b"' % (b"x" * length) for length in given_lengths
    ]
    assert all((entry.problem is None) != (entry.line is None) for entry in seen)


@pytest.mark.parametrize("size", [(0, 1), (1, 0), (-1, 5)])
def test_a_piece_holds_something(size):
    with pytest.raises(ValueError, match="at least 1"):
        Size(*size)
