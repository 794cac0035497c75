"""Copper with its temperature: wire tables, the resistance method, and windings as parts of a circuit."""

from __future__ import annotations

import math

import numpy as np
import pytest

from probewright.circuit.laws import Copper
from probewright.circuit.network import Network
from probewright.circuit.parts import Part
from probewright.circuit.solve import Probe, Setting, solve
from probewright.inference.situation import interpolation
from probewright.physics.copper import copper_ratio, winding_temperature
from support.circuits import at, circuit, dictionary, meter

# Solid copper by ASTM B258 (0.005 in times 92^((36 - n)/39)) and 1/58 ohm mm2/m at 20 degC (IEC 60028): ohm for 1000 ft
# at 20, 25 and 75 degC.  The values at 20 degC stand in public wire tables after NBS Handbook 100.
WIRE = {
    14: (2.525, 2.575, 3.071), 16: (4.016, 4.094, 4.884), 20: (10.153, 10.352, 12.347), 22: (16.143, 16.460, 19.633),
}  # fmt: skip


def ohms_at_20(gauge: int) -> float:
    """Of 1000 ft of solid wire, by the two standards."""
    millimetres = 25.4 * 0.005 * 92.0 ** ((36 - gauge) / 39)
    return (1000 * 0.3048) / 58 / (math.pi / 4 * millimetres**2)


@pytest.mark.parametrize(("gauge", "table"), WIRE.items())
def test_wire_table(gauge: int, table: tuple[float, float, float]) -> None:
    found = ohms_at_20(gauge) * copper_ratio(np.array([20.0, 25.0, 75.0]))
    np.testing.assert_allclose(found, table, rtol=1e-3)


def test_coefficient_of_annealed_copper() -> None:
    # NBS Handbook 100: 0.00393 per kelvin at 20 degC; over 55 K the straight line gives 1.21615, the rule of 234.5
    # 1.21611.
    slope = (copper_ratio(np.array(21.0)) - 1).item()
    assert slope == pytest.approx(0.00393, abs=1e-6)
    assert copper_ratio(np.array(75.0)) == pytest.approx(1.21611, abs=1e-5)
    assert copper_ratio(np.array(75.0)) == pytest.approx(1 + 0.00393 * 55, abs=1e-4)


def test_winding_temperature_by_resistance() -> None:
    # Resistance method of IEC 60034-1, which takes 235 for copper; NBS has 234.5.  20.0 ohm at 25 degC, 24.5 ohm hot.
    found = float(winding_temperature(np.array(24.5), np.array(20.0), np.array(25.0)))
    assert found == pytest.approx(83.39, abs=0.05)
    assert found == pytest.approx(24.5 / 20.0 * (235 + 25) - 235, abs=0.2)


def winding(ohms: float, henries: float):
    return circuit(Part("coil", "a", "0", Copper(at(ohms), at(henries))))


@pytest.mark.parametrize("celsius", [-10.0, 20.0, 25.0, 75.0, 120.0])
def test_a_winding_in_a_circuit_follows_the_rule(celsius: float) -> None:
    # 10 ohm and 50 mH at 60 Hz: only the resistance moves, the reactance stays 18.8496 ohm.
    of, ohms = winding(10.0, 0.05), 10.0 * (234.5 + celsius) / 254.5
    network = Network(of, {}, [])
    for hertz, expected in ((0.0, ohms), (60.0, math.hypot(ohms, 18.8496))):
        probe = Probe(network.node("a"), -1)
        found = solve(network, Setting("off", False, hertz), [probe], [()], np.array([0]), celsius)[0].impedance[0, 0]
        assert abs(found) == pytest.approx(expected, rel=1e-5)


@pytest.mark.parametrize("celsius", [5.0, 40.0, 90.0])
def test_a_winding_between_the_temperatures_at_which_it_was_solved(celsius: float) -> None:
    found = dictionary(winding(2.0, 0.01), meter("resistance", ("a", "0")))
    here = float(np.exp(interpolation(np.array([celsius])) @ np.log(found.value[0, 0]))[0])
    # A part in ten thousand is a fortieth of a kelvin.
    assert here == pytest.approx(2.0 * (234.5 + celsius) / 254.5, rel=1e-4)
