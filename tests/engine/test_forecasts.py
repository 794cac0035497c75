"""Forecasts of what is wrong against every set of faults in every build, enumerated in fractions by other code."""

from __future__ import annotations

import pytest

from probewright.engine import Forecast, forecast
from probewright.settings import Settings
from probewright_schemas.records import Case, Reading, RepairDone
from support import enumeration as hand
from support.families import RATES, SMALL, pack_of

PACK = pack_of()


def case(*readings, options, **fields):
    return Case("warmer", options=options, readings=readings, **fields)


def by_hand(options, course):
    """Probability of each set of faults, None for something unknown."""
    weights = hand.after(options, course)
    total, found = sum(weights.values()), {}
    for (_, faults), weight in weights.items():
        found[faults] = found.get(faults, 0.0) + float(weight / total)
    return found


@pytest.mark.parametrize("options", [SMALL, {}], ids=["known", "open"])
def test_a_forecast_is_of_sets_of_faults_that_exclude_each_other(options):
    told = by_hand(options, [hand.cold, hand.read_as(hand.glow_chances, "dim")])
    found = forecast(case(Reading("glow", seen="dim"), options=options, complaints=("cold",)), PACK, Settings())
    assert found.none == pytest.approx(told[frozenset()], abs=1e-9)
    assert found.unknown == pytest.approx(told[None], abs=1e-9)
    assert {f: found.alone[f] for f in RATES} == pytest.approx({f: told[frozenset({f})] for f in RATES}, abs=1e-9)
    pairs = sum(p for faults, p in told.items() if faults and len(faults) == 2)
    assert found.two == pytest.approx(pairs, abs=1e-9)
    assert found.two > 0.01
    present = {f: sum(p for faults, p in told.items() if faults and f in faults) for f in RATES}
    assert {f: found.present[f] for f in RATES} == pytest.approx(present, abs=1e-9)


def test_a_forecast_after_a_repair_is_of_what_is_left():
    done = case(options=SMALL, complaints=("cold",), repairs_done=(RepairDone("replace_heater", False),))
    before, after = (forecast(c, PACK, Settings()) for c in (case(options=SMALL, complaints=("cold",)), done))
    assert after.none > 0.5 > before.none
    assert after.alone["heater_open"] < 0.01 < before.alone["heater_open"]
    assert after.none + sum(after.alone.values()) + after.two + after.unknown == pytest.approx(1.0)


def test_the_forecast_for_one_trouble_leaves_two_at_once_out():
    found = Forecast({"a": 0.3, "b": 0.1}, 0.05, 0.05, 0.5, {"a": 0.8, "b": 0.6})
    assert found.single(("b", "a", "elsewhere")) == pytest.approx((0.1, 0.2, 0.6, 0.0, 0.1))


def test_where_two_troubles_are_certain_nothing_is_told_of_one():
    assert Forecast({"a": 0.0}, 0.0, 0.0, 1.0, {"a": 1.0}).single(("a",)) == pytest.approx((1 / 3, 1 / 3, 1 / 3))
