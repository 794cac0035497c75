"""The planner's benchmark measures what it says: fair rivals, common luck, figures against their goals."""

from __future__ import annotations

import bench_planner
import numpy as np
import pytest

from probewright.decision.policy import Option, repairs_only
from probewright.decision.problem import Decision
from support.exact import exact
from support.played import Chance, play, realised
from support.random_jobs import random_job


def job(seed: int, faults: int = 6, tests: int = 4) -> Decision:
    return random_job(np.random.default_rng(seed), faults, tests)


def test_the_checklist_goes_by_zones_until_a_repair_is_likely() -> None:
    tested = 0
    for seed in range(20):
        decision = job(seed)
        while (step := bench_planner.checklist(decision)).kind == "test":
            tested += 1
            assert decision.test_zones[step.index] == decision.test_zones.min()
            assert max(decision.cures @ decision.weights) < bench_planner.SURE_ENOUGH * decision.weights.sum()
            decision = decision.after_outcome(step.index, 0)
        assert step == repairs_only(decision)
    assert tested > 20


def test_played_jobs_cost_on_average_what_enumeration_says() -> None:
    decision = job(3)
    expected = realised(decision, repairs_only).cost
    rng = np.random.default_rng(1)
    costs = [play(decision, repairs_only, Chance(decision, rng)) for _ in range(4000)]
    assert np.mean(costs) == pytest.approx(expected, abs=4 * np.std(costs) / np.sqrt(len(costs)))


@pytest.mark.parametrize("policy", [bench_planner.thorough, bench_planner.checklist])
def test_played_jobs_with_tests_cost_on_average_what_enumeration_says(policy: bench_planner.Policy) -> None:
    decision = job(5)
    expected, decide = realised(decision, policy).cost, bench_planner.remembered(policy)
    rng = np.random.default_rng(2)
    costs = [play(decision, decide, Chance(decision, rng)) for _ in range(2000)]
    assert np.mean(costs) == pytest.approx(expected, abs=4 * np.std(costs) / np.sqrt(len(costs)))


def test_every_policy_meets_the_same_luck() -> None:
    decision = job(3)
    one, other = (Chance(decision, np.random.default_rng(7)) for _ in range(2))
    play(decision, repairs_only, one)
    assert one.fault == other.fault
    np.testing.assert_array_equal(one.repairs, other.repairs)
    np.testing.assert_array_equal(one.tests, other.tests)


def test_what_is_remembered_is_what_is_decided() -> None:
    asked: list[Decision] = []

    def policy(decision: Decision) -> Option:
        asked.append(decision)
        return repairs_only(decision)

    decide = bench_planner.remembered(policy)
    first, second = job(1), job(2)
    assert decide(first) == decide(first) == repairs_only(first)
    assert decide(second) == repairs_only(second)
    assert len(asked) == 2


def test_figures_of_a_small_run() -> None:
    thorough, quick = bench_planner.regrets((6, 5), 3)
    assert thorough.met
    assert quick.met is None
    regret = [realised(j, bench_planner.thorough).cost / exact(j) - 1 for j in bench_planner.jobs((6, 5), 3)]
    assert thorough.value.startswith(f"mean {100 * np.mean(regret):.2f}, ")
    rows = bench_planner.rivals((6, 5), 2, 4)
    assert [row.what.split(", ")[0] for row in rows] == [*bench_planner.RIVALS, "quick"]
    assert len(bench_planner.times((6, 5), 5)) == 2


def test_an_order_that_is_broken_is_no_figure(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bench_planner, "exact", lambda decision: 1e9)
    with pytest.raises(ArithmeticError, match="not in order"):
        bench_planner.regrets((6, 5), 1)
