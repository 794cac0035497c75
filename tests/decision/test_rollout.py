"""The search against its own definition, written plainly on whole decisions, without the compiled code's shortcuts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from probewright.decision.policy import EFFORTS, Option, choose, one_step, repairs_only, telling
from probewright.decision.problem import Decision, failed
from support.played import SLIGHTEST, Policy, price, stops
from support.random_jobs import random_job, stall, varied


def following(job: Decision, option: Option, value: Callable[[Decision], float]) -> float:
    """Cost of a step and of all that ``value`` says follows it, not divided by the weights."""
    kind, k = option.kind, option.index
    if kind == "way_out":
        return float(job.weights @ job.way_out)
    total = price(job, kind, k)[0] * float(job.weights.sum())
    if kind == "repair":
        left = failed(job.weights, job.pair, job.cures[k]).sum()
        return total + (value(job.after_failed(k)) if left > SLIGHTEST else 0.0)
    for o, row in enumerate(job.outcome[job.starts[k] : job.starts[k + 1]]):
        if stops(job, k, o):
            total += float(job.weights * row @ job.way_out)
        elif job.weights @ row > SLIGHTEST:
            total += value(job.after_outcome(k, o))
    return total


def rolled(job: Decision, base: Policy, slight: float) -> float:
    """What following a base costs; where little weight is left, repairs alone."""
    mass, alone = float(job.weights.sum()), repairs_only(job).cost
    if mass < slight:
        return alone * mass
    total = following(job, base(job), lambda then: rolled(then, base, slight))
    return min(total, alone * mass) if base is telling else total


def jobs() -> list[Decision]:
    ordinary = [random_job(np.random.default_rng(seed), 6, 4) for seed in range(12)]
    differing = [varied(g, random_job(g, 5, 3, pairs=2, by_fault=True)) for g in map(np.random.default_rng, range(12))]
    return [*ordinary, *differing, stall(3, 11.0)]


def by_bases(job: Decision, option: Option, slight: float) -> tuple[float, float]:
    """Cost of a step with the telling base after it, and with the better of both; not divided by the weights."""
    limit = slight * float(job.weights.sum())

    def better(then: Decision) -> float:
        return min(rolled(then, one_step, limit), rolled(then, telling, limit))

    return following(job, option, lambda then: rolled(then, telling, limit)), following(job, option, better)


@pytest.mark.parametrize("effort", EFFORTS)
def test_what_is_followed_costs_what_the_definition_says(effort: str) -> None:
    how, compared = EFFORTS[effort], 0
    for job in jobs():
        mass, choice = float(job.weights.sum()), choose(job, effort)
        followed = {o: by_bases(job, o, how.slight) for o in choice.options if o.followed and o.kind != "way_out"}
        taken = {(base.kind, base.index) for base in (repairs_only(job), one_step(job), telling(job))}
        cheapest = sorted(followed, key=lambda o: followed[o][0])[: int(how.both)]
        compared += len(followed)
        for option, (told, better) in followed.items():
            twice = how.both and (option in cheapest or (option.kind, option.index) in taken)
            # Those that are not cheap by the telling base need not be followed by the other, but may.
            allowed = [better] if twice else [told, better] if how.both else [told]
            assert any(option.cost * mass == pytest.approx(cost, rel=1e-9) for cost in allowed), option
    assert compared > 3 * len(jobs())


@pytest.mark.parametrize("effort", EFFORTS)
def test_what_is_not_followed_is_priced_with_repairs_alone(effort: str) -> None:
    compared = 0
    for k in range(6):
        job = random_job(np.random.default_rng(k), 24, 18)
        for option in choose(job, effort).options:
            if not option.followed:
                compared += 1
                alone = following(job, option, lambda then: repairs_only(then).cost * float(then.weights.sum()))
                assert option.cost * float(job.weights.sum()) == pytest.approx(alone, rel=1e-9)
    assert compared > 20


@pytest.mark.parametrize("effort", EFFORTS)
def test_the_bases_and_the_cheapest_at_first_look_are_followed(effort: str) -> None:
    for job in jobs():
        options = choose(job, effort).options
        followed = {(o.kind, o.index) for o in options if o.followed}
        for base in (repairs_only, one_step, telling):
            first = base(job)
            assert (first.kind, first.index) in followed


def test_little_time_falls_back_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    job = random_job(np.random.default_rng(3), 12, 8)
    ample = choose(job)
    assert not ample.fell_back
    how = EFFORTS["thorough"]
    monkeypatch.setitem(EFFORTS, "thorough", replace(how, most=200))
    short = choose(job)
    assert short.fell_back
    assert short.best.cost <= repairs_only(job).cost * (1 + 1e-12)
    assert short.sequences < ample.sequences
