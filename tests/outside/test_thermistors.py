"""Thermistors against a general library's numbers and published coefficient sets."""

from __future__ import annotations

import numpy as np
import pytest

from probewright.physics.sensors import ntc_beta, ntc_beta_temperature, steinhart_hart

CELSIUS = np.array([-40.0, -18.0, 0.0, 4.0, 25.0, 50.0, 85.0, 100.0])

# Beta equation (B-value of IEC 60539-1), 10 kohm at 25 degC, computed with the library thermistor-utils 0.0.4.
BY_BETA = {
    3950.0: (401859.7, 93252.4, 33620.6, 27287.5, 10000.0, 3588.2, 1086.7, 697.5),
    3435.0: (248276.5, 69700.5, 28704.3, 23940.0, 10000.0, 4101.2, 1451.3, 987.0),
}


@pytest.mark.parametrize(("beta", "ohms"), BY_BETA.items())
def test_beta_equation(beta: float, ohms: tuple[float, ...]) -> None:
    np.testing.assert_allclose(ntc_beta(CELSIUS, np.array(10e3), np.array(beta)), ohms, rtol=1e-4)


@pytest.mark.parametrize(("beta", "ohms"), BY_BETA.items())
def test_beta_equation_backwards(beta: float, ohms: tuple[float, ...]) -> None:
    celsius = ntc_beta_temperature(np.array(ohms), np.array(10e3), np.array(beta))
    np.testing.assert_allclose(celsius, CELSIUS, rtol=0, atol=0.005)


def test_steinhart_hart_of_the_widely_published_three_point_example() -> None:
    # Example of coefficient calculators: 25 kohm at 5 degC, 10 kohm at 25 degC, 4 kohm at 45 degC.
    celsius = steinhart_hart(np.array([25e3, 10e3, 4e3]), 2.108508173e-3, 7.979204727e-5, 6.535076315e-7)
    np.testing.assert_allclose(celsius, [5.0, 25.0, 45.0], rtol=0, atol=1e-4)


def test_steinhart_hart_of_a_published_10k_coefficient_set() -> None:
    # Coefficients 1.129148e-3, 2.34125e-4, 8.76741e-8: a set printed in teaching texts for a common 10 kohm part,
    # whose table gives 32650 ohm at 0 degC, 10000 ohm at 25 degC and 3603 ohm at 50 degC.
    celsius = steinhart_hart(np.array([32650.0, 10e3, 3603.0]), 1.129148e-3, 2.34125e-4, 8.76741e-8)
    np.testing.assert_allclose(celsius, [0.0002, 24.9997, 49.9857], rtol=0, atol=1e-3)
    np.testing.assert_allclose(celsius, [0.0, 25.0, 50.0], rtol=0, atol=0.02)
