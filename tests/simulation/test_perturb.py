from __future__ import annotations

from math import log

import pytest

from probewright.circuit.parts import Part
from probewright.figures import Spread, exactly, invented, log_normal, log_uniform, normal, uniform
from probewright.packs.check import check_family
from probewright.simulation.perturb import RATES, perturbed, wider
from support.families import at, warmer


def ends(spread):
    return float(spread.first), float(spread.second)


def test_an_even_spread_is_half_as_wide_again_about_its_middle():
    low, high = ends(wider(uniform(invented(8.0), invented(12.0))))
    assert (low, high) == pytest.approx((7.0, 13.0))


def test_a_spread_in_ratios_is_widened_in_ratios():
    low, high = ends(wider(log_uniform(invented(10.0), invented(1000.0))))
    assert log(high / low) == pytest.approx(1.5 * log(100.0))
    assert low * high == pytest.approx(1e4)


def test_deviations_grow_by_half():
    assert ends(wider(normal(invented(5.0), invented(2.0)))) == pytest.approx((5.0, 3.0))
    middle, factor = ends(wider(log_normal(invented(5.0), invented(1.2))))
    assert (middle, log(factor)) == pytest.approx((5.0, 1.5 * log(1.2)))


def test_what_has_no_tolerance_gets_none():
    assert ends(wider(exactly(invented(3.0)))) == pytest.approx((3.0, 3.0))


def test_a_positive_number_stays_positive():
    low, high = ends(wider(uniform(invented(0.02), invented(0.2))))
    assert low == pytest.approx(0.01)
    assert high == pytest.approx(0.245)


def test_a_signed_number_may_cross_nothing():
    assert ends(wider(uniform(invented(-1.0), invented(3.0)))) == pytest.approx((-2.0, 4.0))


def spreads(family):
    return {
        (circuit.id, part.id, i, part.when.get("style", "")): spread
        for circuit in family.circuits for part in circuit.parts if isinstance(part, Part)
        for i, spread in enumerate(part.law.spreads)
    }  # fmt: skip


def test_every_part_of_the_gas_range_is_widened(gas_range):
    before, after = spreads(gas_range.family), spreads(perturbed(gas_range.family, 0, 0))
    assert before.keys() == after.keys()
    assert len(before) > 20
    for key, spread in before.items():
        assert isinstance(spread, Spread)
        wide = after[key]
        if spread.first == spread.second:
            assert ends(wide) == pytest.approx(ends(spread))
        elif spread.kind == "log_uniform":
            assert log(wide.second / wide.first) == pytest.approx(1.5 * log(spread.second / spread.first))
        else:
            assert wide.second > spread.second


def test_rates_change_within_a_factor_and_differ_from_world_to_world(gas_range):
    family = gas_range.family
    one, other = perturbed(family, 3, 0), perturbed(family, 3, 1)
    ratios = [float(a.rate) / float(b.rate) for a, b in zip(one.faults, family.faults, strict=True)]
    assert all(1 / RATES <= ratio <= RATES for ratio in ratios)
    assert min(ratios) < 0.65
    assert max(ratios) > 1.5
    assert [f.rate for f in one.faults] != [f.rate for f in other.faults]


def test_the_same_world_is_the_same(gas_range):
    assert perturbed(gas_range.family, 3, 2) == perturbed(gas_range.family, 3, 2)


def test_nothing_else_changes_and_the_pack_still_holds_together(gas_range):
    family = gas_range.family
    other = perturbed(family, 1, 0)
    check_family(other)
    check_family(perturbed(warmer(), 1, 0))
    assert (other.tests, other.repairs, other.costs, other.complaints) == (
        family.tests, family.repairs, family.costs, family.complaints)  # fmt: skip
    assert ends(at(2.0)) == (2.0, 2.0)
