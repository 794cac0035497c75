"""What must hold for any job: of the optimum exactly, and of the search as far as an approximation can promise it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.decision.policy import EFFORTS, choose
from probewright.decision.problem import ANY, Decision
from probewright.errors import EngineError
from support.exact import exact
from support.random_jobs import plain, random_job, varied

#: How far the search may be off where only the optimum is bound to a rule.
LOOSE = 0.03


@st.composite
def jobs(draw: st.DrawFn) -> Decision:
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    pairs = draw(st.sampled_from([0, 0, 2]))
    job = random_job(rng, draw(st.integers(4, 6)), draw(st.integers(1, 3)), pairs=pairs, by_fault=draw(st.booleans()))
    return varied(rng, job) if draw(st.booleans()) else job


few = settings(max_examples=25, deadline=None, derandomize=True)
efforts = st.sampled_from(sorted(EFFORTS))


def with_test(job: Decision, rows: np.ndarray, minutes: float) -> Decision:
    """One more test, done in any state, with nothing to open."""
    return replace(
        job, outcome=np.concatenate((job.outcome, rows)), starts=np.append(job.starts, job.starts[-1] + len(rows)),
        test_minutes=np.append(job.test_minutes, minutes), test_extra=np.append(job.test_extra, 0.0),
        test_state=np.append(job.test_state, ANY), test_zones=np.append(job.test_zones, 0),
        stops=None if job.stops is None else np.append(job.stops, np.zeros(len(rows), dtype=bool)),
    )  # fmt: skip


@few
@given(jobs(), st.floats(1e-3, 1e3), efforts)
def test_weights_need_not_add_up_to_one(job: Decision, scale: float, effort: str) -> None:
    before, after = choose(job, effort), choose(replace(job, weights=job.weights * scale), effort)
    assert [(o.kind, o.index) for o in after.options[:1]] == [(o.kind, o.index) for o in before.options[:1]]
    for one, other in zip(before.options, after.options, strict=True):
        assert other.cost == pytest.approx(one.cost, rel=1e-9)
        assert other.fixed == pytest.approx(one.fixed, rel=1e-9, abs=1e-12)


@few
@given(jobs(), st.floats(1e-2, 1e2), efforts)
def test_another_currency_changes_nothing_but_the_figures(job: Decision, scale: float, effort: str) -> None:
    other = replace(
        job, rate=job.rate * scale, test_extra=job.test_extra * scale, repair_extra=job.repair_extra * scale,
        way_out=job.way_out * scale,
    )  # fmt: skip
    before, after = choose(job, effort).best, choose(other, effort).best
    assert (after.kind, after.index) == (before.kind, before.index)
    assert after.cost == pytest.approx(before.cost * scale, rel=1e-9)
    assert after.minutes == pytest.approx(before.minutes, rel=1e-9)


@few
@given(jobs(), st.floats(1.0, 3.0), efforts)
def test_a_dearer_way_out_never_makes_it_cheaper(job: Decision, factor: float, effort: str) -> None:
    dearer = replace(job, way_out=job.way_out * factor)
    assert exact(dearer) >= exact(job) * (1 - 1e-12)
    assert choose(dearer, effort).best.cost >= choose(job, effort).best.cost * (1 - LOOSE)


@few
@given(jobs(), st.floats(0.1, 5.0), efforts)
def test_a_test_that_tells_nothing_changes_nothing(job: Decision, minutes: float, effort: str) -> None:
    useless = with_test(job, np.array([[0.3], [0.7]]) * np.ones(len(job.weights)), minutes)
    assert exact(useless) == pytest.approx(exact(job), rel=1e-9)
    before, after = choose(job, effort).best, choose(useless, effort).best
    assert (after.kind, after.index) != ("test", len(job.test_minutes))
    assert after.cost == pytest.approx(before.cost, rel=LOOSE)


@few
@given(jobs(), efforts)
def test_a_free_test_that_tells_all_is_worth_taking_first(job: Decision, effort: str) -> None:
    perfect = with_test(job, np.eye(len(job.weights)), 0.0)
    knowing = [exact(replace(job, weights=truth)) for truth in np.eye(len(job.weights))]
    least = (job.weights / job.weights.sum()) @ knowing
    choice = choose(perfect, effort)
    assert choice.best.cost <= choose(job, effort).best.cost * (1 + 1e-9)
    assert choice.best.cost >= least * (1 - 1e-9)
    [free] = [o for o in choice.options if (o.kind, o.index) == ("test", len(job.test_minutes))]
    # With two faults at once it may pay to keep it until one is mended, for it is done only once.
    if (job.pair < 0).all():
        assert free.cost <= least * (1 + LOOSE)
        assert free.cost <= choice.best.cost * (1 + 1e-9)


@few
@given(jobs(), efforts)
def test_a_repair_away_costs_no_less_and_ends_fewer_visits(job: Decision, effort: str) -> None:
    at_hand = replace(job, away=np.zeros(len(job.away), dtype=bool))
    before, after = choose(at_hand, effort).best, choose(replace(job, away=~at_hand.away), effort).best
    assert after.cost >= before.cost * (1 - 1e-12)
    assert after.fixed == 0.0
    assert 0.0 <= choose(job, effort).best.fixed <= before.fixed * (1 + 1e-12) <= 1.0 + 1e-9


@few
@given(jobs(), st.floats(0.0, 40.0))
def test_a_dearer_step_never_makes_the_optimum_cheaper(job: Decision, more: float) -> None:
    assert exact(replace(job, repair_extra=job.repair_extra + more)) >= exact(job) * (1 - 1e-12)
    assert exact(replace(job, test_minutes=job.test_minutes + more)) >= exact(job) * (1 - 1e-12)
    assert exact(replace(job, zone_minutes=job.zone_minutes + more)) >= exact(job) * (1 - 1e-12)


def test_nothing_but_the_way_out() -> None:
    choice = choose(plain([0.3, 0.7], np.zeros((0, 2)), [], way_out=[10.0, 20.0]))
    assert [(o.kind, o.index) for o in choice.options] == [("way_out", -1)]
    assert choice.best.cost == pytest.approx(17.0)


def test_tests_without_repairs() -> None:
    # Nothing can be mended, so nothing that is learned is worth anything.
    job = plain([0.5, 0.5], np.zeros((0, 2)), [], way_out=[10.0, 20.0], tests=[(1.0, np.eye(2))])
    assert choose(job).best.kind == "way_out"


def test_no_weight_is_nothing_to_decide() -> None:
    with pytest.raises(EngineError, match="nothing to decide"):
        plain([0.0, 0.0], np.eye(2), [1.0, 1.0])


def test_more_repairs_than_bits_are_refused() -> None:
    with pytest.raises(EngineError, match="at most 62"):
        plain(np.ones(63), np.eye(63), np.ones(63))


def test_a_shape_that_does_not_fit_is_named() -> None:
    job = plain([0.5, 0.5], np.eye(2), [1.0, 1.0])
    with pytest.raises(EngineError, match=r"way_out of a decision has shape \(3,\), not \(2,\)"):
        replace(job, way_out=np.ones(3))
