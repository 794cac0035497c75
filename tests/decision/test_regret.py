"""What following the advice costs beyond the exact optimum, on random jobs; and what the advice says it costs.

The counts here are small, to be quick; ``benchmarks/bench_planner.py`` has the full ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest

from probewright.decision.policy import choose, repairs_only
from probewright.decision.problem import Decision
from support.exact import exact
from support.played import Policy, realised
from support.random_jobs import FAMILIES, perturbed, random_job, stall, varied

EFFORTS = ("quick", "thorough")
SEED = 7000
COUNTS = {(6, 5): 60, (8, 6): 8}


def advice(effort: str) -> Policy:
    return lambda decision: choose(decision, effort).best


@dataclass(frozen=True, slots=True)
class Run:
    optimum: float
    realised: float
    shown: float
    by_repairs: float

    @property
    def regret(self) -> float:
        return self.realised / self.optimum - 1


def run(job: Decision, optimum: float, effort: str) -> Run:
    shown = choose(job, effort).best.cost
    return Run(optimum, realised(job, advice(effort)).cost, shown, repairs_only(job).cost)


@cache
def problems(faults: int, tests: int) -> list[tuple[Decision, float]]:
    jobs = [random_job(np.random.default_rng(SEED + k), faults, tests) for k in range(COUNTS[faults, tests])]
    return [(job, exact(job)) for job in jobs]


@cache
def runs(faults: int, tests: int, effort: str) -> list[Run]:
    return [run(job, optimum, effort) for job, optimum in problems(faults, tests)]


@pytest.mark.parametrize(
    ("size", "effort", "mean", "nearly_all", "most"),
    [((6, 5), "thorough", 0.005, 0.02, 0.05), ((8, 6), "thorough", 0.006, 0.025, 0.05),
     ((6, 5), "quick", 0.01, 0.04, 0.10), ((8, 6), "quick", 0.012, 0.04, 0.10)],
)  # fmt: skip
def test_regret(size: tuple[int, int], effort: str, mean: float, nearly_all: float, most: float) -> None:
    regret = [one.regret for one in runs(*size, effort)]
    assert min(regret) > -1e-9
    assert np.mean(regret) <= mean
    assert np.quantile(regret, 0.95) <= nearly_all
    assert max(regret) <= most


@pytest.mark.parametrize("effort", EFFORTS)
@pytest.mark.parametrize("size", COUNTS)
def test_following_costs_no_more_than_shown_and_that_no_more_than_repairs_alone(
    size: tuple[int, int], effort: str
) -> None:
    found = runs(*size, effort)
    for one in found:
        assert one.realised <= one.shown * (1 + 1e-12)
        assert one.shown <= one.by_repairs * (1 + 1e-12)
    assert np.mean([one.shown / one.realised - 1 for one in found]) <= 0.04


@pytest.mark.parametrize("effort", EFFORTS)
@pytest.mark.parametrize("pairs", [0, 2])
def test_the_same_where_all_varies(pairs: int, effort: str) -> None:
    found = []
    for seed in range(12):
        rng = np.random.default_rng(seed)
        job = varied(rng, random_job(rng, 5, 4 - pairs // 2, pairs=pairs, by_fault=True))
        found.append(run(job, exact(job), effort))
    for one in found:
        assert one.optimum * (1 - 1e-9) <= one.realised <= one.shown * (1 + 1e-12)
        assert one.shown <= one.by_repairs * (1 + 1e-12)
    assert np.mean([one.regret for one in found]) <= 0.02


@pytest.mark.parametrize("name", [name for name in FAMILIES if name != "ordinary"])
def test_regret_on_stress_families(name: str) -> None:
    jobs = [random_job(np.random.default_rng(SEED + k), 6, 4, FAMILIES[name]) for k in range(12)]
    found = [run(job, exact(job), "thorough") for job in jobs]
    assert np.mean([one.regret for one in found]) <= 0.006
    assert all(one.realised <= one.shown * (1 + 1e-12) <= one.by_repairs * (1 + 1e-11) for one in found)


def test_regret_with_a_wrong_model() -> None:
    """Planned on a model that is off by 0.5 (prior, likelihoods) and 0.3 (costs) on the logarithmic scale."""
    regret = []
    for job, optimum in problems(6, 5)[:40]:
        believed = perturbed(np.random.default_rng(len(regret)), job)
        regret.append(realised(job, advice("thorough"), believed).cost / optimum - 1)
    assert min(regret) > -1e-9
    assert np.mean(regret) <= 0.08


@pytest.mark.parametrize("effort", EFFORTS)
@pytest.mark.parametrize(
    ("bits", "cost", "optimum"), [(2, 11.0, 82.0), (3, 11.0, 93.0), (4, 8.0, 92.0), (5, 6.5, 92.5)]
)
def test_never_stuck_where_only_several_tests_pay(bits: int, cost: float, optimum: float, effort: str) -> None:
    # Equally likely faults, repairs at 60, the way out at 100: tests that show one bit each are worth it all together
    # (bits x cost + 60), or all but one (then two repairs are left); none is alone.
    job = stall(bits, cost)
    best = choose(job, effort).best
    assert best.kind == "test"
    assert best.cost == pytest.approx(optimum, rel=1e-12)
    assert realised(job, advice(effort)).cost == pytest.approx(optimum, rel=1e-12)
    if bits < 4:
        assert exact(job) == pytest.approx(optimum, rel=1e-12)
