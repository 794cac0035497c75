"""Base policies: what they say they cost is what following them costs, by enumeration of all that may happen."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest

from probewright.decision.policy import Option, choose, one_step, repairs_only, telling
from probewright.decision.problem import Decision
from support.exact import exact
from support.played import Realised, price, realised, stops
from support.random_jobs import plain, random_job, varied


def jobs(seed: int, kind: str) -> Decision:
    rng = np.random.default_rng(seed)
    job = random_job(rng, 7, 2, pairs=3 if "pairs" in kind else 0, by_fault="by fault" in kind)
    return varied(rng, job) if "varied" in kind else job


KINDS = ["ordinary", "by fault", "pairs", "varied", "varied, by fault, pairs"]


def close(option: Option) -> object:
    return pytest.approx([option.cost, option.minutes, option.fixed], rel=1e-9, abs=1e-12)


def numbers(of: Realised) -> list[float]:
    return [of.cost, of.minutes, of.fixed]


@pytest.mark.parametrize("kind", KINDS)
def test_repairs_alone_come_to_what_is_said(kind: str) -> None:
    for seed in range(40):
        job = jobs(seed, kind)
        assert numbers(realised(job, repairs_only)) == close(repairs_only(job)), seed


@pytest.mark.parametrize("kind", ["ordinary", "by fault", "varied, by fault"])
def test_repairs_alone_cost_no_less_than_the_best_sequence(kind: str) -> None:
    """Never below the optimum; and it, in nearly all jobs without overlap between repairs."""
    excess = []
    for seed in range(25):
        job = without_modules(jobs(seed, kind))
        count = len(job.cures)
        best = min(sequence(job, order) for k in range(count + 1) for order in permutations(range(count), k))
        assert repairs_only(job).cost >= best * (1 - 1e-12)
        excess.append(repairs_only(job).cost / best - 1)
    assert np.median(excess) < 1e-12
    assert np.mean(excess) < 0.03


def without_modules(job: Decision) -> Decision:
    """Only five of the repairs of one fault each: all sequences of them can be tried."""
    kept = [r for r in range(len(job.cures)) if (job.cures[r] > 0).sum() == 1][:5]
    fields = ("cures", "repair_minutes", "repair_extra", "repair_state", "repair_zones", "away")
    return replace(job, **{name: getattr(job, name)[kept] for name in fields})


def sequence(job: Decision, order: tuple[int, ...]) -> float:
    """Cost of repairs in a given order and the way out after them, by the definition."""
    total, weights, left = 0.0, job.weights, list(range(len(job.cures)))
    for r in order:
        k = left.index(r)
        total += price(job, "repair", k)[0] * weights.sum()
        weights = weights * (1 - job.cures[k])
        if not weights.any():
            return float(total)
        job = job.after_failed(k)
        left.remove(r)
    return float(total + weights @ job.way_out)


@pytest.mark.parametrize("kind", KINDS)
def test_one_step_prices_a_test_by_the_repairs_after_it(kind: str) -> None:
    tested = 0
    for seed in range(40):
        job = jobs(seed, kind)
        options = [after_test(job, t) for t in range(len(job.test_minutes))]
        plainly, chosen = repairs_only(job), one_step(job)
        assert chosen.cost == pytest.approx(min([plainly.cost, *options]), rel=1e-9), seed
        if chosen.kind == "test":
            tested += 1
            assert options[chosen.index] == pytest.approx(chosen.cost, rel=1e-9)
    assert tested > 5


def after_test(job: Decision, t: int) -> float:
    """Cost of a test and of repairs alone after it, by its parts."""
    cost, mass = price(job, "test", t)[0], job.weights.sum()
    for o, row in enumerate(job.outcome[job.starts[t] : job.starts[t + 1]]):
        if stops(job, t, o):
            cost += job.weights * row @ job.way_out / mass
        else:
            cost += (job.weights @ row) / mass * repairs_only(job.after_outcome(t, o)).cost
    return float(cost)


def helps(job: Decision, r: int) -> float:
    """The chance that a repair cures a fault, be it one of two."""
    one = np.where(job.pair[:, 0] < 0, job.cures[r], job.cures[r][job.pair[:, 0]])
    other = np.where(job.pair[:, 0] < 0, 0.0, job.cures[r][job.pair[:, 1]])
    return float(job.weights @ (1 - (1 - one) * (1 - other)) / job.weights.sum())


@pytest.mark.parametrize("kind", KINDS)
def test_the_telling_base_asks_for_most_information_for_its_cost(kind: str) -> None:
    tested = 0
    for seed in range(40):
        job = jobs(seed, kind)
        chosen, likely = telling(job), max(helps(job, r) for r in range(len(job.cures)))
        assert (chosen.kind == "test") == (likely < 0.7)
        if chosen.kind == "test":
            tested += 1
            worth = [gain(job, t) / price(job, "test", t)[0] for t in range(len(job.test_minutes))]
            assert worth[chosen.index] == pytest.approx(max(worth), rel=1e-9)
    assert tested > 20


def fixes(job: Decision, r: int) -> float:
    """Probability that a repair ends the job now."""
    one, other = job.pair[:, 0], job.pair[:, 1]
    chance = np.where(one < 0, job.cures[r], job.cures[r][one] * job.cures[r][other])
    return float(job.weights @ chance / job.weights.sum())


def gain(job: Decision, t: int) -> float:
    """Mutual information of hypothesis and outcome, in nats."""
    joint = job.outcome[job.starts[t] : job.starts[t + 1]] * job.weights / job.weights.sum()
    apart = joint.sum(axis=1, keepdims=True) * joint.sum(axis=0)
    there = joint > 0
    return float((joint[there] * np.log(joint[there] / apart[there])).sum())


@pytest.mark.parametrize("effort", ["quick", "thorough"])
@pytest.mark.parametrize("kind", KINDS)
def test_every_option_is_priced_above_the_optimum(kind: str, effort: str) -> None:
    # Each option's cost is that of a plan that can be carried out: not less than the best plan that begins with it.
    for seed in range(8):
        job = jobs(seed, kind)
        choice = choose(job, effort)
        mass = job.weights.sum()
        assert len(choice.options) == len(job.test_minutes) + len(job.cures) + 1
        assert [o.cost for o in choice.options] == sorted(o.cost for o in choice.options)
        assert not choice.fell_back
        for option in choice.options:
            assert option.cost >= beginning_with(job, option) / mass * (1 - 1e-9), (seed, option)


def beginning_with(job: Decision, option: Option) -> float:
    """Least cost, not divided by the weights, once the first step is settled."""
    kind, k, mass = option.kind, option.index, float(job.weights.sum())
    if kind == "way_out":
        return float(job.weights @ job.way_out)
    total = price(job, kind, k)[0] * mass
    if kind == "test":
        following = [(job.after_outcome(k, o), stops(job, k, o)) for o in range(int(job.starts[k + 1] - job.starts[k]))]
    else:
        following = [(job.after_failed(k), False)]
    for then, stopped in following:
        total += float(then.weights @ then.way_out) if stopped else exact(then) * float(then.weights.sum())
    return total


def test_a_test_that_tells_all() -> None:
    # By hand: two causes alike, repairs 10 and 20, a perfect test at 1: 1 + (10 + 20) / 2 = 16.
    both = np.array([[1.0, 0.0], [0.0, 1.0]])
    job = plain([0.5, 0.5], np.eye(2), [10.0, 20.0], tests=[(1.0, both)])
    for option in (choose(job).best, choose(job, "quick").best, one_step(job)):
        assert (option.kind, option.index) == ("test", 0)
        assert option.cost == pytest.approx(16.0)
    assert repairs_only(job).cost == pytest.approx(20.0)


@pytest.mark.parametrize(("lean", "asked"), [(0.02, False), (0.03, True)])
def test_a_test_that_tells_next_to_nothing_is_not_asked_for_telling(lean: float, asked: bool) -> None:
    # Two causes alike, outcomes at 0.5 plus or minus the lean: it tells 2 x lean^2 nats, 0.0008 or 0.0018.
    shown = np.array([[0.5 + lean, 0.5 - lean], [0.5 - lean, 0.5 + lean]])
    job = plain([0.5, 0.5], np.eye(2), [10.0, 20.0], tests=[(1.0, shown)])
    assert gain(job, 0) == pytest.approx(2 * lean**2, rel=1e-2)
    assert (telling(job).kind == "test") == asked
