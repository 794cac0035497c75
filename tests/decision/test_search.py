"""A search that is asked about a state to come says what a decision made there says."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import pytest

from probewright.decision.policy import EFFORTS, Choice, Node, Option, Search, choose, one_step, repairs_only, telling
from probewright.decision.problem import Decision
from support.played import price
from support.random_jobs import random_job, varied


@dataclass(frozen=True, slots=True)
class Met:
    """A state on a walk: as a node of the first search, as a decision, and the first numbers of what is left."""

    node: Node
    job: Decision
    tests: list[int]
    repairs: list[int]

    def named(self, option: Option) -> tuple[str, int]:
        """By the numbers of the first decision."""
        if option.kind == "way_out":
            return "way_out", -1
        return option.kind, (self.tests if option.kind == "test" else self.repairs)[option.index]


def walk(search: Search, rng: np.random.Generator, steps: int) -> Iterator[Met]:
    """The present state, and others after steps at random."""
    job = search.decision
    tests, repairs = list(range(len(job.test_minutes))), list(range(len(job.cures)))
    node = search.root
    yield Met(node, job, list(tests), list(repairs))
    for _ in range(steps):
        if tests and rng.random() < 0.6:
            k = int(rng.integers(len(tests)))
            o = int(rng.integers(job.starts[k + 1] - job.starts[k]))
            node, job = search.after_outcome(tests.pop(k), o, node), job.after_outcome(k, o)
        else:
            k = int(rng.integers(len(repairs)))
            node, job = search.after_failed(repairs.pop(k), node), job.after_failed(k)
        yield Met(node, job, list(tests), list(repairs))


def met() -> Iterator[tuple[Search, Met]]:
    for seed in range(10):
        rng = np.random.default_rng(seed)
        job = random_job(rng, 7, 4, pairs=seed % 3, by_fault=True)
        search = Search(varied(rng, job) if seed % 2 else job)
        for state in walk(search, rng, 5):
            yield search, state


def test_states_are_those_of_decisions() -> None:
    for _, state in met():
        np.testing.assert_allclose(state.node.weights, state.job.weights, rtol=1e-12)
        assert (state.node.opened, state.node.state) == (state.job.opened, state.job.state)


@pytest.mark.parametrize("effort", EFFORTS)
def test_choices_at_a_state(effort: str) -> None:
    for search, state in met():
        there = search.choose(effort, state.node)
        own = choose(state.job, effort)
        same(state, there, own)
        # Asking about a state to come changes nothing about the present one.
        assert search.choose(effort) == choose(search.decision, effort)


def same(state: Met, there: Choice, own: Choice) -> None:
    by_name = {state.named(option): option for option in own.options}
    assert {(o.kind, o.index) for o in there.options} == set(by_name)
    for option in there.options:
        other = by_name[option.kind, option.index]
        assert option.followed == other.followed
        assert option.cost == pytest.approx(other.cost, rel=1e-9)
        assert option.minutes == pytest.approx(other.minutes, rel=1e-9)
        # Once somebody has gone for a part, nothing ends at this visit.
        assert option.fixed == pytest.approx(0.0 if state.node.later else other.fixed, rel=1e-9, abs=1e-12)


def test_bases_at_a_state() -> None:
    for search, state in met():
        for there, own in (
            (search.repairs_only(state.node), repairs_only(state.job)),
            (search.one_step(state.node), one_step(state.job)),
            (search.telling(state.node), telling(state.job)),
        ):
            assert (there.kind, there.index) == state.named(own)
            assert there.cost == pytest.approx(own.cost, rel=1e-9)


def test_own_minutes_of_a_step() -> None:
    for search, state in met():
        job = state.job
        for option in choose(job).options:
            kind, index = state.named(option)
            minutes = search.own_minutes(replace(option, index=index), state.node)
            if kind == "way_out":
                assert minutes == 0.0
                continue
            expected = price(job, kind, option.index)[1]
            if kind == "repair":
                there = int(job.repair_state[option.index])
                expected -= job.check_minutes + (job.move[there, job.running] if there != job.running else 0.0)
            assert minutes == pytest.approx(expected, rel=1e-9, abs=1e-9)
