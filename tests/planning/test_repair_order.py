"""The least cost by repairs alone, against enumeration of every sequence."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest
from numpy.typing import NDArray

from probewright.planning.repair_order import Blocks, Repairs, least_cost

Array = NDArray[np.float64]


def make(cures: object, cost: object, way_out: object, needs: object = None, zone_cost: object = ()) -> Repairs:
    """Repairs that start from the one present state there is."""
    cures, cost = np.array(cures, dtype=float), np.array(cost, dtype=float)
    zones = np.zeros((len(cost), 0)) if needs is None else np.array(needs, dtype=float)
    out = np.broadcast_to(np.array(way_out, dtype=float), cures.shape[1:]).copy()
    return Repairs(
        cures, cost, out, zones, np.array(zone_cost, dtype=float), np.zeros((1, len(cost))), Blocks.by_zones(zones)
    )


def cost_of(repairs: Repairs, weights: Array, **options: int) -> tuple[float, int]:
    """Cost and first repair for one belief with every zone closed."""
    closed = np.ones((1, len(repairs.zone_cost)))
    found = least_cost(repairs, weights[None], closed, np.zeros(1, dtype=np.intp), **options)
    return float(found.cost[0]), int(found.first[0])


def sequence_cost(repairs: Repairs, weights: Array, order: tuple[int, ...]) -> float:
    """Cost of doing these repairs and then taking the way out, added up plainly."""
    total, opened = 0.0, set()
    for r in order:
        mine = set(np.flatnonzero(repairs.needs[r]).tolist())
        total += (repairs.cost[r] + sum(repairs.zone_cost[z] for z in mine - opened)) * weights.sum()
        opened |= mine
        weights = weights * (1 - repairs.cures[r])
    return total + float(weights @ repairs.way_out)


def optimum(repairs: Repairs, weights: Array) -> float:
    """Least cost over every sequence of every length."""
    count = len(repairs.cost)
    return min(sequence_cost(repairs, weights, p) for k in range(count + 1) for p in permutations(range(count), k))


def test_escalation_looks_past_the_first_repair_that_does_not_pay() -> None:
    # Two repairs of 6 with even chances, way out 10: neither pays alone (11), both do (9).
    repairs = make(np.eye(2), [6.0, 6.0], 10.0)
    assert cost_of(repairs, np.array([0.5, 0.5])) == (pytest.approx(9.0), 0)


def test_repairs_behind_one_cover_are_ranked_together() -> None:
    # By chance over cost alone the plan is 2, 3, 1, 4 and costs 12.1.
    repairs = make(np.eye(4), [4.0, 2.0, 2.0, 8.0], 1e3, needs=[[0], [1], [1], [0]], zone_cost=[5.0])
    weights = np.array([0.30, 0.25, 0.25, 0.20])
    assert sequence_cost(repairs, weights, (1, 2, 0, 3)) == pytest.approx(12.1)
    assert cost_of(repairs, weights) == (pytest.approx(11.4), 0)


def test_an_open_cover_costs_nothing_more() -> None:
    repairs = make(np.eye(4), [4.0, 2.0, 2.0, 8.0], 1e3, needs=[[0], [1], [1], [0]], zone_cost=[5.0])
    found = least_cost(repairs, np.array([[0.30, 0.25, 0.25, 0.20]]), np.zeros((1, 1)), np.zeros(1, dtype=np.intp))
    # 2, 3 (ratio .125 each), 1 (.075), 4: 2 + .75 x 2 + .5 x 4 + .2 x 8.
    assert (float(found.cost[0]), int(found.first[0])) == (pytest.approx(7.1), 1)


def test_chances_are_taken_anew_after_each_failure() -> None:
    # Four causes .20 .25 .40 .15, three repairs of 1 that share causes: middle one first, then what it left.
    cures = [[1, 1, 0, 0], [0, 1, 1, 0], [0, 0, 1, 1]]
    assert cost_of(make(cures, [1.0] * 3, 1e3), np.array([0.20, 0.25, 0.40, 0.15])) == (pytest.approx(1.50), 1)


@pytest.mark.parametrize("seed", range(40))
def test_optimal_for_repairs_of_different_faults(seed: int) -> None:
    rng = np.random.default_rng(seed)
    cures = np.hstack([np.diag(rng.uniform(0.7, 1.0, 5)), np.zeros((5, 1))])
    repairs = make(cures, rng.uniform(5, 90, 5), rng.uniform(60, 200))
    weights = rng.dirichlet(np.ones(6))
    assert cost_of(repairs, weights)[0] == pytest.approx(optimum(repairs, weights), rel=1e-12)


@pytest.mark.parametrize("seed", range(40))
def test_near_the_optimum_where_the_way_out_includes_the_repair(seed: int) -> None:
    rng = np.random.default_rng(500 + seed)
    cures, cost, callback = (
        np.hstack([np.diag(rng.uniform(0.7, 1.0, 5)), np.zeros((5, 1))]),
        rng.uniform(5, 90, 5),
        120.0,
    )
    repairs, weights = make(cures, cost, np.append(callback + cost, callback)), rng.dirichlet(np.ones(6))
    best = optimum(repairs, weights)
    assert best * (1 - 1e-12) <= cost_of(repairs, weights)[0] <= best * 1.01


@pytest.mark.parametrize("seed", range(60))
def test_optimal_for_covers_that_do_not_nest(seed: int) -> None:
    rng = np.random.default_rng(1000 + seed)
    zone = rng.integers(0, 3, 5)
    repairs = make(np.eye(5), rng.uniform(5, 60, 5), 1e4, needs=np.eye(3)[zone], zone_cost=rng.uniform(2, 40, 3))
    weights = rng.dirichlet(np.ones(5))
    assert cost_of(repairs, weights)[0] == pytest.approx(optimum(repairs, weights), rel=1e-9)


@pytest.mark.parametrize("seed", range(40))
def test_never_below_the_optimum_and_seldom_far_above(seed: int) -> None:
    rng = np.random.default_rng(2000 + seed)
    cures = rng.uniform(0.5, 1.0, (5, 6)) * (rng.random((5, 6)) < 0.4)
    needs = (rng.random((5, 2)) < 0.4).astype(float)
    repairs = make(cures, rng.uniform(5, 90, 5), rng.uniform(80, 250, 6), needs=needs, zone_cost=rng.uniform(2, 30, 2))
    weights = rng.dirichlet(np.ones(6))
    best, (found, _) = optimum(repairs, weights), cost_of(repairs, weights)
    assert best * (1 - 1e-12) <= found <= best * 1.25


def test_cost_is_proportional_to_the_weights() -> None:
    rng = np.random.default_rng(5)
    repairs, weights = make(np.eye(4), rng.uniform(5, 50, 4), 120.0), rng.dirichlet(np.ones(4))
    assert cost_of(repairs, 0.03 * weights)[0] == pytest.approx(0.03 * cost_of(repairs, weights)[0], rel=1e-12)


def test_rows_do_not_influence_each_other() -> None:
    rng = np.random.default_rng(6)
    repairs = make(np.eye(5), rng.uniform(5, 50, 5), 150.0, needs=np.eye(5)[:, :2], zone_cost=[10.0, 20.0])
    weights, closed = rng.dirichlet(np.ones(5), 7), (rng.random((7, 2)) < 0.5).astype(float)
    state = np.zeros(7, dtype=np.intp)
    together = least_cost(repairs, weights, closed, state)
    alone = [least_cost(repairs, weights[[i]], closed[[i]], state[[i]]) for i in range(7)]
    np.testing.assert_allclose(together.cost, [float(a.cost[0]) for a in alone], rtol=1e-12)
    assert together.first.tolist() == [int(a.first[0]) for a in alone]


def test_set_up_is_added_to_the_first_repair_only() -> None:
    repairs = make(np.eye(2), [10.0, 10.0], 1e3)
    far = Repairs(
        repairs.cures,
        repairs.cost,
        repairs.way_out,
        repairs.needs,
        repairs.zone_cost,
        np.array([[0.0, 0.0], [7.0, 7.0]]),
        repairs.blocks,
    )
    weights, closed = np.array([[0.6, 0.4]]), np.zeros((1, 0))
    near, away = (float(least_cost(far, weights, closed, np.array([s])).cost[0]) for s in (0, 1))
    assert (near, away) == (pytest.approx(14.0), pytest.approx(21.0))


def test_depth_bounds_the_number_of_repairs() -> None:
    repairs, weights = make(np.eye(3), [1.0, 1.0, 1.0], 100.0), np.array([0.5, 0.3, 0.2])
    assert cost_of(repairs, weights, depth=1)[0] == pytest.approx(1 + 0.5 * 100)
    assert cost_of(repairs, weights, depth=3)[0] == pytest.approx(1 + 0.5 + 0.2)


def test_a_repair_that_failed_is_done_without() -> None:
    repairs, weights = make([[0.6, 0.0], [0.0, 1.0]], [10.0, 10.0], 100.0), np.array([[0.4, 0.6]] * 3)
    closed, state = np.zeros((3, 0)), np.zeros(3, dtype=np.intp)
    found = least_cost(repairs, weights, closed, state, tried=np.array([-1, 0, 1]))
    # Both: 10 + .4 x 10 + .16 x 100.  Only the second: 10 + .4 x 100.  Only the first: 10 + .76 x 100.
    np.testing.assert_allclose(found.cost, [30.0, 50.0, 86.0])


def test_without_repairs_only_the_way_out_is_left() -> None:
    assert cost_of(make(np.zeros((0, 2)), [], [100.0, 50.0]), np.array([0.5, 0.5])) == (pytest.approx(75.0), -1)
