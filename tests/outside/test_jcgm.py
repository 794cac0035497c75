"""Uncertainty and conformity against the Guides of the Joint Committee for Guides in Metrology.

JCGM 100:2008 (the GUM), JCGM 106:2012, and EA-4/02 M:2022 for one calibration.
"""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest

from probewright.quantities.conformity import probability_above, probability_within, verdict
from probewright.quantities.instruments import resolve
from probewright.quantities.uncertainty import (
    _T_95,
    _T_95_BEYOND,
    combine,
    half_width,
    rectangular,
    repeated,
    standard_uncertainty,
)
from probewright_schemas.records import Meter, Quantity


@pytest.mark.parametrize(
    ("value", "stated", "a", "u"),
    [
        # JCGM 100:2008, 4.3.7: u = a/sqrt(3); stated: percent of reading, counts, and what a count is worth.
        (120.0, (1.0, 3.0, 0.1), 1.5000, 0.8660),
        (240.0, (1.0, 3.0, 0.1), 2.7000, 1.5588),
        (1080.0, (0.5, 2.0, 1.0), 7.4000, 4.2724),
        (5.0, (0.5, 2.0, 0.01), 0.0450, 0.0260),
    ],
)
def test_a_data_sheets_statement(value: float, stated: tuple[float, float, float], a: float, u: float) -> None:
    assert half_width(value, *stated) == pytest.approx(a, abs=1e-9)
    assert standard_uncertainty(value, *stated) == pytest.approx(u, abs=5e-5)


def test_a_data_sheets_statement_through_a_whole_meter() -> None:
    # JCGM 100:2008, 4.3.7, as above: 240.0 V with 1.0 % and 3 counts of 0.1 V.
    meter = Meter("multimeter", percent_of_reading=1.0, counts=3.0, resolution=Quantity(100.0, "mV"))
    assert resolve(meter, "voltage").standard_uncertainty(240.0) == pytest.approx(1.5588, abs=5e-5)


def test_the_resolution_of_an_indication() -> None:
    # JCGM 100:2008, F.2.2.1: u = 0.29 of one digit.
    assert standard_uncertainty(10.0, 0.0, 0.0, 1.0) == pytest.approx(0.29, abs=0.005)
    assert standard_uncertainty(10.0, 0.0, 0.0, 0.1) == pytest.approx(0.1 / math.sqrt(12), abs=1e-12)


def test_the_temperature_readings_of_the_guide() -> None:
    # JCGM 100:2008, 4.4.3 and Table 1: twenty readings in degC; mean 100.14, s 1.49, u = s/sqrt(20) = 0.33.
    # Readings from memory; that they give the printed results confirms them.
    readings = [
        96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
        100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72,
    ]  # fmt: skip
    result = repeated(readings)
    assert result.mean == pytest.approx(100.145, abs=5e-4)
    assert result.type_a == pytest.approx(0.333, abs=5e-4)
    assert result.type_a * math.sqrt(20) == pytest.approx(1.489, abs=5e-4)
    assert result.degrees_of_freedom == 19


# JCGM 100:2008, Table H.2: volts, milliamperes and radians, read together five times (from memory; see Table H.4).
H2_VOLTS = (5.007, 4.994, 5.005, 4.990, 4.999)
H2_MILLIAMPERES = (19.663, 19.639, 19.640, 19.685, 19.678)
H2_RADIANS = (1.0456, 1.0438, 1.0468, 1.0428, 1.0433)


@pytest.mark.parametrize(
    ("part", "mean", "u"),
    [("resistance", 127.732, 0.071), ("reactance", 219.847, 0.295), ("impedance", 254.260, 0.236)],
)
def test_repeated_correlated_readings_of_an_impedance(part: str, mean: float, u: float) -> None:
    # JCGM 100:2008, H.2.4, second approach and Table H.4: evaluate each of the five sets, then average.
    sets = [
        cmath.rect(v / (ma * 1e-3), phi) for v, ma, phi in zip(H2_VOLTS, H2_MILLIAMPERES, H2_RADIANS, strict=True)
    ]
    pick = {"resistance": lambda z: z.real, "reactance": lambda z: z.imag, "impedance": abs}[part]
    result = repeated([pick(z) for z in sets])
    assert result.mean == pytest.approx(mean, abs=1e-3)
    assert result.type_a == pytest.approx(u, abs=1e-3)


@pytest.mark.parametrize(
    ("values", "mean", "u"),
    [(H2_VOLTS, 4.9990, 0.0032), (H2_MILLIAMPERES, 19.6610, 0.0095), (H2_RADIANS, 1.04446, 0.00075)],
)
def test_means_of_the_impedance_example(values: tuple[float, ...], mean: float, u: float) -> None:
    # JCGM 100:2008, Table H.2, last lines: arithmetic means and their experimental standard deviations.
    result = repeated(values)
    assert result.mean == pytest.approx(mean, abs=1e-5)
    assert result.type_a == pytest.approx(u, abs=5e-5)


def test_combined_uncertainty_of_the_end_gauge() -> None:
    # JCGM 100:2008, H.1.4: 25 nm, 9.7 nm, 2.9 nm and 16.6 nm combine to 32 nm (from memory).
    assert round(combine(25.0, 9.7, 2.9, 16.6)) == 32


def test_power_from_voltage_and_resistance() -> None:
    # JCGM 100:2008, 5.1.2: 240 V with u 1.5588 V across 19.2 ohm with u 0.1 ohm; P = V^2/R; computed with the
    # library uncertainties 3.2.3: 3000.0 W with u 41.99 W.
    volts, ohms = 240.0, 19.2
    u = combine(2 * volts / ohms * 1.5588, volts**2 / ohms**2 * 0.1)
    assert u == pytest.approx(41.99, abs=0.01)


def test_a_hand_held_meter_calibrated() -> None:
    # EA-4/02 M:2022, example S9: calibrator within 0.011 V, resolution half-width 0.05 V; u(E) = 0.030 V and, the
    # rectangular term being dominant, k = 1.65 (S9.14: 0.95 sqrt 3), U = 0.05 V.  Inputs from memory.
    u = combine(rectangular(0.011), rectangular(0.05))
    assert u == pytest.approx(0.0296, abs=5e-5)
    assert 0.95 * 0.05 / rectangular(0.05) == pytest.approx(1.6454, abs=1e-4)
    assert u * 1.65 == pytest.approx(0.05, abs=0.0015)


def _student_coverage(t: float, freedom: int) -> float:
    """Probability between -t and t of Student's distribution, by Simpson's rule on its density."""
    x = np.linspace(0.0, t, 4001)
    log_norm = math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2) - 0.5 * math.log(freedom * math.pi)
    density = np.exp(log_norm - (freedom + 1) / 2 * np.log1p(x * x / freedom))
    weights = np.ones_like(x)
    weights[1:-1:2], weights[2:-1:2] = 4.0, 2.0
    return 2 * float(np.sum(weights * density)) * (x[1] - x[0]) / 3


@pytest.mark.parametrize(("freedom", "t"), [*enumerate(_T_95, start=1), *_T_95_BEYOND])
def test_table_g_2_by_students_density(freedom: int, t: float) -> None:
    # JCGM 100:2008, Table G.2 (95 %), against the distribution it tabulates: within half its last printed digit.
    half_digit = 0.0006 if freedom == 100 else 0.0051
    assert _student_coverage(t - half_digit, freedom) < 0.95 < _student_coverage(t + half_digit, freedom)


def test_effective_degrees_of_freedom() -> None:
    # JCGM 100:2008, G.4.1 (Welch-Satterthwaite) with one Type A term of n - 1 = 4 degrees of freedom and one Type B
    # term known exactly, equal in size: nu = 4 (sqrt 2)^4 = 16.
    values = [9.0, 9.5, 10.0, 10.5, 11.0]
    scatter = repeated(values).type_a
    assert repeated(values, scatter).degrees_of_freedom == pytest.approx(16.0)
    # Table G.2: t(16) = 2.12, and 1.960 for a normal distribution.
    both = repeated(values, scatter)
    assert both.standard_uncertainty / both.combined == pytest.approx(2.12 / 1.960, rel=1e-9)


# JCGM 106:2012, clause 7 examples; inputs from memory, and the results agree with the printed 0.92, 0.99 and 0.66.


def test_breakdown_voltage_of_a_zener_diode() -> None:
    # Upper limit -5.40 V, estimate -5.47 V, standard uncertainty 0.05 V: z = 1.40, probability 0.92.
    p = probability_within(-5.47, 0.05, None, -5.40)
    assert p == pytest.approx(0.9192, abs=5e-5)
    assert probability_above(-5.47, 0.05, -5.40) == pytest.approx(1 - 0.9192, abs=5e-5)
    assert verdict(p) == "inconclusive"


def test_burst_strength_of_a_container() -> None:
    # Lower limit 490 kPa, estimate 509.7 kPa, standard uncertainty 8.6 kPa: z = 2.2907, probability 0.99.
    p = probability_within(509.7, 8.6, 490.0, None)
    assert p == pytest.approx(1 - 0.010990, abs=5e-6)
    assert verdict(p) == "within"


def test_kinematic_viscosity_of_an_oil() -> None:
    # Limits 12.5 to 16.3 mm2/s, estimate 13.6, standard uncertainty 1.8: probability 0.66.
    p = probability_within(13.6, 1.8, 12.5, 16.3)
    assert p == pytest.approx(1 - 0.337370, abs=5e-6)
    assert verdict(p) == "inconclusive"


def test_the_share_of_a_production_that_conforms() -> None:
    # JCGM 106:2012, 9.5.4: resistors of 1500 ohm with a standard deviation of 0.12 ohm, tolerance 1499.80 to
    # 1500.20 ohm: 0.9044 conform (attribution from memory, computed by quadrature elsewhere).
    assert probability_within(1500.0, 0.12, 1499.80, 1500.20) == pytest.approx(0.9044, abs=5e-5)
