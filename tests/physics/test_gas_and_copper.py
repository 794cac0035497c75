"""Gas and copper laws: inverses, shapes and scaling."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.physics.copper import copper_ratio, winding_temperature
from probewright.physics.gas import (
    ORIFICE_COEFFICIENT,
    clocked_heat_input,
    orifice_diameter,
    orifice_flow,
    seconds_per_revolution,
)

fixed = settings(derandomize=True, deadline=None, max_examples=200)


def one(value: float) -> np.ndarray:
    return np.array(value, dtype=np.float64)


@fixed
@given(st.floats(1e-3, 1.0), st.floats(0.1, 30.0), st.floats(0.4, 2.5), st.floats(0.5, 1.0))
def test_diameter_undoes_flow(diameter: float, head: float, density: float, coefficient: float) -> None:
    flow = orifice_flow(one(diameter), one(head), one(density), coefficient)
    assert orifice_diameter(flow, one(head), one(density), coefficient) == pytest.approx(diameter, rel=1e-12)


@fixed
@given(st.floats(1e3, 1e6), st.floats(0.1, 10.0), st.floats(500.0, 3000.0))
def test_seconds_undo_heat_input(rated: float, dial: float, heating_value: float) -> None:
    seconds = seconds_per_revolution(one(rated), one(dial), one(heating_value))
    assert clocked_heat_input(one(dial), seconds, one(heating_value)) == pytest.approx(rated, rel=1e-12)


@fixed
@given(st.floats(-40.0, 200.0), st.floats(-40.0, 60.0), st.floats(0.1, 1e4))
def test_winding_temperature_undoes_the_ratio(hot: float, cold: float, ohms: float) -> None:
    now = ohms * copper_ratio(one(hot), cold)
    assert winding_temperature(now, one(ohms), one(cold)) == pytest.approx(hot, abs=1e-9)


def test_flow_grows_with_the_root_of_the_pressure_and_the_square_of_the_diameter() -> None:
    flow = orifice_flow(one(0.05), one(4.0), one(0.6))
    assert orifice_flow(one(0.05), one(16.0), one(0.6)) == pytest.approx(2 * flow, rel=1e-12)
    assert orifice_flow(one(0.10), one(4.0), one(0.6)) == pytest.approx(4 * flow, rel=1e-12)
    assert orifice_flow(one(0.05), one(4.0), one(2.4)) == pytest.approx(flow / 2, rel=1e-12)
    assert orifice_flow(one(0.05), one(4.0), one(0.6), 1.0) == pytest.approx(flow / ORIFICE_COEFFICIENT, rel=1e-12)


def test_nothing_flows_without_pressure() -> None:
    assert orifice_flow(one(0.05), one(0.0), one(0.6)) == 0.0


def test_arrays_broadcast() -> None:
    diameters, heads = np.array([0.02, 0.035]), np.array([[3.5], [4.0], [7.0]])
    assert orifice_flow(diameters, heads, one(0.6)).shape == (3, 2)
    assert orifice_diameter(np.ones((3, 2)), heads, one(0.6)).shape == (3, 2)
    assert clocked_heat_input(np.array([0.5, 1.0]), np.array([[30.0], [60.0]]), one(1000.0)).shape == (2, 2)
    assert seconds_per_revolution(np.array([2e4, 3e4]), np.array([[1.0], [2.0]]), one(1000.0)).shape == (2, 2)
    assert winding_temperature(np.array([24.0, 25.0]), one(20.0), np.array([[20.0], [25.0]])).shape == (2, 2)
    assert copper_ratio(np.array([[20.0, 75.0]])).shape == (1, 2)
