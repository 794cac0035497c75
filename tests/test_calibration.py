"""Scores of forecasts: worked by hand, against scikit-learn, and against their own null."""

from __future__ import annotations

import numpy as np
import pytest
from sklearn.calibration import calibration_curve
from sklearn.metrics import brier_score_loss, log_loss, top_k_accuracy_score

from probewright.calibration import (
    brier_score,
    expected_calibration_error,
    log_score,
    murphy,
    reliability,
    scores,
    simulated_null,
    top_share,
)

TEN = np.repeat([0.2, 0.8], 5)
EVENTS = np.array([1, 0, 0, 0, 0, 1, 1, 1, 1, 0])


def both(forecasts):
    """Forecasts of an event as those of two outcomes: it stays away, it comes."""
    return np.stack([1 - forecasts, forecasts], axis=1)


def some(cases=400, outcomes=6, seed=1):
    """Forecasts, sure and unsure ones, and truths that follow them."""
    chance = np.random.default_rng(seed)
    rows = chance.dirichlet(np.full(outcomes, 0.4), size=cases)
    truth = np.array([chance.choice(outcomes, p=row) for row in rows])
    return rows, truth


def test_ten_forecasts_of_one_event_by_hand():
    parts = murphy(TEN, EVENTS)
    assert (parts.reliability, parts.resolution, parts.uncertainty) == pytest.approx((0.0, 0.09, 0.25))
    assert parts.brier == pytest.approx(0.16)
    assert brier_score(both(TEN), EVENTS) == pytest.approx(2 * 0.16)
    assert expected_calibration_error(both(TEN), EVENTS) == pytest.approx(0.0)


def test_ten_forecasts_in_their_table():
    (table,) = reliability(both(TEN), EVENTS)
    assert (table.low, table.high, table.count) == pytest.approx((0.7, 0.8, 10))
    assert (table.confidence, table.frequency) == pytest.approx((0.8, 0.8))


def test_a_calibration_error_by_hand():
    rows = np.array([[0.9, 0.1], [0.9, 0.1], [0.6, 0.4], [0.6, 0.4]])
    truth = np.array([0, 1, 0, 0])
    assert expected_calibration_error(rows, truth) == pytest.approx((2 * abs(0.9 - 0.5) + 2 * abs(0.6 - 1.0)) / 4)


@pytest.mark.parametrize("outcomes", [2, 3, 9])
def test_brier_and_log_score_are_scikit_learns(outcomes):
    rows, truth = some(outcomes=outcomes)
    labels = range(outcomes)
    assert brier_score(rows, truth) == pytest.approx(
        brier_score_loss(truth, rows, labels=labels, scale_by_half=False), rel=1e-12
    )
    assert log_score(rows, truth, clip=1e-15) == pytest.approx(log_loss(truth, rows, labels=labels), rel=1e-9)


def test_the_parts_of_a_brier_score_add_up_to_scikit_learns():
    chance = np.random.default_rng(2)
    forecasts = chance.integers(0, 11, 500) / 10
    events = (chance.random(500) < forecasts**2).astype(int)
    parts = murphy(forecasts, events)
    assert parts.brier == pytest.approx(brier_score_loss(events, forecasts), rel=1e-12)
    assert parts.reliability > 0.005


@pytest.mark.parametrize("bins", [5, 10])
def test_the_reliability_table_is_scikit_learns(bins):
    rows, truth = some()
    top = rows.argmax(axis=1)
    frequency, confidence = calibration_curve(top == truth, rows.max(axis=1), n_bins=bins)
    table = reliability(rows, truth, bins)
    assert [b.frequency for b in table] == pytest.approx(frequency)
    assert [b.confidence for b in table] == pytest.approx(confidence)
    assert sum(b.count for b in table) == len(truth)
    assert all(b.low < b.confidence <= b.high for b in table)


@pytest.mark.parametrize("bins", [5, 10])
def test_a_calibration_error_weighs_scikit_learns_curve_by_the_cases_in_each_bin(bins):
    rows, truth = some()
    top = rows.argmax(axis=1)
    frequency, confidence = calibration_curve(top == truth, rows.max(axis=1), n_bins=bins)
    counts, _ = np.histogram(rows.max(axis=1), np.linspace(0.0, 1.0, bins + 1))
    weights = counts[counts > 0] / len(truth)
    assert max(weights) > 2 * min(weights)
    assert expected_calibration_error(rows, truth, bins) == pytest.approx(weights @ np.abs(frequency - confidence))


def test_what_is_sure_stands_in_the_last_bin():
    rows = np.array([[1.0, 0.0], [0.0, 1.0], [1.0 + 1e-7, 0.0]])  # rows add up to 1 but for rounding
    (table,) = reliability(rows, np.array([0, 0, 0]))
    assert (table.low, table.high, table.count) == (0.9, 1.0, 3)
    assert table.frequency == pytest.approx(2 / 3)


@pytest.mark.parametrize("k", [1, 3])
def test_the_share_among_the_likeliest_is_scikit_learns(k):
    rows, truth = some(outcomes=9)
    assert top_share(rows, truth, k) == pytest.approx(top_k_accuracy_score(truth, rows, k=k, labels=range(9)))


def test_of_equal_outcomes_the_first_column_comes_first():
    rows = np.full((4, 4), 0.25)
    assert top_share(rows, np.array([0, 1, 2, 3]), 1) == 0.25
    assert top_share(rows, np.array([0, 1, 2, 3]), 3) == 0.75


def test_a_truth_held_impossible_is_scored_at_the_clip():
    rows, truth = np.array([[1.0, 0.0]]), np.array([1])
    assert log_score(rows, truth) == pytest.approx(-np.log(1e-6))
    assert log_score(rows, truth, clip=0.01) == pytest.approx(-np.log(0.01))
    assert brier_score(rows, truth) == pytest.approx(2.0)


def test_a_perfectly_calibrated_forecaster_is_inside_its_null_about_95_times_in_100():
    inside = np.zeros(3)
    for seed in range(200):
        rows, truth = some(cases=120, outcomes=4, seed=seed)
        null = simulated_null(rows, seed=seed, draws=100)
        measured = (expected_calibration_error(rows, truth), brier_score(rows, truth), log_score(rows, truth))
        inside += np.array(measured) <= (null.ece_95, null.brier_95, null.log_95)
    # 190 expected; the binomial distribution puts all but one in a thousand between 180 and 199.
    assert ((inside >= 180) & (inside <= 199)).all()


@pytest.mark.parametrize(("rare", "inside"), [(0.03, True), (0.07, False)])
def test_a_limit_is_what_95_of_100_stay_at_or_under(rare, inside):
    # One case: the score is high just as often as what is rare comes true.
    null = simulated_null(np.array([[1 - rare, rare]]), seed=0, draws=4000)
    low, high = 2 * rare**2, 2 * (1 - rare) ** 2
    assert null.brier_95 == pytest.approx(low if inside else high)


def test_a_forecaster_that_is_too_sure_is_outside_its_null():
    rows, truth = some(cases=300)
    surer = rows**2 / (rows**2).sum(axis=1, keepdims=True)
    found = scores(surer, truth)
    assert found.ece > found.null.ece_95
    assert found.brier > found.null.brier_95
    assert found.log > found.null.log_95
    assert not found.calibrated
    assert scores(rows, truth).calibrated


def test_a_forecaster_that_is_not_sure_enough_is_outside_its_null():
    rows, truth = some(cases=600)
    wary = np.sqrt(rows) / np.sqrt(rows).sum(axis=1, keepdims=True)
    assert not scores(wary, truth).calibrated


def test_the_null_of_few_cases_is_wide_though_the_forecaster_is_perfect():
    few, many = (simulated_null(some(cases=n)[0], seed=0) for n in (50, 1000))
    # What Roelofs et al. (AISTATS 2022) warn of: the binned error of a perfect model is far from 0.
    assert few.ece_mean > 0.05
    assert few.ece_95 > 2 * many.ece_95 > 0


def test_all_scores_in_one_record():
    rows, truth = some()
    found = scores(rows, truth, seed=3)
    assert found.count == len(truth)
    assert found.truth == pytest.approx(rows[np.arange(len(truth)), truth].mean())
    assert (found.top_1, found.top_3) == (top_share(rows, truth, 1), top_share(rows, truth, 3))
    assert (found.brier, found.log) == (brier_score(rows, truth), log_score(rows, truth))
    assert found.ece == expected_calibration_error(rows, truth)
    assert found.bins == reliability(rows, truth)
    assert found.null == simulated_null(rows, seed=3)
    assert found.null != simulated_null(rows, seed=4)


@pytest.mark.parametrize(
    ("rows", "truth", "told"),
    [
        (np.array([[0.5, 0.4]]), np.array([0]), "adds up to 1"),
        (np.array([[1.5, -0.5]]), np.array([0]), "at least 0"),
        (np.array([[np.nan, 1.0]]), np.array([0]), "at least 0"),
        (np.array([[0.5, 0.5]]), np.array([2]), "a column"),
        (np.array([[0.5, 0.5]]), np.array([-1]), "a column"),
        (np.array([[0.5, 0.5]]), np.array([0, 1]), "shape"),
        (np.zeros((0, 2)), np.zeros(0, dtype=int), "no case"),
    ],
)
def test_what_is_no_forecast_is_refused(rows, truth, told):
    for score in (brier_score, log_score, reliability, expected_calibration_error, scores):
        with pytest.raises(ValueError, match=told):
            score(rows, truth)


@pytest.mark.parametrize(
    ("forecasts", "events", "told"), [([], [], "forecasts"), ([0.5], [1, 0], "forecasts"), ([1.5], [1], "from 0 to 1")]
)
def test_what_is_no_forecast_of_an_event_is_refused(forecasts, events, told):
    with pytest.raises(ValueError, match=told):
        murphy(np.array(forecasts), np.array(events))
