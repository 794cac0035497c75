"""Platinum and thermistor laws: inverses, slopes, shapes and refusals."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.physics.sensors import (
    IEC_60751,
    TRADE_3750,
    PlatinumCurve,
    ntc_beta,
    ntc_beta_temperature,
    platinum_resistance,
    platinum_slope,
    platinum_temperature,
    platinum_tolerance,
    steinhart_hart,
)

fixed = settings(derandomize=True, deadline=None, max_examples=200)
CURVES = pytest.mark.parametrize("curve", [IEC_60751, TRADE_3750], ids=lambda c: c.id)


def one(value: float) -> np.ndarray:
    return np.array(value, dtype=np.float64)


@CURVES
@fixed
@given(st.floats(-240.0, 1000.0), st.floats(0.1, 1e5))
def test_temperature_undoes_resistance(curve: PlatinumCurve, t: float, nominal: float) -> None:
    ohms = platinum_resistance(one(t), one(nominal), curve)
    assert platinum_temperature(ohms, one(nominal), curve) == pytest.approx(t, abs=1e-9)


@CURVES
def test_temperature_is_exact_at_and_around_zero(curve: PlatinumCurve) -> None:
    t = np.array([-1.0, -1e-6, -1e-9, 0.0, 1e-9, 1e-6, 1.0])
    ohms = platinum_resistance(t, one(1000.0), curve)
    np.testing.assert_allclose(platinum_temperature(ohms, one(1000.0), curve), t, rtol=0, atol=1e-12)
    assert platinum_temperature(one(1000.0), one(1000.0), curve) == 0.0


@CURVES
def test_resistance_rises_with_temperature_everywhere(curve: PlatinumCurve) -> None:
    ohms = platinum_resistance(np.linspace(-240.0, 1000.0, 2481), one(100.0), curve)
    assert np.all(np.diff(ohms) > 0)


@CURVES
@fixed
@given(st.floats(-240.0, 1000.0))
def test_slope_is_the_derivative(curve: PlatinumCurve, t: float) -> None:
    step = 1e-3
    up, down = (platinum_resistance(one(t + s), one(1000.0), curve) for s in (step, -step))
    assert platinum_slope(one(t), one(1000.0), curve) == pytest.approx(float(up - down) / (2 * step), rel=1e-6)


def test_arrays_broadcast_in_every_argument() -> None:
    t = np.array([[-40.0], [21.0], [260.0]])
    nominal = np.array([100.0, 1000.0])
    ohms = platinum_resistance(t, nominal, IEC_60751)
    assert ohms.shape == (3, 2)
    assert ohms.dtype == np.float64
    np.testing.assert_allclose(ohms[:, 1], 10 * ohms[:, 0], rtol=1e-14)
    back = platinum_temperature(ohms, nominal, IEC_60751)
    np.testing.assert_allclose(back, np.broadcast_to(t, (3, 2)), rtol=0, atol=1e-10)
    assert platinum_slope(t, nominal, IEC_60751).shape == (3, 2)


def test_elements_do_not_influence_each_other() -> None:
    t = np.array([-200.0, -40.0, 20.0, 700.0])
    together = platinum_temperature(platinum_resistance(t, one(100.0), IEC_60751), one(100.0), IEC_60751)
    alone = [platinum_temperature(platinum_resistance(one(v), one(100.0), IEC_60751), one(100.0), IEC_60751) for v in t]
    assert together.tolist() == [float(v) for v in alone]


def test_no_temperature_has_a_resistance_beyond_the_maximum() -> None:
    result = platinum_temperature(np.array([1e5, 1080.0, np.nan]), one(1000.0), IEC_60751)
    assert np.isnan(result).tolist() == [True, False, True]


def test_a_shorted_sensor_reads_as_deep_cold_not_as_nonsense() -> None:
    cold = platinum_temperature(np.array([5.0, 0.0]), one(1000.0), IEC_60751)
    assert np.all((cold < -235.0) & (cold > -245.0))
    np.testing.assert_allclose(platinum_resistance(cold, one(1000.0), IEC_60751), [5.0, 0.0], atol=1e-9)


def test_the_two_curves_say_where_they_come_from() -> None:
    assert IEC_60751.basis == "published"
    assert "IEC 60751" in IEC_60751.source
    assert TRADE_3750.basis == "common_practice"
    assert TRADE_3750.alpha == pytest.approx(3.750e-3, abs=5e-8)
    assert IEC_60751.id != TRADE_3750.id


def test_the_trade_curve_agrees_with_its_rounded_form_as_its_comment_says() -> None:
    t = np.linspace(-50.0, 300.0, 701)
    rounded = 1000.0 * (1 + 3.81e-3 * t - 6.02e-7 * t**2)
    above = t >= 0
    apart = platinum_temperature(rounded, one(1000.0), TRADE_3750) - t
    assert np.max(np.abs(apart[above])) < 0.1
    assert np.max(np.abs(apart[above])) > 0.0


def test_tolerance_is_symmetric_and_ordered_by_class() -> None:
    t = np.array([-40.0, 0.0, 40.0, 250.0])
    widths = [platinum_tolerance(c, t) for c in ("AA", "A", "B", "C")]
    assert all(np.all(a < b) for a, b in pairwise(widths))
    assert widths[2][0] == widths[2][2]


def test_an_unknown_tolerance_class_is_refused_by_name() -> None:
    with pytest.raises(ValueError, match=r"'D'.*AA, A, B, C"):
        platinum_tolerance("D", one(0.0))  # type: ignore[arg-type]


@fixed
@given(st.floats(-60.0, 300.0), st.floats(10.0, 1e6), st.floats(2000.0, 5000.0))
def test_beta_undoes_itself(t: float, r25: float, beta: float) -> None:
    ohms = ntc_beta(one(t), one(r25), one(beta))
    assert ntc_beta_temperature(ohms, one(r25), one(beta)) == pytest.approx(t, abs=1e-8)


def test_a_thermistor_has_its_nominal_resistance_at_25_degrees_and_falls() -> None:
    assert ntc_beta(one(25.0), one(10e3), one(3950.0)) == 10e3
    t = np.linspace(-60, 300, 361)
    assert np.all(np.diff(ntc_beta(t, one(10e3), one(3950.0))) < 0)


def test_thermistor_parameters_broadcast() -> None:
    ohms = ntc_beta(np.array([[0.0], [50.0]]), np.array([10e3, 5e3, 2e3]), np.array([3950.0, 3435.0, 3000.0]))
    assert ohms.shape == (2, 3)


def test_steinhart_hart_without_its_cube_is_the_beta_equation() -> None:
    beta, r25 = 3950.0, 10e3
    a, b = 1 / 298.15 - np.log(r25) / beta, 1 / beta
    ohms = np.array([500.0, 3600.0, 10e3, 30e3])
    expected = ntc_beta_temperature(ohms, one(r25), one(beta))
    np.testing.assert_allclose(steinhart_hart(ohms, float(a), b, 0.0), expected, rtol=0, atol=1e-9)
