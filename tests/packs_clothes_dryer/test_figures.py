"""Every number of the pack says where it comes from, and the published ones are what the publications say."""

from __future__ import annotations

import numpy as np
import pytest

from probewright.figures import BASES, Figure
from probewright.physics.gas import clocked_heat_input, orifice_diameter, orifice_flow
from probewright.physics.supply import C84_SERVICE_A_240, C84_UTILIZATION_A_240
from probewright_packs.clothes_dryer import tests_closing, tests_gas, wiring
from probewright_packs.common import supply
from support.figure_walk import numbers


def test_every_number_carries_a_basis(family):
    found = list(numbers(family))
    assert [path for path, number in found if not isinstance(number, Figure)] == []
    assert len(found) > 1500  # the walk does reach the tables
    assert {number.basis for _, number in found} <= set(BASES)


def test_nothing_is_invented(family):
    assert [path for path, number in numbers(family) if number.basis == "invented"] == []


def test_published_and_derived_numbers_name_their_source(family):
    named = [n for _, n in numbers(family) if n.basis in ("published", "derived")]
    assert len(named) > 50
    assert all(len(n.source) > 10 for n in named)


def test_no_rate_and_no_chance_claims_a_source(family):
    """No open table gives failure rates of dryer parts."""
    assert {fault.rate.basis for fault in family.faults} == {"from_memory"}
    assert {chance.basis for repair in family.repairs for chance in repair.cures.values()} == {"from_memory"}


@pytest.mark.parametrize("gas", [False, True])
def test_shares_of_the_calls_add_up_to_about_one(family, builds, gas):
    """A rate is a quarter of the share of the calls that are made for it."""
    for build in (b for b in builds if (b["heat"] == "gas") is gas):
        there = [f for f in family.faults if all(build.get(k) == v for k, v in f.when.items())]
        share = sum(float(f.rate) for f in there) / float(supply.BESIDE_THE_CALL)
        assert 0.85 < share < 1.06, build
        assert len(there) <= 60, build


def test_the_supply_is_that_of_the_standard(family):
    """ANSI C84.1: 240 V between the legs, 216 V the least that may be used; a gas dryer takes 120 V."""
    assert family.supply.nominal is C84_SERVICE_A_240.nominal
    assert (float(family.supply.nominal), float(family.supply.least)) == (240.0, 216.0)
    assert family.supply.least is C84_UTILIZATION_A_240.low
    assert float(family.supply.nominal_in({"heat": "gas"})) == 120.0
    assert float(family.supply.nominal_in({"heat": "electric"})) == 240.0


def test_the_element_is_derived_and_no_better_than_what_it_is_derived_from(family):
    (circuit,) = (c for c in family.circuits if c.id == "heat")
    halves = [part.law.ohms for part in circuit.parts if part.id in ("element", "element_end")]
    assert [float(watts) for watts in wiring.ELEMENT_WATTS] == [4000.0, 5600.0]
    assert sum(float(spread.first) for spread in halves) == pytest.approx(240.0**2 / 5600.0)
    assert sum(float(spread.second) for spread in halves) == pytest.approx(240.0**2 / 4000.0)
    assert all(number.basis == "from_memory" for spread in halves for number in (spread.first, spread.second))
    assert {watts.basis for watts in wiring.ELEMENT_WATTS} == {"from_memory"}


def test_insulation_limits_are_the_published_ones():
    """DIN VDE 0701-0702:2008-06: 0.3 Mohm with heating elements, 1 Mohm else."""
    assert {heat: float(limit) for heat, limit in tests_closing.INSULATION_LIMIT.items()} == {
        "electric": 0.3, "gas": 1.0,
    }  # fmt: skip
    for limit in tests_closing.INSULATION_LIMIT.values():
        assert limit.basis == "published"
        assert "DIN VDE 0701-0702" in limit.source


def test_air_limit_of_a_room_is_the_published_one(family):
    """40 CFR 50.8: 9 ppm over 8 hours, 35 ppm over one."""
    (test,) = (t for t in family.tests if t.id == "carbon_monoxide_in_room")
    (lock,) = (lock for lock in family.interlocks if lock.id == "carbon_monoxide")
    for figure, ppm in ((test.limits[0].high, 9.0), (lock.above["carbon_monoxide_in_room"], 35.0)):
        assert (float(figure), figure.basis) == (ppm, "published")
        assert "40 CFR 50.8" in figure.source


def test_the_seconds_of_the_dial_by_hand(family):
    """Half a cubic foot of 1030 Btu at 22 000 Btu/h: 0.5 x 1030 x 3600 / 22 000 is 84.3 s."""
    (test,) = (t for t in family.tests if t.id == "meter_clocking")
    (model,) = test.models
    assert model.healthy.median == pytest.approx(84.27, abs=0.01)
    assert float(clocked_heat_input(np.array(0.5), np.array(84.27), np.array(1030.0))) == pytest.approx(22000, rel=1e-3)
    assert model.healthy.first.basis == "from_memory"


def test_the_other_fuels_orifice_by_hand(family):
    """Propane's bore at 10 inH2O passes 8.8 ft3/h; natural gas at 3.5 goes as the root of (3.5/0.6) over (10/1.53)."""
    (test,) = (t for t in family.tests if t.id == "meter_clocking")
    share = (22000 / 2500) * np.sqrt((3.5 / 0.6) / (10.0 / 1.53)) / (22000 / 1030)
    assert test.models[0].by_fault["orifice_for_other_fuel"].median == pytest.approx(84.27 / share, rel=1e-3)
    bore = orifice_diameter(np.array(8.8), np.array(10.0), np.array(1.53))
    passed = float(orifice_flow(bore, np.array(3.5), np.array(0.6)))
    assert passed / (22000 / 1030) == pytest.approx(share, rel=1e-6)


@pytest.mark.parametrize(
    ("test_id", "low", "high"),
    [("vent_back_pressure", 0.08, 0.6), ("element_to_case", 1e6, None), ("leg_two_current_at_off", None, 0.5),
     ("outlet_temperature", 54.0, 72.0), ("moisture_bars_wet", None, 1e5), ("moisture_bars_dry", 1e6, None)],
)  # fmt: skip
def test_limits_of_the_trade_claim_no_publication(family, test_id, low, high):
    (test,) = (t for t in family.tests if t.id == test_id)
    (limit,) = test.limits
    assert (limit.low, limit.high) == (low, high)
    assert limit.basis in ("common_practice", "from_memory")


def test_pressures_by_fuel_are_common_practice():
    assert {fuel: float(v) for fuel, v in tests_gas.MANIFOLD.items()} == {"natural_gas": 3.5, "propane": 10.0}
    assert {v.basis for v in tests_gas.MANIFOLD.values()} == {"common_practice"}
