"""Where the bands of a flow lie: which faults are drawn, how high they are, and what is thinned to be seen at all."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

#: All faults together that are not drawn by themselves; no fault's id is empty.
OTHERS = ""
#: More faults than this are not drawn by themselves.
MOST_FAULTS = 14
#: Height of all bands together and the most that one job has; what a name needs, and what lies between two faults.
_HEIGHT, _MOST_A_JOB, _NAME, _GAP = 380.0, 24.0, 17.0, 5.0
_THINNER = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 100_000, 1_000_000)

Pair = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Flow:
    """Jobs that one fault led before and that one leads now; they ``move`` when it is another one."""

    before: str
    after: str
    jobs: int
    moves: bool


@dataclass(frozen=True, slots=True)
class Node:
    """A fault on one side: how many jobs it leads, where it begins and how high it is."""

    fault: str
    jobs: int
    top: float
    height: float


@dataclass(frozen=True, slots=True)
class Band:
    """A flow as it is drawn: its upper edge on the left and on the right, and its height."""

    flow: Flow
    left: float
    right: float
    height: float


@dataclass(frozen=True, slots=True)
class Layout:
    """A whole flow; ``thinner`` is how much thinner than the others the bands are that do not move."""

    left: tuple[Node, ...]
    right: tuple[Node, ...]
    bands: tuple[Band, ...]
    height: float
    thinner: int
    bundled: int


def layout(counts: Mapping[Pair, int]) -> Layout:
    """Lay out a flow.

    Parameters
    ----------
    counts : mapping
        Jobs by the fault that led before and the one that leads now.
    """
    order, bundled = _order(counts)
    flows = _bundled(counts, order)
    moved, still = (sum(flow.jobs for flow in flows if flow.moves is moves) for moves in (True, False))
    # What moves has at least two fifths of the height.
    thinner = next((times for times in _THINNER if still / times <= 1.5 * moved), _THINNER[-1]) if moved else 1
    unit = min(_MOST_A_JOB, _HEIGHT / (moved + still / thinner))
    heights = {flow: flow.jobs * unit / (1 if flow.moves else thinner) for flow in flows}
    left = _side([(name, [flow for flow in flows if flow.before == name]) for name in order], heights)
    right = _side([(name, [flow for flow in flows if flow.after == name]) for name in order], heights)
    bands = _bands(flows, heights, left, right)
    height = max(side[-1].top + max(side[-1].height, _NAME) for side in (left, right))
    return Layout(left, right, bands, height, thinner, bundled)


def _order(counts: Mapping[Pair, int]) -> tuple[list[str], int]:
    """The faults as they are drawn, from above, the largest first; and how many have no place."""
    moved, led = Counter[str](), Counter[str]()
    for (before, after), jobs in counts.items():
        for fault in (before, after):
            led[fault] += jobs
            moved[fault] += jobs if before != after else 0
    ranked = sorted(led, key=lambda fault: (-moved[fault], -led[fault], fault))
    fits = len(ranked) <= MOST_FAULTS
    shown = ranked if fits else ranked[: MOST_FAULTS - 1]
    order = sorted(shown, key=lambda fault: (-led[fault], fault))
    return order if fits else [*order, OTHERS], len(ranked) - len(shown)


def _bundled(counts: Mapping[Pair, int], order: Sequence[str]) -> list[Flow]:
    """The flows between what is drawn, in the order in which they are."""
    shown, found = set(order), Counter[tuple[str, str, bool]]()
    for (before, after), jobs in counts.items():
        ends = (before if before in shown else OTHERS, after if after in shown else OTHERS)
        found[*ends, before != after] += jobs
    place = {fault: index for index, fault in enumerate(order)}
    ranked = sorted(found, key=lambda key: (place[key[0]], place[key[1]], key[2]))
    return [Flow(*key[:2], found[key], key[2]) for key in ranked]


def _side(named: Sequence[tuple[str, Sequence[Flow]]], heights: Mapping[Flow, float]) -> tuple[Node, ...]:
    nodes, top = [], 0.0
    for name, flows in named:
        if flows:
            height = sum(heights[flow] for flow in flows)
            nodes.append(Node(name, sum(flow.jobs for flow in flows), top, height))
            top += max(height, _NAME) + _GAP
    return tuple(nodes)


def _bands(
    flows: Sequence[Flow], heights: Mapping[Flow, float], left: Sequence[Node], right: Sequence[Node]
) -> tuple[Band, ...]:
    """Each from the next free place of its fault on the left to that on the right."""
    lefts, rights = ({node.fault: node.top for node in side} for side in (left, right))
    starts, ends = {}, {}
    for flow in flows:
        starts[flow] = lefts[flow.before]
        lefts[flow.before] += heights[flow]
    place = {node.fault: index for index, node in enumerate(left)}
    for flow in sorted(flows, key=lambda one: (place[one.before], one.moves)):
        ends[flow] = rights[flow.after]
        rights[flow.after] += heights[flow]
    # Those that move are drawn over those that do not.
    ranked = sorted(flows, key=lambda flow: flow.moves)
    return tuple(Band(flow, starts[flow], ends[flow], heights[flow]) for flow in ranked)
