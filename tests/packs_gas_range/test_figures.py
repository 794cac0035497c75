"""Every number of the pack says where it comes from, and the published ones are what the publications say."""

from __future__ import annotations

import pytest

from probewright.figures import BASES, Figure
from probewright.physics.sensors import PlatinumCurve
from probewright.physics.supply import C84_SERVICE_A_120, C84_UTILIZATION_A_120
from probewright_packs.common import oven, platinum, supply
from probewright_packs.gas_range import burner_wiring, tests_gas
from support.figure_walk import numbers


def test_every_number_carries_a_basis(family):
    found = list(numbers(family))
    bare = [path for path, number in found if not isinstance(number, Figure)]
    assert bare == []
    assert len(found) > 800  # the walk does reach the tables
    assert {number.basis for _, number in found} <= set(BASES)


def test_nothing_is_invented(family):
    assert [path for path, number in numbers(family) if number.basis == "invented"] == []


def test_published_and_derived_numbers_name_their_source(family):
    named = [n for _, n in numbers(family) if n.basis in ("published", "derived")]
    assert named
    assert all(len(n.source) > 10 for n in named)


def test_limits_of_the_supply_have_one_home(family):
    """ANSI C84.1, Voltage Ratings (60 Hertz); what the numbers are is held against it elsewhere."""
    assert float(supply.FREQUENCY) == 60.0
    assert family.supply.nominal is C84_SERVICE_A_120.nominal
    for test in family.tests:
        if test.id in ("outlet_voltage", "outlet_hot_to_ground"):
            assert (test.limits[0].low, test.limits[0].high) == (C84_UTILIZATION_A_120.low, C84_UTILIZATION_A_120.high)
            assert test.limits[0].low is C84_UTILIZATION_A_120.low


def test_carbon_monoxide_acts_far_below_the_type_test():
    """ANSI Z21.1: 800 ppm air-free for the range oven."""
    assert float(tests_gas.CO_TYPE_TEST_LIMIT) == 800.0
    assert tests_gas.CO_TYPE_TEST_LIMIT.basis == "published"
    assert float(tests_gas.CO_ACTION_LIMIT) <= 0.25 * 800.0
    assert tests_gas.CO_ACTION_LIMIT.basis in ("from_memory", "shop")


def test_the_platinum_sensor_is_a_pt1000(family):
    """IEC 60751: nominal 1000 ohm at 0 degC, A 3.9083e-3, B -5.775e-7."""
    assert float(platinum.PT1000) == 1000.0
    (circuit,) = (c for c in family.circuits if c.id == "sensor")
    curves: list[PlatinumCurve] = [part.law.curve for part in circuit.parts if part.id == "oven_sensor"]
    assert {curve.id for curve in curves} == {"iec_60751", "trade_3750"}
    (iec,) = (curve for curve in curves if curve.id == "iec_60751")
    assert (float(iec.a), float(iec.b)) == (3.9083e-3, -5.775e-7)


def test_common_practice_figures():
    """Facts of the trade, as such: currents of both styles, 5 and 10 inH2O, 25 degF, 3 V, a megohm."""
    assert [float(v) for v in burner_wiring.BAND["flat"]] == [3.2, 3.6]
    assert [float(v) for v in burner_wiring.BAND["round"]] == [2.5, 3.0]
    assert {fuel: float(v) for fuel, v in tests_gas.MANIFOLD.items()} == {"natural_gas": 5.0, "propane": 10.0}
    assert float(oven.OVEN_TOLERANCE) == pytest.approx(25 * 5 / 9)
    for figure in (*burner_wiring.BAND["flat"], *tests_gas.MANIFOLD.values(), oven.OVEN_TOLERANCE):
        assert figure.basis == "common_practice"


@pytest.mark.parametrize(
    ("test_id", "low", "high"),
    [("outlet_neutral_to_ground", None, 3.0), ("oven_sensor_to_chassis", 1e6, None)],
)
def test_limits_of_the_trade(family, test_id, low, high):
    (test,) = (t for t in family.tests if t.id == test_id)
    (limit,) = test.limits
    assert (limit.low, limit.high) == (low, high)
    assert limit.basis == "common_practice"
