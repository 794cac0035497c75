from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.figures import invented
from probewright.inference.evaluate import Rules, evaluate
from probewright.inference.store import ModelStore
from probewright.learning.calls import Calls
from probewright.learning.rates import LEAST_COUNT, PRIOR_WEIGHT, learn_rates
from probewright.simulation.perturb import perturbed
from probewright_schemas.closed import UNKNOWN
from probewright_schemas.records import Case
from support.families import RATES, SMALL, UNKNOWN_RATE, warmer


def with_rates(rates):
    """The warmer with other rates."""
    family = warmer(unknown_rate=invented(rates.get(UNKNOWN, UNKNOWN_RATE)))
    faults = tuple(replace(f, rate=invented(rates.get(f.id, float(f.rate)))) for f in family.faults)
    return replace(family, faults=faults)


def after(rates):
    """Every rate after learning."""
    return {rate.fault: rate.after for rate in (*rates.learned, *rates.pooled, *rates.kept)}


def forecast(family, complaint, options):
    """The engine's own probabilities of faults, from a complaint alone."""
    found = evaluate(Case("warmer", options=options, complaints=(complaint,)), ModelStore(family), Rules())
    return dict(zip(found.faults, found.present.tolist(), strict=True)) | {UNKNOWN: found.unknown}


def error(found, true):
    """Root mean square of the logarithms of rates over the true ones."""
    return float(np.sqrt(np.mean([np.log(found[fault] / rate) ** 2 for fault, rate in true.items()])))


@pytest.mark.parametrize("options", [SMALL, {"style": "small"}, {}])
def test_calls_are_forecast_as_the_engine_does(store, options):
    family = warmer()
    calls = Calls([(tuple(sorted(options.items())), "rattles")], store)
    rates = np.array([*(float(f.rate) for f in family.faults), UNKNOWN_RATE])
    present = calls.forecast(np.log(rates / (1 - rates)))[0]
    wanted = forecast(family, "rattles", options)
    found = dict(zip([*(f.id for f in family.faults), UNKNOWN], present.tolist(), strict=True))
    assert {fault: found[fault] for fault in wanted} == pytest.approx(wanted)


def test_expected_numbers_change_with_the_rates_as_the_derivative_says(store):
    calls = Calls([(tuple(sorted(SMALL.items())), c) for c in ("cold", "rattles")], store)
    counts, log_odds = np.array([30.0, 12.0]), np.full(8, -3.0)
    _, slope = calls.moments(log_odds, counts)
    for i in range(8):
        step = np.zeros(8)
        step[i] = 1e-5
        higher, lower = (calls.moments(log_odds + sign * step, counts)[0] for sign in (1, -1))
        assert slope[i] == pytest.approx((higher - lower) / 2e-5, abs=1e-6)


def test_with_one_complaint_forecasts_become_the_posterior_means_in_closed_form(store, make_job):
    proven = {"heater_weak": 90, "fuse_open": 20, "door_loose": 60, "no_supply": 15, "heater_open": 25,
              "link_open": 6, UNKNOWN: 8, "lamp_dirty": 5}  # fmt: skip
    jobs = [make_job(fault) for fault, count in proven.items() for _ in range(count)]
    jobs += [make_job() for _ in range(11)]
    rates = learn_rates(jobs, store)
    assert (rates.pooled, rates.kept) == ((), ())
    before, learned = forecast(warmer(), "cold", SMALL), forecast(with_rates(after(rates)), "cold", SMALL)
    wanted = {f: (PRIOR_WEIGHT * before[f] + n) / (PRIOR_WEIGHT + len(jobs)) for f, n in proven.items()}
    assert learned == pytest.approx(wanted, rel=1e-6)


def test_a_job_with_two_faults_counts_for_both(store, make_job):
    jobs = [make_job("heater_weak") for _ in range(80)] + [make_job("heater_weak", "door_loose") for _ in range(20)]
    proven = {rate.fault: rate.proven for rate in learn_rates(jobs, store).learned}
    assert (proven["heater_weak"], proven["door_loose"]) == (100, 20)


def test_a_loud_fault_is_not_taken_for_a_frequent_one(store, make_job):
    # A loose door rattles in half of the appliances that have it, a dirty lamp in a tenth.  Where both are behind as
    # many complaints, about five times as many lamps are dirty (a complaint is made without a reason, too).
    jobs = [make_job(fault, complaint="rattles") for fault in ("door_loose", "lamp_dirty") for _ in range(5000)]
    jobs += [make_job(complaint="rattles") for _ in range(2000)]
    found = after(learn_rates(jobs, store, weight=1.0))
    odds = {fault: rate / (1 - rate) for fault, rate in found.items()}
    shown = {"door_loose": 1 - (1 - 0.03) * (1 - 0.5), "lamp_dirty": 1 - (1 - 0.03) * (1 - 0.1)}
    assert odds["lamp_dirty"] / odds["door_loose"] == pytest.approx(shown["door_loose"] / shown["lamp_dirty"], rel=0.01)


def test_jobs_count_only_for_faults_that_their_options_allow(store, make_job):
    without = (("lamp", "no"), ("style", "small"))
    jobs = [make_job("lamp_dirty") for _ in range(20)] + [make_job("heater_weak", options=without) for _ in range(200)]
    rates = learn_rates(jobs, store)
    counted = {rate.fault: (rate.proven, rate.allowing) for rate in rates.learned}
    assert (counted["lamp_dirty"], counted["heater_weak"]) == ((20, 20), (200, 220))


def test_a_fault_that_few_jobs_could_have_is_held_by_as_many_prior_jobs_as_any(store, make_job):
    # 20 jobs with lamps teach the same of dirty lamps, whatever else the shop repairs.
    lamps = [make_job("lamp_dirty") for _ in range(12)] + [make_job("heater_weak") for _ in range(8)]
    others = [make_job("heater_weak", options=(("lamp", "no"), ("style", "small"))) for _ in range(400)]
    held = (PRIOR_WEIGHT * forecast(warmer(), "cold", SMALL)["lamp_dirty"] + 12) / (PRIOR_WEIGHT + 20)
    for jobs in (lamps, lamps + others):
        family = with_rates(after(learn_rates(jobs, store)))
        assert forecast(family, "cold", SMALL)["lamp_dirty"] == pytest.approx(held, rel=1e-6)


def test_rare_faults_are_learned_as_one(store, make_job):
    jobs = [make_job("heater_weak") for _ in range(50)] + [make_job("no_supply") for _ in range(LEAST_COUNT)]
    jobs += [make_job(fault) for fault in ("link_open", UNKNOWN) for _ in range(LEAST_COUNT - 1)]
    rates = learn_rates(jobs, store)
    pooled = {rate.fault: rate for rate in rates.pooled}
    assert {"link_open", UNKNOWN} <= set(pooled)
    assert {"heater_weak", "no_supply"} <= {rate.fault for rate in rates.learned}
    factors = [r.after / (1 - r.after) / (r.before / (1 - r.before)) for r in rates.pooled]
    assert factors == pytest.approx([factors[0]] * len(factors))
    assert factors[0] != pytest.approx(1.0, abs=0.01)


def test_faults_that_are_too_few_even_together_keep_their_rates(store, make_job):
    rates = learn_rates([make_job("heater_weak") for _ in range(LEAST_COUNT)], store)
    assert [rate.fault for rate in rates.learned] == ["heater_weak"]
    assert sum(rate.expected for rate in rates.kept) < LEAST_COUNT
    assert all(rate.after == rate.before for rate in rates.kept)
    assert not rates.pooled


def test_no_jobs_change_nothing(store):
    rates = learn_rates([], store)
    assert not rates.learned
    assert after(rates) == pytest.approx(RATES | {UNKNOWN: UNKNOWN_RATE})


@pytest.mark.parametrize("weight", [1.0, 1e6])
@pytest.mark.parametrize("proven", [(), ("door_loose",), (UNKNOWN,), ("heater_weak", "door_loose")])
def test_whatever_was_proven_all_the_time_rates_stay_between_0_and_1(store, make_job, proven, weight):
    found = after(learn_rates([make_job(*proven) for _ in range(20_000)], store, weight))
    assert all(1e-9 <= rate <= 0.99 for rate in found.values())


def test_jobs_without_a_complaint_do_not_count(store, make_job):
    jobs = [make_job("heater_weak") for _ in range(30)]
    silent = [make_job("door_loose", complaint=None) for _ in range(30)]
    heard, both = learn_rates(jobs, store), learn_rates(jobs + silent, store)
    assert (both.jobs, both.silent, heard.silent) == (30, 30, 0)
    assert both.learned == heard.learned


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_the_order_of_jobs_does_not_matter_and_rates_stay_probabilities(store, make_job, data):
    names = [*RATES, UNKNOWN, None]
    drawn = data.draw(st.lists(st.tuples(st.sampled_from(names), st.sampled_from(["cold", "rattles"])), max_size=60))
    jobs = [make_job(*([] if fault is None else [fault]), complaint=complaint) for fault, complaint in drawn]
    found = learn_rates(jobs, store)
    assert learn_rates(data.draw(st.permutations(jobs)), store) == found
    assert all(0 < rate < 1 for rate in after(found).values())


def test_what_was_expected_all_along_changes_nothing(store, make_job):
    # Jobs in just the proportions that the pack expects: fractions of jobs do not exist, so there are many.
    expected = forecast(warmer(), "cold", SMALL)
    jobs = [make_job(fault) for fault, share in expected.items() for _ in range(round(share * 20_000))]
    none = 20_000 - len(jobs)
    assert none < 0  # two faults at once are counted twice here, so there is no room for jobs with none
    evaluation = evaluate(Case("warmer", options=SMALL, complaints=("cold",)), store, Rules())
    together, names = evaluation.together, evaluation.faults
    jobs = [make_job() for _ in range(round(evaluation.none * 20_000))]
    jobs += [make_job(UNKNOWN) for _ in range(round(evaluation.unknown * 20_000))]
    for i, j in zip(*np.nonzero(together), strict=True):
        jobs += [make_job(*{names[i], names[j]})] * round(together[i, j] * 20_000)
    assert after(learn_rates(jobs, store)) == pytest.approx(RATES | {UNKNOWN: UNKNOWN_RATE}, rel=0.01)


@pytest.mark.parametrize("world", [1, 2, 3])
def test_jobs_of_another_world_move_the_rates_towards_its_own(store, called, world):
    true = perturbed(warmer(), 11, world)
    rates = {fault.id: float(fault.rate) for fault in true.faults}
    jobs = called(true, 3000)
    before, many = (error(after(learn_rates(jobs[:count], store)), rates) for count in (0, 3000))
    assert many < min(0.15, before / 2)


def test_a_shop_that_is_called_for_one_thing_only_still_learns_its_rates(store, called):
    true = with_rates({"door_loose": 0.04, "lamp_dirty": 0.06})
    jobs = [job for job in called(true, 12_000) if job.complaint == "rattles"]
    found = after(learn_rates(jobs, store))
    assert found["door_loose"] == pytest.approx(0.04, rel=0.25)
    assert found["lamp_dirty"] == pytest.approx(0.06, rel=0.25)


def test_with_every_job_recorded_rates_converge_and_without_those_handed_on_they_do_not(store, called):
    # Handed on: what no repair of the pack cures.  Three faults, and whatever it does not know.
    true = perturbed(warmer(), 11, 3)
    rates = {fault.id: float(fault.rate) for fault in true.faults}
    before = error(RATES, rates)
    curable = {fault for repair in true.repairs for fault in repair.cures}
    jobs = called(true, 8000)
    every, some = [], []
    for count in (125, 500, 2000, 8000):
        told = [job for job in jobs[:count] if curable & set(job.proven) or not job.proven]
        assert 0.1 < 1 - len(told) / count < 0.3
        every.append(error(after(learn_rates(jobs[:count], store)), rates))
        some.append(error(after(learn_rates(told, store)), rates))
    assert before > every[0] > every[1] > every[2] > every[3]
    assert every[3] < 0.1
    assert min(some) > before


def test_a_prior_that_weighs_nothing_is_refused(store, make_job):
    with pytest.raises(ValueError, match="more than 0"):
        learn_rates([make_job("heater_weak")], store, 0.0)
