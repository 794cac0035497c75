"""Probabilities of conformity and what they decide."""

from __future__ import annotations

import math
from statistics import NormalDist

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.quantities.conformity import Thresholds, probability_above, probability_within, verdict

fixed = settings(derandomize=True, deadline=None, max_examples=300)
NUMBERS = st.floats(-1e6, 1e6)
UNCERTAINTIES = st.floats(0.0, 1e5)


@fixed
@given(NUMBERS, st.floats(1e-3, 1e5), NUMBERS, NUMBERS)
def test_it_is_the_normal_distribution_of_the_standard_library(y: float, u: float, a: float, b: float) -> None:
    low, high = min(a, b), max(a, b)
    normal = NormalDist(y, u)
    expected = normal.cdf(high) - normal.cdf(low)
    assert probability_within(y, u, low, high) == pytest.approx(expected, abs=1e-9)
    assert probability_within(y, u, low, None) == pytest.approx(1 - normal.cdf(low), abs=1e-9)
    assert probability_within(y, u, None, high) == pytest.approx(normal.cdf(high), abs=1e-9)
    assert probability_above(y, u, high) == pytest.approx(1 - normal.cdf(high), abs=1e-9)


@fixed
@given(NUMBERS, UNCERTAINTIES, NUMBERS, NUMBERS)
def test_it_is_always_a_probability(y: float, u: float, a: float, b: float) -> None:
    for low, high in ((min(a, b), max(a, b)), (a, None), (None, b), (None, None), (a, a)):
        assert 0.0 <= probability_within(y, u, low, high) <= 1.0
    assert 0.0 <= probability_above(y, u, a) <= 1.0


@fixed
@given(NUMBERS, UNCERTAINTIES, NUMBERS)
def test_above_and_not_above_are_all_there_is(y: float, u: float, limit: float) -> None:
    assert probability_above(y, u, limit) + probability_within(y, u, None, limit) == pytest.approx(1.0, abs=1e-12)


@fixed
@given(NUMBERS, st.floats(1e-3, 1e5), NUMBERS, NUMBERS, st.floats(0.0, 1e5))
def test_wider_limits_never_conform_less(y: float, u: float, a: float, b: float, more: float) -> None:
    low, high = min(a, b), max(a, b)
    narrow = probability_within(y, u, low, high)
    assert probability_within(y, u, low - more, high + more) >= narrow - 1e-15


@fixed
@given(NUMBERS, UNCERTAINTIES, NUMBERS, NUMBERS)
def test_reflection_changes_nothing(y: float, u: float, a: float, b: float) -> None:
    low, high = min(a, b), max(a, b)
    assert probability_within(y, u, low, high) == pytest.approx(probability_within(-y, u, -high, -low), abs=1e-12)


@pytest.mark.parametrize(
    ("y", "expected"), [(3.19, 0.0), (3.2, 1.0), (3.4, 1.0), (3.6, 1.0), (3.61, 0.0)]
)
def test_without_uncertainty_the_limits_belong_to_the_inside(y: float, expected: float) -> None:
    assert probability_within(y, 0.0, 3.2, 3.6) == expected


def test_without_uncertainty_above_is_strictly_above() -> None:
    assert probability_above(9.0, 0.0, 9.0) == 0.0
    assert probability_above(9.1, 0.0, 9.0) == 1.0
    assert probability_above(8.9, 0.0, 9.0) == 0.0


def test_far_out_nothing_is_lost_to_rounding() -> None:
    # 0.5 erfc(z / sqrt 2) at z = 10, which 1 minus a distribution function cannot give.
    assert probability_within(-10.0, 1.0, 0.0, None) == pytest.approx(7.619853024160527e-24, rel=1e-9)
    assert probability_within(10.0, 1.0, None, 0.0) == pytest.approx(7.619853024160527e-24, rel=1e-9)
    assert probability_within(-10.0, 1.0, 0.0, 1.0) == pytest.approx(7.619853024160527e-24, rel=1e-4)


def test_a_single_admissible_value_is_met_by_certainty_only() -> None:
    assert probability_within(5.0, 0.0, 5.0, 5.0) == 1.0
    assert probability_within(5.0, 0.1, 5.0, 5.0) == 0.0


def test_open_limits_are_always_met() -> None:
    assert probability_within(1e9, 1e9, None, None) == 1.0
    assert probability_within(5.0, 0.0, -math.inf, math.inf) == 1.0


def test_knowing_nothing_decides_nothing() -> None:
    assert probability_within(5.0, math.inf, 0.0, 10.0) == 0.0
    assert probability_within(5.0, math.inf, 0.0, None) == 0.5
    assert probability_above(5.0, math.inf, 10.0) == 0.5


@pytest.mark.parametrize(
    ("y", "u", "low", "high"),
    [
        (5.0, -0.1, 0.0, 1.0), (5.0, math.nan, 0.0, 1.0), (math.nan, 0.1, 0.0, 1.0), (math.inf, 0.1, 0.0, 1.0),
        (5.0, 0.1, 2.0, 1.0), (5.0, 0.1, math.nan, 1.0), (5.0, 0.1, 0.0, math.nan),
    ],
)  # fmt: skip
def test_nonsense_is_refused(y: float, u: float, low: float, high: float) -> None:
    with pytest.raises(ValueError, match="no conformity"):
        probability_within(y, u, low, high)


@pytest.mark.parametrize(("y", "u", "limit"), [(math.nan, 1.0, 9.0), (5.0, -1.0, 9.0), (5.0, 1.0, math.nan)])
def test_nonsense_above_a_limit_is_refused(y: float, u: float, limit: float) -> None:
    with pytest.raises(ValueError, match="no conformity"):
        probability_above(y, u, limit)


@pytest.mark.parametrize(
    ("probability", "expected"),
    [
        (1.0, "within"), (0.95, "within"), (0.9499, "inconclusive"), (0.5, "inconclusive"), (0.0501, "inconclusive"),
        (0.05, "outside"), (0.0, "outside"),
    ],
)  # fmt: skip
def test_the_default_thresholds(probability: float, expected: str) -> None:
    assert verdict(probability) == expected


def test_a_deployment_may_set_the_thresholds() -> None:
    strict = Thresholds(within=0.99, outside=0.2)
    assert verdict(0.97) == "within"
    assert verdict(0.97, strict) == "inconclusive"
    assert verdict(0.15) == "inconclusive"
    assert verdict(0.15, strict) == "outside"


@pytest.mark.parametrize(
    ("within", "outside"), [(0.05, 0.95), (0.5, 0.5), (1.1, 0.05), (0.95, -0.1), (math.nan, 0.05), (0.95, math.nan)]
)
def test_thresholds_that_make_no_sense_are_refused(within: float, outside: float) -> None:
    with pytest.raises(ValueError, match="outside < within"):
        Thresholds(within, outside)


@pytest.mark.parametrize("probability", [-0.01, 1.01, math.nan])
def test_no_verdict_on_what_is_no_probability(probability: float) -> None:
    with pytest.raises(ValueError, match="not a probability"):
        verdict(probability)
