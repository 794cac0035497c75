"""Sums done by hand: the warmer's labour is 1 a minute; isolating takes 2 minutes, power 3, verifying 5."""

from __future__ import annotations

from dataclasses import replace

import pytest

from probewright.figures import invented
from probewright.packs.model import Zone
from probewright.simulation.ledger import Ledger, full_cost, remedy
from support.families import REPAIRS, TESTS, warmer

TEST = {test.id: test for test in TESTS}
REPAIR = {repair.id: repair for repair in REPAIRS}
HOUSING = Zone("housing", "Housing", invented(7.0), ("Take the cover off.",))


def covered():
    """The warmer with its heater behind a cover."""
    family = warmer()
    tests = tuple(replace(t, zone="housing") if t.id in ("heater_current", "heater_ohms") else t for t in family.tests)
    repairs = tuple(replace(r, zones=("housing",)) if r.id == "replace_heater" else r for r in family.repairs)
    return warmer(zones=(*family.zones, HOUSING), tests=tests, repairs=repairs)


def test_a_test_costs_its_way_and_its_work():
    ledger = Ledger(warmer())
    assert ledger.test(TEST["heater_current"]) == "live"
    assert ledger.minutes == pytest.approx(3 + 1)
    assert ledger.test(TEST["glow"]) == "live"
    assert ledger.minutes == pytest.approx(3 + 1 + 1)
    assert ledger.test(TEST["door"]) == "isolated"
    assert ledger.cost == pytest.approx(3 + 1 + 1 + 2 + 1)


def test_a_repair_costs_its_way_its_part_and_its_proof():
    ledger = Ledger(warmer())
    ledger.test(TEST["door"])
    ledger.repair(REPAIR["replace_heater"])
    assert ledger.minutes == pytest.approx(2 + 1 + 20 + 3 + 5)
    assert ledger.cost == pytest.approx(31 + 30)
    # Verified with power on: the next look inside leads through isolation again, the next reading under power does not.
    ledger.test(TEST["glow"])
    assert ledger.minutes == pytest.approx(31 + 1)


def test_a_cover_is_opened_once_and_without_power():
    family = covered()
    test = {t.id: t for t in family.tests}
    ledger = Ledger(family)
    ledger.test(test["heater_current"])
    assert ledger.minutes == pytest.approx(2 + 7 + 3 + 1)  # isolated, opened, powered, read
    ledger.test(test["heater_ohms"])
    assert ledger.minutes == pytest.approx(13 + 2 + 1)
    ledger.repair(next(r for r in family.repairs if r.id == "replace_heater"))
    assert ledger.minutes == pytest.approx(16 + 20 + 3 + 5)


def test_a_second_trip_finds_everything_closed():
    family = covered()
    test = {t.id: t for t in family.tests}
    ledger = Ledger(family)
    ledger.test(test["heater_ohms"])
    ledger.second_trip()
    assert ledger.cost == pytest.approx(2 + 7 + 1 + 80)
    ledger.test(test["heater_ohms"])
    assert ledger.cost == pytest.approx(90 + 2 + 7 + 1)


def test_what_is_not_resolved_costs_a_callback_and_the_remedy():
    ledger = Ledger(warmer())
    ledger.unresolved([REPAIR["replace_fuse"]])
    assert full_cost(warmer(), REPAIR["replace_fuse"]) == pytest.approx(2 + 5 + 3 + 5)
    assert ledger.cost == pytest.approx(100 + 15)


def test_the_remedy_is_cheapest_for_its_chance():
    family = warmer()
    # A door tightened costs 2 + 5 + 3 + 5 for 0.8, an overhaul 70 for 0.7.
    assert remedy(family, family.repairs, "door_loose").id == "tighten_door"
    assert remedy(family, family.repairs, "no_supply") is None


def test_what_a_repair_would_cost_changes_nothing():
    ledger = Ledger(warmer())
    assert ledger.repair_minutes(REPAIR["replace_fuse"]) == pytest.approx(2 + 5 + 3 + 5)
    assert ledger.minutes == 0
