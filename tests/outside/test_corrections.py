"""Corrected readings against the Guides of the Joint Committee for Guides in Metrology.

JCGM 100:2008 (the GUM), H.3: calibration of a thermometer by a fitted straight line.  JCGM 101:2008: propagation of
distributions by a Monte Carlo method.  The fits and the draws here are numpy's, not ours.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from probewright.engine import check_readings, diagnose
from probewright.packs.loader import load_packs
from probewright.quantities.correction import linear
from probewright.quantities.instruments import resolve
from probewright.settings import Settings
from probewright_schemas.records import Case, Conditions, Correction, Limits, Meter, Quantity, Reading

#: JCGM 100:2008, Table H.6: readings of the thermometer and observed corrections, in degC.  From memory; that they give
#: all seven printed results of the fit confirms them.
H6_READINGS = (21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511)
H6_CORRECTIONS = (-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160)
#: JCGM 100:2008, H.3.2 to H.3.4: b(t) = y1 + y2 (t - t0) with t0 = 20 degC, and what it predicts at 30 degC.
T0, Y1, U_Y1, Y2, U_Y2, R, S = 20.0, -0.1712, 0.0029, 0.00218, 0.00067, -0.930, 0.0035
AT, PREDICTED, U_PREDICTED = 30.0, -0.1494, 0.0041


@pytest.fixture(scope="module")
def fit():
    """The line and its covariances by numpy's least squares: y, and their covariance matrix."""
    away, observed = np.array(H6_READINGS) - T0, np.array(H6_CORRECTIONS)
    design = np.stack([np.ones_like(away), away], axis=1)
    y, residual, _, _ = np.linalg.lstsq(design, observed, rcond=None)
    return y, residual[0] / (len(away) - 2) * np.linalg.inv(design.T @ design)


@pytest.fixture(scope="module")
def gas_range():
    return load_packs().get("gas_range")


def line(y1, u1, y2, u2, r, unit="degC", t0=T0):
    """A fitted line as a correction: its slope is the gain less one."""
    return Correction(1.0 + y2, u2, Quantity(y1, unit), Quantity(u1, unit), Quantity(t0, unit), r)


def fitted(fit):
    y, covariance = fit
    u = np.sqrt(np.diag(covariance))
    return line(*(float(x) for x in (y[0], u[0], y[1], u[1], covariance[0, 1] / u[0] / u[1])))


def test_the_eleven_readings_give_the_printed_line(fit):
    y, covariance = fit
    u = np.sqrt(np.diag(covariance))
    assert (round(y[0], 4), round(y[1], 5)) == (Y1, Y2)
    assert (round(u[0], 4), round(u[1], 5)) == (U_Y1, U_Y2)
    assert round(covariance[0, 1] / u[0] / u[1], 3) == R
    residuals = np.array(H6_CORRECTIONS) - y[0] - y[1] * (np.array(H6_READINGS) - T0)
    assert round(math.sqrt((residuals**2).sum() / 9), 4) == S


def test_the_predicted_correction_and_its_uncertainty_are_the_printed_ones(fit):
    found = linear(fitted(fit), "temperature")
    assert round(found.apply(AT) - AT, 4) == PREDICTED
    assert round(found.standard_uncertainty(AT), 4) == U_PREDICTED


def test_the_printed_line_gives_the_printed_prediction():
    # From the rounded figures: -0.1712 + 10 x 0.00218 = -0.1494, and u to one digit less.
    found = linear(line(Y1, U_Y1, Y2, U_Y2, R), "temperature")
    assert found.apply(AT) - AT == pytest.approx(PREDICTED, abs=1e-9)
    assert found.standard_uncertainty(AT) == pytest.approx(U_PREDICTED, abs=5e-5)


def test_the_line_about_another_temperature_predicts_the_same(fit):
    # H.3.5 (from memory): about the mean of the readings, 24.0085 degC, the two are uncorrelated, y1 is -0.1625 degC
    # and u is 0.0011; the prediction does not depend on it.
    y, covariance = fit
    t0 = T0 - covariance[0, 1] / covariance[1, 1]
    moved = np.array([[1.0, t0 - T0], [0.0, 1.0]])
    about, spread = moved @ y, moved @ covariance @ moved.T
    assert abs(spread[0, 1]) < 1e-12
    assert (round(t0, 4), round(about[0], 4), round(spread[0, 0] ** 0.5, 4)) == (24.0085, -0.1625, 0.0011)
    other = linear(line(float(about[0]), spread[0, 0] ** 0.5, float(about[1]), spread[1, 1] ** 0.5, 0.0, t0=t0),
                   "temperature")  # fmt: skip
    one = linear(fitted(fit), "temperature")
    assert other.apply(AT) == pytest.approx(one.apply(AT), abs=1e-12)
    assert other.standard_uncertainty(AT) == pytest.approx(one.standard_uncertainty(AT), rel=1e-9)


@pytest.mark.parametrize("unit", ["degC", "degF", "K"])
def test_the_thermometer_of_the_guide_in_an_oven(fit, gas_range, unit):
    """The same line through the whole service, in three units: kelvin differ by a zero, degrees Fahrenheit by 1.8."""
    scale, zero = {"degC": (1.0, 0.0), "degF": (1.8, 32.0), "K": (1.0, 273.15)}[unit]
    y, covariance = fit
    u, r = np.sqrt(np.diag(covariance)), float(covariance[0, 1] / math.sqrt(covariance[0, 0] * covariance[1, 1]))
    correction = line(float(y[0]) * scale, float(u[0]) * scale, float(y[1]), float(u[1]), r, unit, T0 * scale + zero)
    # A meter that knows: no percent, no counts, a millionth of a kelvin; what is left is the correction's.
    exact = Meter("thermometer", 0.0, 0.0, Quantity(1e-6, "K"))
    reading = Reading("oven_temperature", AT * scale + zero, unit=unit, meter="it", correction=correction)
    case = Case("gas_range", conditions=Conditions(set_point=Quantity(30.0, "degC")), meters={"it": exact},
                readings=(reading,))  # fmt: skip
    for ask in (check_readings, diagnose):
        told = ask(case, gas_range, Settings()).readings[0]
        assert told.as_read == pytest.approx(AT * scale + zero, abs=1e-9)
        assert round((told.value - told.as_read) / scale, 4) == PREDICTED
        assert round(told.standard_uncertainty / scale, 4) == U_PREDICTED
    # With the usual thermometer its own error adds to that, as 5.1.2 has it.
    usual = resolve(None, "temperature").standard_uncertainty(AT)
    unnamed = (Reading("oven_temperature", AT * scale + zero, unit=unit, correction=correction),)
    plain = check_readings(Case("gas_range", conditions=case.conditions, readings=unnamed), gas_range, Settings())
    u_line = math.sqrt(float(np.array([1.0, 10.0]) @ covariance @ np.array([1.0, 10.0])))
    assert plain.readings[0].standard_uncertainty / scale == pytest.approx(
        math.hypot((1.0 + float(y[1])) * usual, u_line), rel=1e-9
    )


#: Draws of the Monte Carlo method; JCGM 101:2008, 7.2.2 has a million for two digits of 95 % intervals.
DRAWS = 1_000_000
#: Meter, what it shows, and a correction of it; all invented.
DRAWN = [
    ("current", Meter("clamp_meter", 2.0, 5.0, Quantity(0.01, "A")), 2.45,
     Correction(1.064, 0.004, Quantity(0.02, "A"), Quantity(0.01, "A"), Quantity(0.5, "A"), -0.93)),
    ("current", Meter("clamp_meter", 1.0, 2.0, Quantity(0.01, "A")), 4.0,
     Correction(0.93, 0.03, Quantity(-0.05, "A"), Quantity(0.06, "A"), None, 0.6)),
    ("voltage", Meter("multimeter", 0.5, 2.0, Quantity(0.1, "V")), 118.3,
     Correction(1.02, 0.006, Quantity(0.3, "V"), Quantity(0.4, "V"), Quantity(100.0, "V"), 0.0)),
    ("temperature", Meter("thermometer", 1.0, 0.0, Quantity(0.1, "degC")), 182.4,
     Correction(1.5, 0.01, Quantity(-2.0, "degF"), Quantity(0.9, "degF"), Quantity(32.0, "degF"), -0.4)),
    ("resistance", Meter("multimeter", 1.0, 1.0, Quantity(0.1, "ohm"), Quantity(0.3, "ohm"), leads_zeroed=True), 18.0,
     Correction(2.5, 0.02, Quantity(0.1, "ohm"), Quantity(0.2, "ohm"), Quantity(0.01, "kohm"), 0.3)),
]  # fmt: skip


def drawn(kind, meter, shown, correction, seed):
    """What may have been there when this was shown: a million draws by numpy."""
    chance = np.random.default_rng(seed)
    # Of temperatures differences: 1.8 degF a kelvin; of all others the canonical unit.
    unit = {"degF": 1 / 1.8, "kohm": 1000.0}
    scaled = {
        name: 0.0 if quantity is None else quantity.value * unit.get(quantity.unit, 1.0)
        for name in ("offset", "offset_uncertainty", "at") for quantity in [getattr(correction, name)]
    }  # fmt: skip
    if kind == "temperature":
        scaled["at"] = (correction.at.value - 32) / 1.8
    u = np.array([correction.gain_uncertainty, scaled["offset_uncertainty"]])
    covariance = np.outer(u, u) * np.array([[1.0, correction.correlation], [correction.correlation, 1.0]])
    gain, offset = chance.multivariate_normal([correction.gain, scaled["offset"]], covariance, DRAWS).T
    # JCGM 100:2008, 4.3.7: anywhere within percent and counts; a display without counts, within half a digit (F.2.2.1).
    half = shown * meter.percent_of_reading / 100 + meter.counts * meter.resolution.value
    indicated = shown + chance.uniform(-half, half, DRAWS)
    if meter.counts < 0.5:
        indicated += chance.uniform(-0.5, 0.5, DRAWS) * meter.resolution.value
    there = indicated + offset + (gain - 1.0) * (indicated - scaled["at"])
    if kind == "resistance":
        contact = resolve(meter, kind).lead_half_width
        there += chance.uniform(-contact, contact, DRAWS)
    return there


@pytest.mark.parametrize(("kind", "meter", "shown", "correction"), DRAWN)
def test_a_corrected_reading_is_what_a_million_draws_give(kind, meter, shown, correction):
    """JCGM 101:2008, 5.1 to 7: mean and standard deviation of the drawn values."""
    there = drawn(kind, meter, shown, correction, seed=101)
    found = linear(correction, kind).evaluate(resolve(meter, kind), [shown])
    # The mean of a million draws errs by u/1000; the law of uncertainty propagation leaves out the product of two small
    # errors (5.1.2, note), a share of u_gain^2 / gain^2, here up to 0.1 %.
    assert there.mean() == pytest.approx(found.mean, abs=5 * there.std() / math.sqrt(DRAWS))
    assert there.std() == pytest.approx(found.standard_uncertainty, rel=0.006)


@pytest.mark.parametrize(("kind", "meter", "shown", "correction"), DRAWN[:1])
def test_the_correlation_matters_to_these_draws(kind, meter, shown, correction):
    # Were the correlation left out, or its sign wrong, the check above would fail.
    there = drawn(kind, meter, shown, correction, seed=101)
    for wrong in (0.0, 0.93):
        other = Correction(*(getattr(correction, name) for name in (
            "gain", "gain_uncertainty", "offset", "offset_uncertainty", "at")), wrong)  # fmt: skip
        found = linear(other, kind).evaluate(resolve(meter, kind), [shown])
        assert abs(there.std() / found.standard_uncertainty - 1) > 0.006


@pytest.mark.parametrize(
    ("shown", "low", "high"), [(2.3, 2.5, 2.9), (2.45, 2.5, 2.9), (2.35, 2.5, 2.6), (2.7, 2.5, 2.9)]
)
def test_the_probability_of_being_within_is_the_share_of_the_draws(gas_range, shown, low, high):
    """JCGM 106:2012, 7: where the corrected value's doubt is mostly normal, a share of draws from JCGM 101."""
    meter = Meter("clamp_meter", 0.3, 0.5, Quantity(0.001, "A"))
    correction = Correction(1.064, 0.03, Quantity(0.02, "A"), Quantity(0.02, "A"), Quantity(0.5, "A"), 0.2)
    reading = Reading("bake_igniter_current", shown, unit="A", meter="it", correction=correction)
    case = Case("gas_range", readings=(reading,), meters={"it": meter},
                tech_sheet={"bake_igniter_current": Limits("A", low, high)},
                conditions=Conditions(supply_voltage=Quantity(120.0, "V")))  # fmt: skip
    told = check_readings(case, gas_range, Settings()).readings[0]
    there = drawn("current", meter, shown, correction, seed=106)
    share = float(((there >= low) & (there <= high)).mean())
    # Five standard deviations of a share of a million draws, and what the rectangular part is not normal.
    assert told.probability_within == pytest.approx(share, abs=5 * 0.5 / math.sqrt(DRAWS) + 0.003)
