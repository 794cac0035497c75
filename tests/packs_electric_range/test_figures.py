"""Every number of the pack says where it comes from, and the published ones are what the publications say."""

from __future__ import annotations

import pytest

from probewright.circuit.parts import holds
from probewright.figures import BASES, Figure
from probewright.physics.supply import C84_SERVICE_A_120, C84_SERVICE_A_240, C84_UTILIZATION_A_240
from probewright_packs.common import oven, supply
from probewright_packs.electric_range import heaters
from support.figure_walk import numbers


def test_every_number_carries_a_basis(family):
    found = list(numbers(family))
    assert [path for path, number in found if not isinstance(number, Figure)] == []
    assert len(found) > 900  # the walk does reach the tables
    assert {number.basis for _, number in found} <= set(BASES)


def test_nothing_is_invented(family):
    assert [path for path, number in numbers(family) if number.basis == "invented"] == []


def test_published_and_derived_numbers_name_their_source(family):
    named = [n for _, n in numbers(family) if n.basis in ("published", "derived")]
    assert len(named) > 30
    assert all(len(n.source) > 10 for n in named)


def test_no_rate_and_no_chance_claims_a_source(family):
    """No open table gives failure rates of range parts."""
    assert {fault.rate.basis for fault in family.faults} == {"from_memory"}
    assert {chance.basis for repair in family.repairs for chance in repair.cures.values()} == {"from_memory"}
    assert {part.price.basis for part in family.parts} == {"from_memory"}


def test_shares_of_the_calls_add_up_to_about_one(family, builds):
    """A rate is a share of the calls that are made for it, times one number for all."""
    for build in builds:
        there = [fault for fault in family.faults if holds(fault.when, build)]
        share = sum(float(fault.rate) for fault in there) / float(supply.BESIDE_THE_CALL)
        assert 0.85 < share < 1.0, build
        assert len(there) < 55, build


def test_broil_fails_as_bake_does_but_less_often(family):
    rates = {fault.id: float(fault.rate) for fault in family.faults}
    bake = [fault for fault in rates if fault.startswith("bake_")]
    assert len(bake) == 6
    for fault in bake:
        assert rates[fault.replace("bake", "broil")] == pytest.approx(0.4 * rates[fault])


def test_the_supply_is_that_of_the_standard(family):
    """ANSI C84.1: 240 V between the legs, 216 V the least that may be used."""
    assert family.supply.nominal is C84_SERVICE_A_240.nominal
    assert (float(family.supply.nominal), float(family.supply.least)) == (240.0, 216.0)
    assert family.supply.least is C84_UTILIZATION_A_240.low
    limits = {test.id: test.limits for test in family.tests}
    (legs,) = limits["legs_voltage"]
    assert (legs.low, legs.high) == (C84_UTILIZATION_A_240.low, C84_UTILIZATION_A_240.high)
    assert all("C84.1" in figure.source for figure in (legs.low, legs.high))
    assert float(C84_SERVICE_A_120.nominal) == 120.0


@pytest.mark.parametrize(
    ("watts", "ohms", "amperes"),
    # R = V^2 / P and I = P / V at 240 V, by hand.
    [(2600.0, 22.1538, 10.8333), (3400.0, 16.9412, 14.1667), (1200.0, 48.0, 5.0)],
)
def test_heaters_by_hand(watts, ohms, amperes):
    assert 240.0**2 / watts == pytest.approx(ohms, abs=5e-5)
    assert watts / 240.0 == pytest.approx(amperes, abs=5e-5)


def test_powers_are_from_memory_and_what_follows_from_them_is_no_better():
    halves = {"bake": heaters.BAKE_HALF, "broil": heaters.BROIL_HALF, "surface": heaters.SURFACE_HALF}
    watts = {name: [float(end) for end in ends] for name, ends in heaters.WATTS.items()}
    assert watts == {"bake": [2000.0, 3000.0], "broil": [2500.0, 4000.0], "surface": [1200.0, 2600.0]}
    for name, (least, most) in watts.items():
        ends = [2 * float(halves[name].first), 2 * float(halves[name].second)]
        assert ends == pytest.approx([240.0**2 / most, 240.0**2 / least])
        for figure in (*heaters.WATTS[name], halves[name].first, halves[name].second):
            assert figure.basis == "from_memory"


@pytest.mark.parametrize(("name", "low", "high"), [("bake", 7.5, 13.75), ("broil", 9.375, 18.3333)])
def test_currents_that_close_a_job_are_a_tenth_beyond_what_plates_give(family, name, low, high):
    (closing,) = (c for c in family.closings if c.id == f"{name}_current_right")
    (limit,) = closing.limits
    assert (float(limit.low), float(limit.high)) == (pytest.approx(low), pytest.approx(high, abs=1e-4))
    assert limit.scales_with_supply
    assert limit.basis == "from_memory"


@pytest.mark.parametrize(
    ("test_id", "low", "high"),
    [
        # IEC 60335-1 has no general insulation resistance: a megohm is what the trade asks for.
        ("bake_element_to_chassis", 1e6, None), ("broil_element_to_chassis", 1e6, None),
        ("oven_insulation_at_plug", 1e6, None), ("coil_to_chassis", 1e6, None), ("oven_sensor_to_chassis", 1e6, None),
        ("legs_neutral_to_ground", None, 3.0), ("bake_relay_voltage", None, 2.0), ("bake_current_at_off", None, 0.2),
        ("chassis_ground_resistance", None, 1.0), ("block_voltage_under_load", 228.0, 252.0),
        ("leg_one_to_chassis_under_load", 114.0, 126.0), ("bake_element_voltage", 228.0, 252.0),
        ("latch_motor_voltage", 114.0, 126.0),
    ],
)  # fmt: skip
def test_limits_of_the_trade_claim_no_publication(family, test_id, low, high):
    (test,) = (t for t in family.tests if t.id == test_id)
    (limit,) = test.limits
    assert (limit.low, limit.high) == (low, high)
    assert limit.basis == "common_practice"


def test_the_oven_is_judged_by_25_degrees_fahrenheit(family):
    assert float(oven.OVEN_TOLERANCE) == pytest.approx(25 * 5 / 9)
    (test,) = (t for t in family.tests if t.id == "oven_temperature")
    healthy = test.models[0].healthy
    assert float(healthy.second) * 2.576 == pytest.approx(25 * 5 / 9)
