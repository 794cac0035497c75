"""Thermistors against a general library's numbers and published coefficient sets."""

from __future__ import annotations

import numpy as np
import pytest

from probewright.packs import exactly, from_memory
from probewright.physics.sensors import ntc_beta, ntc_beta_temperature, steinhart_hart
from probewright_packs.common import thermistor_circuit
from support.middle import Bench

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


def in_circuit(beta: float, celsius: float) -> float:
    """Ohms that the thermistor of the common parts has in its circuit, 10 kohm at 25 degC, read at its own plug."""
    circuit = thermistor_circuit("sensor", "ntc", exactly(from_memory(10e3)), exactly(from_memory(beta)))
    off = ("ntc_wire_a", "ntc_wire_b", "ntc_insulation")
    return Bench(circuit, celsius=celsius).ohms("sensor_plug_a", "sensor_plug_b", apart=off)


def fitted(points: dict[float, float]) -> tuple[float, float, float]:
    """Coefficients of Steinhart and Hart through three points, by three linear equations in a, b and c."""
    log = np.log(np.array(list(points.values())))
    left = np.stack([np.ones(3), log, log**3], axis=1)
    a, b, c = np.linalg.solve(left, 1 / (np.array(list(points)) + 273.15))
    return float(a), float(b), float(c)


def test_the_fit_of_the_widely_published_three_points() -> None:
    # 25 kohm at 5 degC, 10 kohm at 25 degC, 4 kohm at 45 degC: coefficients as thermistor-utils 0.0.4 gives them, too.
    found = fitted({5.0: 25e3, 25.0: 10e3, 45.0: 4e3})
    assert found == pytest.approx((2.108508173e-3, 7.979204727e-5, 6.535076315e-7), rel=1e-9)


@pytest.mark.parametrize(("beta", "ohms"), BY_BETA.items())
def test_the_thermistor_of_packs_in_its_circuit(beta: float, ohms: tuple[float, ...]) -> None:
    found = [in_circuit(beta, celsius) for celsius in CELSIUS]
    np.testing.assert_allclose(found, ohms, rtol=1e-4)


@pytest.mark.parametrize("beta", BY_BETA)
def test_beta_is_steinhart_and_hart_without_the_cubic_term(beta: float) -> None:
    # 1/T = 1/298.15 + (ln R - ln R25)/B, so a fit through any three points has b = 1/B and c = 0.
    a, b, c = fitted({celsius: in_circuit(beta, celsius) for celsius in (5.0, 25.0, 45.0)})
    assert a == pytest.approx(1 / 298.15 - np.log(10e3) / beta, rel=1e-6)
    assert b == pytest.approx(1 / beta, rel=1e-6)
    assert abs(c) < 1e-12
    for celsius in (-18.0, 70.0):
        read = np.array(in_circuit(beta, celsius))
        assert steinhart_hart(read, a, b, c) == pytest.approx(celsius, abs=1e-3)


def test_one_beta_for_a_published_part_is_off_by_half_a_kelvin_away_from_its_two_points() -> None:
    # The 10 kohm set above, by Beta from 25 degC (10 kohm) to 50 degC (3603 ohm); its table has 32 650 ohm at 0 degC.
    beta = float(np.log(10e3 / 3603.0) / (1 / 298.15 - 1 / 323.15))
    assert in_circuit(beta, 50.0) == pytest.approx(3603.0, rel=1e-6)
    seems = steinhart_hart(np.array(in_circuit(beta, 0.0)), 1.129148e-3, 2.34125e-4, 8.76741e-8)
    assert -0.6 < float(seems) < -0.3
