from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from probewright.review.graph import in_loops, joined

NODES = st.sampled_from("abcdefgh")
EDGES = st.lists(st.tuples(NODES, NODES).filter(lambda edge: edge[0] != edge[1]), max_size=16)


@given(EDGES)
def test_an_edge_is_in_a_loop_when_its_ends_stay_joined_without_it(edges):
    expected = [joined(edges[:i] + edges[i + 1 :], *edge) for i, edge in enumerate(edges)]
    assert in_loops(edges) == expected


def test_two_edges_side_by_side_are_a_loop_and_a_long_chain_is_none():
    assert in_loops([("a", "b"), ("b", "a"), ("b", "c")]) == [True, True, False]
    chain = [(str(i), str(i + 1)) for i in range(20_000)]
    assert not any(in_loops(chain))
    assert all(in_loops([*chain, ("20000", "0")]))
