"""Platinum sensors against IEC 60751 and against what the trade says of the 3750 ppm/K curve."""

from __future__ import annotations

import math

import numpy as np
import pytest

from probewright.physics.sensors import (
    IEC_60751,
    TRADE_3750,
    platinum_resistance,
    platinum_slope,
    platinum_temperature,
    platinum_tolerance,
)

# IEC 60751:2008, Table 1 (Pt100, in steps of 1 degC, two decimals).
TABLE_1 = {
    -200: 18.52, -100: 60.26, -40: 84.27, 0: 100.00, 25: 109.73, 100: 138.51, 200: 175.86, 260: 197.71, 300: 212.05,
    400: 247.09, 500: 280.98, 600: 313.71, 850: 390.48,
}  # fmt: skip

# The equation of IEC 60751:2008, clause 4.2, evaluated to five decimals (Pt100), at temperatures of the trade.
EQUATION = {
    -40.0: 84.27065, 0.0: 100.0, (70 - 32) / 1.8: 108.22512, 21.11: 108.22469, 25.0: 109.73466, 100.0: 138.50550,
    (350 - 32) / 1.8: 167.24419, 176.67: 167.24543, 260.0: 197.71190,
}  # fmt: skip

# The same equation inverted: (nominal ohm, ohm) to degC.
INVERSE = {(1000.0, 1080.0): 20.5315, (1000.0, 1654.0): 171.6920, (100.0, 110.0): 25.6840}


def one(value: float) -> np.ndarray:
    return np.array(value, dtype=np.float64)


@pytest.mark.parametrize(("t", "ohms"), TABLE_1.items())
def test_table_1(t: int, ohms: float) -> None:
    assert platinum_resistance(one(t), one(100.0), IEC_60751) == pytest.approx(ohms, abs=0.0051)


@pytest.mark.parametrize(("t", "ohms"), EQUATION.items())
@pytest.mark.parametrize("nominal", [100.0, 1000.0])
def test_the_equation(t: float, ohms: float, nominal: float) -> None:
    value = platinum_resistance(one(t), one(nominal), IEC_60751)
    assert value == pytest.approx(ohms * nominal / 100, abs=6e-8 * nominal)


@pytest.mark.parametrize(("t", "ohms"), TABLE_1.items())
def test_table_1_backwards(t: int, ohms: float) -> None:
    # Half a unit of the table's last digit is 0.005 ohm, at most 0.017 K where a Pt100 is least sensitive.
    assert platinum_temperature(one(ohms), one(100.0), IEC_60751) == pytest.approx(t, abs=0.018)


@pytest.mark.parametrize(("given", "t"), INVERSE.items())
def test_the_inverse(given: tuple[float, float], t: float) -> None:
    nominal, ohms = given
    assert platinum_temperature(one(ohms), one(nominal), IEC_60751) == pytest.approx(t, abs=1e-4)


def test_alpha_is_the_one_that_the_standard_names() -> None:
    # IEC 60751, scope: alpha = 3.851e-3 per degC, defined as (R100 - R0) / (100 R0).
    r0, r100 = platinum_resistance(np.array([0.0, 100.0]), one(100.0), IEC_60751)
    assert (r100 - r0) / (100 * r0) == pytest.approx(3.851e-3, abs=5e-7)
    assert IEC_60751.alpha == pytest.approx(0.00385055, abs=1e-12)


def test_sensitivity_and_what_an_ohm_of_lead_does() -> None:
    # Derivative of the equation of IEC 60751 at 350 degF: 3.7042 ohm/K for a Pt1000, so 1 ohm reads 0.270 K high.
    assert platinum_slope(one(176.67), one(1000.0), IEC_60751) == pytest.approx(3.7042, abs=1e-4)
    for nominal, kelvin in ((1000.0, 0.270), (100.0, 2.70)):
        ohms = platinum_resistance(one(176.67), one(nominal), IEC_60751) + 1.0
        assert platinum_temperature(ohms, one(nominal), IEC_60751) - 176.67 == pytest.approx(kelvin, abs=0.005)


@pytest.mark.parametrize(
    ("t", "widths"),
    [
        # IEC 60751:2008, Table 3: AA 0.1 + 0.0017|t|, A 0.15 + 0.002|t|, B 0.3 + 0.005|t|, C 0.6 + 0.01|t|, in K.
        (0.0, (0.1, 0.15, 0.3, 0.6)),
        (25.0, (0.1425, 0.2, 0.425, 0.85)),
        (176.67, (0.400339, 0.50334, 1.18335, 2.3667)),
        (260.0, (0.542, 0.67, 1.6, 3.2)),
        (-40.0, (0.168, 0.23, 0.5, 1.0)),
    ],
)
def test_tolerance_classes(t: float, widths: tuple[float, ...]) -> None:
    for name, width in zip(("AA", "A", "B", "C"), widths, strict=True):
        assert platinum_tolerance(name, one(t)) == pytest.approx(width, abs=1e-9)  # type: ignore[arg-type]


@pytest.mark.parametrize(("name", "ohms"), [("A", 0.13), ("B", 0.30)])
def test_tolerance_in_ohm(name: str, ohms: float) -> None:
    # The tolerance table of the standard's older edition gives these for a Pt100 at 100 degC, two decimals.
    kelvin = platinum_tolerance(name, one(100.0))  # type: ignore[arg-type]
    assert kelvin * platinum_slope(one(100.0), one(100.0), IEC_60751) == pytest.approx(ohms, abs=0.005)


def test_the_3750_curve_by_its_name_and_by_the_common_room_temperature_value() -> None:
    # The name says 3750 ppm/K between 0 and 100 degC: 1375.0 ohm at 100 degC for 1000 ohm at 0 degC.
    assert platinum_resistance(one(100.0), one(1000.0), TRADE_3750) == pytest.approx(1375.0, abs=0.01)
    # Common practice: "about 1080 ohm at 70 degF" for an oven sensor.  Both curves are that, within 3 ohm.
    for curve in (IEC_60751, TRADE_3750):
        assert platinum_resistance(one((70 - 32) / 1.8), one(1000.0), curve) == pytest.approx(1080.0, abs=3.0)


def test_the_3750_curve_by_callendars_constants() -> None:
    # Callendar's form with alpha 0.00375, delta 1.605 (commonly quoted for this curve; from memory).
    t = np.linspace(0.0, 300.0, 31)
    callendar = 1 + 0.00375 * (t - 1.605 * (t / 100 - 1) * (t / 100))
    np.testing.assert_allclose(platinum_resistance(t, one(1.0), TRADE_3750), callendar, rtol=0, atol=5e-6)


def test_taking_one_curve_for_the_other_is_a_matter_of_kelvins_when_hot() -> None:
    ohms = platinum_resistance(one(176.67), one(1000.0), IEC_60751)
    error = float(platinum_temperature(ohms, one(1000.0), TRADE_3750)) - 176.67
    # From the two alphas alone: 176.67 (3851/3750 - 1) = 4.8 K.
    assert math.isclose(error, 4.8, abs_tol=0.3)
