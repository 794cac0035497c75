"""Wiring as a graph: what is joined, and which edges lie in a loop."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

Edge = tuple[str, str]


def joined(edges: Iterable[Edge], first: str, second: str) -> bool:
    """Whether a way leads from one node to another."""
    near: dict[str, set[str]] = {}
    for a, b in edges:
        near.setdefault(a, set()).add(b)
        near.setdefault(b, set()).add(a)
    reached, open_ = {first}, [first]
    while open_:
        fresh = near.get(open_.pop(), set()) - reached
        reached |= fresh
        open_ += fresh
    return second in reached


def in_loops(edges: Sequence[Edge]) -> list[bool]:
    """Whether each edge lies in a loop of edges: whether its ends stay joined without it.

    Found by depth-first search: an edge is a bridge when nothing past it leads back before it (Tarjan, A note on
    finding the bridges of a graph, Information Processing Letters 2, 1974, 160-161).
    """
    near: dict[str, list[tuple[str, int]]] = {}
    for index, (a, b) in enumerate(edges):
        near.setdefault(a, []).append((b, index))
        near.setdefault(b, []).append((a, index))
    looped = [True] * len(edges)
    order: dict[str, int] = {}
    low: dict[str, int] = {}
    for root in near:
        if root not in order:
            _search(root, near, order, low, looped)
    return looped


def _search(
    root: str, near: dict[str, list[tuple[str, int]]], order: dict[str, int], low: dict[str, int], looped: list[bool],
) -> None:  # fmt: skip
    """Depth-first from one node, without recursion: circuits may be long."""
    order[root] = low[root] = len(order)
    stack = [(root, -1, iter(near[root]))]
    while stack:
        node, came_by, rest = stack[-1]
        step = next(rest, None)
        if step is None:
            stack.pop()
            if stack:
                before = stack[-1][0]
                low[before] = min(low[before], low[node])
                if low[node] > order[before]:
                    looped[came_by] = False
            continue
        other, edge = step
        if edge == came_by:
            continue
        if other in order:
            low[node] = min(low[node], order[other])
        else:
            order[other] = low[other] = len(order)
            stack.append((other, edge, iter(near[other])))
