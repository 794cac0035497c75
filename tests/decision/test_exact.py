"""The yardstick itself: two exact solvers, written apart, and the enumeration of policies, agree with each other."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from probewright.decision.problem import ANY
from support.exact import exact, solved
from support.exact_by_hand import Solver, least_cost
from support.played import way
from support.random_jobs import ORDINARY, plain, random_job, varied


@pytest.mark.parametrize("by_fault", [False, True])
@pytest.mark.parametrize("seed", range(20))
def test_both_solvers_agree(seed: int, by_fault: bool) -> None:
    job = random_job(np.random.default_rng(seed), 4, 3, by_fault=by_fault)
    assert exact(job) == pytest.approx(least_cost(job), rel=1e-10)


@pytest.mark.parametrize("seed", range(15))
def test_both_solvers_agree_where_all_varies(seed: int) -> None:
    rng = np.random.default_rng(seed + 1000)
    job = varied(rng, random_job(rng, 4, 3, by_fault=True))
    assert exact(job) == pytest.approx(least_cost(job), rel=1e-10)


@pytest.mark.parametrize("seed", range(15))
def test_both_solvers_agree_on_two_faults_at_once(seed: int) -> None:
    rng = np.random.default_rng(seed + 2000)
    job = varied(rng, random_job(rng, 4, 2, pairs=2, by_fault=seed % 2 == 0))
    assert exact(job) == pytest.approx(least_cost(job), rel=1e-10)


def test_bounds_spare_most_states() -> None:
    jobs = [random_job(np.random.default_rng(seed), 4, 3) for seed in range(10)]
    by_hand = 0
    for job in jobs:
        solver = Solver(job)
        solver.least()
        by_hand += len(solver.known)
    assert sum(solved(job)[1] for job in jobs) < 0.5 * by_hand


@pytest.mark.parametrize("seed", range(5))
def test_a_way_by_both_rules_and_by_the_record(seed: int) -> None:
    # The cost of the way was written twice, and the record says where one ends.
    rng = np.random.default_rng(seed)
    job = varied(rng, random_job(rng, 5, 2, ORDINARY))
    for state, target, zones in product(range(4), (ANY, 0, 1, 2), range(8)):
        there = replace(job, state=state)
        closed = zones & ~there.opened
        assert way(there, target, zones) == pytest.approx(Solver(there).arrive(state, target, closed)[0], rel=1e-12)
        reached, opened = there.reach(target, zones)
        assert opened == there.opened | zones
        assert reached == Solver(there).arrive(state, target, closed)[1]


def test_a_single_repair_or_the_way_out() -> None:
    # By hand: the repair at 10 helps in 8 of 10; then the way out at 30 is left: 10 + 0.2 x 30 = 16.
    assert exact(plain([1.0], [[0.8]], [10.0], way_out=30.0)) == pytest.approx(16.0)
    assert exact(plain([1.0], [[0.8]], [25.0], way_out=30.0)) == pytest.approx(30.0)
