"""A decision laid out for the compiled search."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from probewright.decision.kernels import Arrays, Space
from probewright.decision.problem import Decision

Array = NDArray[np.float64]
Index = NDArray[np.int64]

#: A repair that costs nothing would rank infinitely high.
_LEAST_COST = 1e-6


def arrays(decision: Decision) -> Arrays:
    """What the compiled functions take."""
    d = decision
    repairs = len(d.repair_minutes)
    back = d.move[d.repair_state, d.running] if repairs else np.zeros(0)
    there = d.move[d.running, d.repair_state] if repairs else np.zeros(0)
    own = d.rate * (d.repair_minutes + back + d.check_minutes) + d.repair_extra
    cost = np.maximum(own + d.rate * there, _LEAST_COST)
    rows, columns, chance, to_one, to_other = _effects(d)
    group_zones, group = np.unique(d.repair_zones, return_inverse=True)
    member = np.argsort(group, kind="stable")
    stops = np.zeros(len(d.outcome), dtype=np.bool_) if d.stops is None else d.stops
    touched_from, touched = _touched(d, rows, columns)
    return Arrays(
        pair=_ints(d.pair), course=_ints(d.course), courses=int(d.course.max(initial=0)) + 1,
        way_out=_floats(d.way_out), outcome=_floats(d.outcome), starts=_ints(d.starts),
        stops=np.ascontiguousarray(stops, dtype=np.bool_),
        test_minutes=_floats(d.test_minutes), test_extra=_floats(d.test_extra),
        test_state=_ints(d.test_state), test_zones=_ints(d.test_zones),
        repair_minutes=_floats(d.repair_minutes), repair_extra=_floats(d.repair_extra),
        finish=_floats(np.zeros(repairs) if d.finish is None else d.finish),
        repair_state=_ints(d.repair_state), repair_zones=_ints(d.repair_zones),
        repair_cost=cost, per_cost=1.0 / cost, away=np.ascontiguousarray(d.away, dtype=np.bool_),
        zone_minutes=_floats(d.zone_minutes), move=_floats(d.move),
        can_open=np.ascontiguousarray(d.can_open, dtype=np.bool_), safe=int(d.safe), running=int(d.running),
        check_minutes=float(d.check_minutes), rate=float(d.rate),
        cured_from=_ends(rows, repairs), cured=columns, chance=chance, credit=chance + (to_one + to_other) / 2,
        helps=chance + to_one + to_other, to_one=to_one, to_other=to_other,
        touched_from=touched_from, touched=touched,
        group=_ints(group.reshape(-1)), group_zones=_ints(group_zones),
        member_from=_ends(group.reshape(-1)[member], len(group_zones)), member=_ints(member),
        least=_least(d, own, rows, columns),
    )  # fmt: skip


def space(decision: Decision) -> Space:
    """Working space for the decision."""
    count, tests, repairs = len(decision.weights), len(decision.test_minutes), len(decision.repair_minutes)
    depth = tests + repairs + 4
    levels, at = np.zeros((depth, count)), np.zeros((depth, 7), dtype=np.int64)
    return Space(
        levels=levels, at=at, sums=np.zeros((depth, 6)),
        outcome=np.zeros(count), weights=np.zeros(count), shares=np.zeros(count),
        live=np.zeros(count, dtype=np.int64), masses=np.zeros(int(np.diff(decision.starts).max(initial=1))),
        chance=np.zeros(repairs), reach=np.zeros(repairs), pays=np.zeros(repairs, dtype=np.bool_),
        ratio=np.zeros(repairs), first=np.zeros(repairs, dtype=np.int64),
        stale=np.zeros(repairs, dtype=np.bool_), used=np.zeros(repairs, dtype=np.bool_),
        steps=np.zeros((repairs, 4)), tally=np.zeros(2, dtype=np.int64),
    )  # fmt: skip


def _effects(d: Decision) -> tuple[Index, Index, Array, Array, Array]:
    """Where each repair changes something, and what: rows (repairs) in order, columns (hypotheses), and chances."""
    first, second = d.pair[:, 0], d.pair[:, 1]
    single = first < 0
    one = np.where(single, d.cures, d.cures[:, first])
    other = np.where(single, 0.0, d.cures[:, second])
    rows, columns = np.nonzero((one > 0) | (other > 0))
    one, other, alone = one[rows, columns], other[rows, columns], single[columns]
    chance = np.where(alone, one, one * other)
    to_one = np.where(alone, 0.0, (1 - one) * other)
    to_other = np.where(alone, 0.0, one * (1 - other))
    return _ints(rows), _ints(columns), _floats(chance), _floats(to_one), _floats(to_other)


def _touched(d: Decision, rows: Index, columns: Index) -> tuple[Index, Index]:
    """The repairs whose chances change when one has been made, as ends and a list."""
    repairs, count = len(d.repair_minutes), len(d.weights)
    changes = np.zeros((repairs, count), dtype=bool)
    changes[rows, columns] = True
    moved = changes.copy()
    for both in np.flatnonzero(d.pair[:, 0] >= 0):
        for single in d.pair[both]:
            moved[:, single] |= changes[:, both]
    shared = (moved.astype(np.int64) @ changes.T.astype(np.int64)) > 0
    np.fill_diagonal(shared, val=False)
    of, touched = np.nonzero(shared)
    return _ends(of, repairs), _ints(touched)


def _least(d: Decision, own: Array, rows: Index, columns: Index) -> Array:
    """What each hypothesis costs at least: the cheapest repair that does anything about it, or handing over."""
    least = d.way_out.astype(np.float64)
    np.minimum.at(least, columns, own[rows])
    return least


def _ends(sorted_rows: Index, count: int) -> Index:
    return _ints(np.searchsorted(sorted_rows, np.arange(count + 1)))


def _ints(values: Index) -> Index:
    return np.ascontiguousarray(values, dtype=np.int64)


def _floats(values: Array) -> Array:
    return np.ascontiguousarray(values, dtype=np.float64)
