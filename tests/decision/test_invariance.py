"""A choice depends on what is decided about, not on the order in which it is declared; and it is the same each time."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest
from numpy.typing import NDArray

from probewright.decision.policy import EFFORTS, Choice, choose
from probewright.decision.problem import Decision
from support.random_jobs import random_job, varied

Order = NDArray[np.int64]
OF_TESTS = ("test_minutes", "test_extra", "test_state", "test_zones")
OF_REPAIRS = ("cures", "repair_minutes", "repair_extra", "repair_state", "repair_zones", "away")


def jobs() -> list[Decision]:
    ordinary = [random_job(np.random.default_rng(seed), 9, 6) for seed in range(6)]
    differing = [varied(g, random_job(g, 8, 5, pairs=4, by_fault=True)) for g in map(np.random.default_rng, range(6))]
    return [*ordinary, *differing]


def with_tests(job: Decision, order: Order) -> Decision:
    rows = [np.arange(job.starts[t], job.starts[t + 1]) for t in order]
    starts = np.concatenate(([0], np.cumsum([len(r) for r in rows])))
    tests = {name: getattr(job, name)[order] for name in OF_TESTS}
    kept = np.concatenate(rows)
    return replace(
        job, outcome=job.outcome[kept], stops=None if job.stops is None else job.stops[kept], starts=starts, **tests
    )


def with_repairs(job: Decision, order: Order) -> Decision:
    return replace(job, **{name: getattr(job, name)[order] for name in OF_REPAIRS})


def with_hypotheses(job: Decision, order: Order) -> Decision:
    place = np.argsort(order)
    return replace(
        job, weights=job.weights[order], pair=np.where(job.pair[order] < 0, -1, place[job.pair[order]]),
        course=job.course[order], way_out=job.way_out[order], outcome=job.outcome[:, order], cures=job.cures[:, order],
    )  # fmt: skip


def with_zones(job: Decision, order: Order) -> Decision:
    def moved(zones: NDArray[np.int64]) -> NDArray[np.int64]:
        bits = zones[..., None] >> order & 1
        return np.asarray((bits << np.arange(len(order))).sum(axis=-1))

    return replace(
        job, zone_minutes=job.zone_minutes[order], test_zones=moved(job.test_zones),
        repair_zones=moved(job.repair_zones), opened=int(moved(np.array(job.opened))),
    )  # fmt: skip


def compare(before: Choice, after: Choice, tests: Order | None = None, repairs: Order | None = None) -> None:
    """Every option costs the same, whatever number it goes by now."""
    names = {"test": tests, "repair": repairs, "way_out": None}

    def old(kind: str, index: int) -> int:
        order = names[kind]
        return index if order is None else int(order[index])

    costs = {(o.kind, o.index): o for o in before.options}
    for option in after.options:
        same = costs[option.kind, old(option.kind, option.index)]
        assert option.followed == same.followed
        assert option.cost == pytest.approx(same.cost, rel=1e-12)
        assert option.minutes == pytest.approx(same.minutes, rel=1e-9)
        assert option.fixed == pytest.approx(same.fixed, rel=1e-9, abs=1e-12)
    first = (after.best.kind, old(after.best.kind, after.best.index))
    assert first == (before.best.kind, before.best.index)


@pytest.mark.parametrize("effort", EFFORTS)
def test_order_of_tests(effort: str) -> None:
    for seed, job in enumerate(jobs()):
        order = np.random.default_rng(seed).permutation(len(job.test_minutes))
        compare(choose(job, effort), choose(with_tests(job, order), effort), tests=order)


@pytest.mark.parametrize("effort", EFFORTS)
def test_order_of_repairs(effort: str) -> None:
    for seed, job in enumerate(jobs()):
        order = np.random.default_rng(seed).permutation(len(job.cures))
        compare(choose(job, effort), choose(with_repairs(job, order), effort), repairs=order)


@pytest.mark.parametrize("effort", EFFORTS)
def test_order_of_hypotheses(effort: str) -> None:
    for seed, job in enumerate(jobs()):
        order = np.random.default_rng(seed).permutation(len(job.weights))
        compare(choose(job, effort), choose(with_hypotheses(job, order), effort))


@pytest.mark.parametrize("effort", EFFORTS)
def test_order_of_zones(effort: str) -> None:
    for seed, job in enumerate(jobs()):
        order = np.random.default_rng(seed).permutation(len(job.zone_minutes))
        compare(choose(job, effort), choose(with_zones(job, order), effort))


@pytest.mark.parametrize("effort", EFFORTS)
def test_the_same_bits_each_time(effort: str) -> None:
    for job in jobs():
        again = replace(job, **{f.name: copied(getattr(job, f.name)) for f in fields(job)})
        assert choose(job, effort) == choose(again, effort) == choose(job, effort)


def copied(value: object) -> object:
    return np.asfortranarray(value) if isinstance(value, np.ndarray) else value


def test_what_is_decided_about_is_left_as_it_was() -> None:
    job = jobs()[0]
    before = {f.name: np.copy(getattr(job, f.name)) for f in fields(job)}
    choose(job)
    for name, value in before.items():
        np.testing.assert_array_equal(np.array(getattr(job, name)), value)
