"""The least expected cost of a decision, exactly: dynamic programming, for tests alone.

Depth first with a memo.  Of all steps those are tried first whose cost with a lower bound for what follows is least;
once that bound reaches the best found, no other step can be better.  The lower bound is what a job would cost if one
knew what is wrong: the cheaper of the way out and the cheapest repair that cures it, on the way that leads there.

Costs are taken from the words of :class:`probewright.decision.problem.Decision`, not from the code of the search.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numba
import numpy as np
from numpy.typing import NDArray

from probewright.decision.problem import Decision

Array = NDArray[np.float64]
Index = NDArray[np.int64]


class Arrays(NamedTuple):
    """A decision as the compiled code takes it."""

    pair: Index
    way_out: Array
    outcome: Array
    starts: Index
    test_own: Array
    test_state: Index
    test_zones: Index
    cures: Array
    repair_own: Array
    repair_state: Index
    repair_zones: Index
    zone_cost: Array
    move: Array
    nearest: Array
    can_open: NDArray[np.bool_]
    safe: int
    running: int
    has_pairs: bool
    curers_from: Index
    curers: Index
    stops: NDArray[np.bool_]


def exact(decision: Decision) -> float:
    """The least expected cost, for weights that add up to 1."""
    return solved(decision)[0]


def solved(decision: Decision) -> tuple[float, int]:
    """The least expected cost, and how many states were met on the way to it."""
    memo = numba.typed.Dict.empty(numba.int64, numba.float64)
    weights = decision.weights / decision.weights.sum()
    least = _value(_arrays(decision), weights, 0, 0, decision.opened, decision.state, memo)
    return float(least), len(memo)


def _arrays(decision: Decision) -> Arrays:
    rate, move = decision.rate, decision.move * decision.rate
    if np.diff(decision.starts).max(initial=0) > 7 or len(decision.test_minutes) * 3 + len(decision.cures) > 60:
        raise ValueError("too many tests, outcomes or repairs to be solved exactly")
    return Arrays(
        decision.pair.astype(np.int64),
        decision.way_out,
        decision.outcome,
        decision.starts.astype(np.int64),
        decision.test_minutes * rate + decision.test_extra,
        decision.test_state.astype(np.int64),
        decision.test_zones.astype(np.int64),
        decision.cures,
        (decision.repair_minutes + decision.check_minutes) * rate + decision.repair_extra,
        decision.repair_state.astype(np.int64),
        decision.repair_zones.astype(np.int64),
        decision.zone_minutes * rate,
        move,
        _nearest(move),
        decision.can_open,
        int(decision.safe),
        int(decision.running),
        bool((decision.pair[:, 0] >= 0).any()),
        np.concatenate(([0], np.cumsum((decision.cures > 0).sum(axis=0)))).astype(np.int64),
        np.nonzero(decision.cures.T > 0)[1].astype(np.int64),
        np.zeros(len(decision.outcome), dtype=np.bool_) if decision.stops is None else decision.stops,
    )


def _nearest(move: Array) -> Array:
    """The cheapest way from each state to each, over any others."""
    least = move.copy()
    for k in range(move.shape[1]):
        least = np.minimum(least, least[:, k : k + 1] + least[k : k + 1])
    least[np.arange(move.shape[1]), np.arange(move.shape[1])] = 0.0
    return least


@numba.njit(cache=True)
def _way(p: Any, state: int, opened: int, target: int, zones: int) -> tuple[float, int]:
    """What it costs to be where a step is done, and the state that this is."""
    spent, there = 0.0, state if target == -1 else target
    closed = zones & ~opened
    for z in range(len(p.zone_cost)):
        if closed >> z & 1:
            spent += p.zone_cost[z]
    if closed and not p.can_open[there]:
        if not p.can_open[state]:
            spent += p.move[state, p.safe]
            state = p.safe
        if target == -1:
            there = state
    if there != state:
        spent += p.move[state, there]
    return spent, there


@numba.njit(cache=True)
def _repair_cost(p: Any, r: int, state: int, opened: int) -> float:
    spent, there = _way(p, state, opened, p.repair_state[r], p.repair_zones[r])
    back = p.move[there, p.running] if there != p.running else 0.0
    return spent + p.repair_own[r] + back


@numba.njit(cache=True)
def _fail(p: Any, weights: Array, r: int, left: Array) -> None:
    """Weights once a repair has not helped."""
    for f in range(len(weights)):
        left[f] = weights[f] * (1.0 - p.cures[r, f])
    if p.has_pairs:
        for f in range(len(weights)):
            one, other = p.pair[f]
            if one >= 0:
                a, b = p.cures[r, one], p.cures[r, other]
                left[f] = weights[f] * (1.0 - a) * (1.0 - b)
                left[one] += weights[f] * (1.0 - a) * b
                left[other] += weights[f] * a * (1.0 - b)


@numba.njit(cache=True)
def _curing(p: Any, f: int, repaired: int, opened: int, state: int) -> float:
    """What the cheapest repair that may cure a fault costs at least."""
    least = np.inf
    for k in range(p.curers_from[f], p.curers_from[f + 1]):
        r = p.curers[k]
        if repaired >> r & 1:
            continue
        cost, target = p.repair_own[r], p.repair_state[r]
        if target != -1:
            cost += p.nearest[state, target] + p.nearest[target, p.running]
        closed, z = p.repair_zones[r] & ~opened, 0
        while closed >> z:
            if closed >> z & 1:
                cost += p.zone_cost[z]
            z += 1
        least = min(least, cost)
    return least


@numba.njit(cache=True)
def _bound(p: Any, weights: Array, repaired: int, opened: int, state: int) -> float:
    """What is left costs at least as much as if one knew the truth."""
    total = 0.0
    for f in range(len(weights)):
        if weights[f] > 0.0:
            one, other = p.pair[f]
            if one < 0:
                least = min(p.way_out[f], _curing(p, f, repaired, opened, state))
            else:
                out = min(p.way_out[f], p.way_out[one], p.way_out[other])
                both = max(_curing(p, one, repaired, opened, state), _curing(p, other, repaired, opened, state))
                least = min(out, both)
            total += weights[f] * least
    return total


@numba.njit(cache=True)
def _key(p: Any, weights: Array, shown: Any, repaired: Any, state: Any) -> Any:
    """What the value depends on.  With pairs the order of steps matters too, so the weights themselves are hashed."""
    key = (shown << (len(p.repair_own) + 3)) | (repaired << 3) | state
    if p.has_pairs:
        for w in weights:
            key = (key ^ np.int64(np.rint(w * 2.0**50))) * np.int64(0x2127599BF4325C37)
            key ^= key >> 29
    return key


@numba.njit(cache=True)
def _at_least(
    p: Any, weights: Array, mass: float, shown: int, repaired: int, opened: int, state: int, after: Array
) -> Array:
    """What every test, and then every repair, costs at least with all that follows."""
    tests, repairs = len(p.test_own), len(p.repair_own)
    least = np.full(tests + repairs, np.inf)
    for t in range(tests):
        if shown >> (3 * t) & 7 == 0:
            spent, there = _way(p, state, opened, p.test_state[t], p.test_zones[t])
            follows = _bound(p, weights, repaired, opened | p.test_zones[t], there)
            least[t] = (spent + p.test_own[t]) * mass + follows
    for r in range(repairs):
        if repaired >> r & 1 == 0:
            _fail(p, weights, r, after)
            follows = _bound(p, after, repaired | 1 << r, opened | p.repair_zones[r], p.running)
            least[tests + r] = _repair_cost(p, r, state, opened) * mass + follows
    return least


@numba.njit(cache=True)
def _value(p: Any, weights: Array, shown: int, repaired: int, opened: int, state: int, memo: Any) -> float:
    """Least cost of what is left; weights add up to the probability that one gets here.

    ``shown`` has three bits for each test: its outcome, from 1 up, or 0 where it was not done.
    """
    best, mass = (weights * p.way_out).sum(), weights.sum()
    if mass <= 1e-15:
        return best
    key = _key(p, weights, shown, repaired, state)
    known = memo.get(key, -1.0)
    if known >= 0.0:
        return known
    after = np.empty(len(weights))
    least = _at_least(p, weights, mass, shown, repaired, opened, state, after)
    for step in np.argsort(least):
        if least[step] >= best:
            break
        if step >= len(p.test_own):
            r = step - len(p.test_own)
            _fail(p, weights, r, after)
            done = _repair_cost(p, r, state, opened) * mass
            done += _value(p, after, shown, repaired | 1 << r, opened | p.repair_zones[r], p.running, memo)
        else:
            t = step
            there, zones = _way(p, state, opened, p.test_state[t], p.test_zones[t])[1], opened | p.test_zones[t]
            done = least[t]
            for o in range(p.starts[t], p.starts[t + 1]):
                # An outcome's bound gives way to its value; if even so it cannot pay, the rest is not looked at.
                for f in range(len(weights)):
                    after[f] = weights[f] * p.outcome[o, f]
                code = shown | (o - p.starts[t] + 1) << (3 * t)
                bound = _bound(p, after, repaired, zones, there)
                if p.stops[o]:
                    done += (after * p.way_out).sum() - bound
                else:
                    done += _value(p, after, code, repaired, zones, there, memo) - bound
                if done >= best:
                    break
        best = min(best, done)
    memo[key] = best
    return best
