"""Standard uncertainty of single and repeated readings."""

from __future__ import annotations

import math
import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.quantities.uncertainty import combine, half_width, rectangular, repeated, standard_uncertainty

fixed = settings(derandomize=True, deadline=None, max_examples=200)
VALUES = st.floats(-1e6, 1e6)
PARTS = st.floats(0.0, 1e3)


@fixed
@given(VALUES, st.floats(0, 100), st.floats(0, 100), st.floats(1e-6, 10))
def test_the_sign_of_a_reading_does_not_matter(value: float, percent: float, counts: float, digit: float) -> None:
    assert half_width(value, percent, counts, digit) == half_width(-value, percent, counts, digit) >= 0.0


def test_the_display_counts_once() -> None:
    alone = standard_uncertainty(120.0, 0.0, 0.0, 0.1)
    assert alone == pytest.approx(0.1 / math.sqrt(12))
    with_percent = standard_uncertainty(120.0, 1.0, 0.0, 0.1)
    assert with_percent == pytest.approx(math.hypot(1.2 / math.sqrt(3), alone))
    with_counts = standard_uncertainty(120.0, 1.0, 3.0, 0.1)
    assert with_counts == pytest.approx(1.5 / math.sqrt(3))


def test_half_a_count_is_the_display_itself() -> None:
    # Half a count as a rectangular half-width and F.2.2.1 say the same.
    assert standard_uncertainty(5.0, 0.0, 0.5, 0.1) == pytest.approx(0.1 / math.sqrt(12))


def test_a_perfect_meter_has_no_uncertainty() -> None:
    assert standard_uncertainty(5.0, 0.0, 0.0, 0.0) == 0.0
    assert rectangular(0.0) == 0.0


@fixed
@given(st.lists(PARTS, min_size=1, max_size=6))
def test_combining_adds_in_quadrature(parts: list[float]) -> None:
    total = combine(*parts)
    assert total == pytest.approx(math.sqrt(sum(p * p for p in parts)), rel=1e-12, abs=1e-150)
    assert max(parts) <= total * (1 + 1e-12)


@fixed
@given(st.lists(VALUES, min_size=2, max_size=12), st.floats(0.0, 100.0))
def test_repeated_readings_by_a_general_library(values: list[float], instrument: float) -> None:
    result = repeated(values, instrument)
    spread = statistics.stdev(values) / math.sqrt(len(values))
    assert result.n == len(values)
    assert result.mean == pytest.approx(statistics.fmean(values), rel=1e-9, abs=1e-6)
    assert result.type_a == pytest.approx(spread, rel=1e-6, abs=1e-6)
    assert result.combined == pytest.approx(math.hypot(result.type_a, instrument))
    assert result.standard_uncertainty >= result.combined * (1 - 1e-12)


def test_one_reading_is_known_as_well_as_its_instrument_is() -> None:
    result = repeated([120.3], 0.5)
    assert (result.mean, result.type_a, result.combined, result.standard_uncertainty) == (120.3, 0.0, 0.5, 0.5)
    assert result.degrees_of_freedom == math.inf


@pytest.mark.parametrize("n", range(2, 12))
@pytest.mark.parametrize("value", [0.1, 1.1, 3.3, 1080.0, -17.7777])
def test_identical_readings_add_nothing(n: int, value: float) -> None:
    result = repeated([value] * n, 0.25)
    assert result.mean == value
    assert result.type_a == 0.0
    assert result.standard_uncertainty == 0.25
    assert result.degrees_of_freedom == math.inf


def test_repeating_never_beats_the_instrument() -> None:
    result = repeated([1.0, 1.1, 0.9] * 50, 0.5)
    assert result.standard_uncertainty >= 0.5


def test_two_scattered_readings_know_little() -> None:
    # One degree of freedom: t = 12.71 against 1.96, so the uncertainty is 6.48 times the plain s/sqrt(n).
    result = repeated([10.0, 12.0])
    assert result.degrees_of_freedom == 1.0
    assert result.type_a == pytest.approx(1.0)
    assert result.standard_uncertainty == pytest.approx(12.71 / 1.960)


def test_scatter_small_against_the_instrument_widens_little() -> None:
    result = repeated([10.00, 10.02], 0.5)
    assert result.degrees_of_freedom > 1e6
    assert result.standard_uncertainty == pytest.approx(0.5, rel=1e-3)


def test_widening_falls_with_the_number_of_readings() -> None:
    ratios = []
    for n in (2, 3, 4, 6, 8, 12, 16, 22, 32, 52, 102, 1002):
        result = repeated([0.0, 1.0] * (n // 2) + [0.5] * (n % 2))
        ratios.append(result.standard_uncertainty / result.combined)
    assert ratios == sorted(ratios, reverse=True)
    assert ratios[-1] == pytest.approx(1.0, abs=2e-3)
    assert ratios[-1] > 1.0


@fixed
@given(st.lists(VALUES, min_size=1, max_size=8), st.floats(-1e3, 1e3))
def test_a_common_shift_moves_the_mean_only(values: list[float], shift: float) -> None:
    here, there = repeated(values, 1.0), repeated([v + shift for v in values], 1.0)
    assert there.mean == pytest.approx(here.mean + shift, rel=1e-9, abs=1e-6)
    assert there.type_a == pytest.approx(here.type_a, rel=1e-6, abs=1e-6)


def test_large_readings_do_not_overflow() -> None:
    result = repeated([1e30, -1e30, 1e30])
    assert math.isfinite(result.standard_uncertainty)


def test_no_reading_is_no_evaluation() -> None:
    with pytest.raises(ValueError, match="at least one"):
        repeated([])
