"""Outcomes of measured tests in words: numbers as a meter shows them, under the conditions of the case."""

from __future__ import annotations

from math import inf

import pytest

from probewright.figures import invented
from probewright.inference.situation import Situation
from probewright.inference.store import ModelStore
from probewright.inference.telling import OVER_RANGE, Words, labels, rounded, together, told
from probewright.packs.model import Between, Limit, Through
from probewright_schemas.records import Limits
from support.families import SMALL, a_test, case, warmer, with_test

KELVIN = Words("degC", about="the set point")


@pytest.mark.parametrize(
    ("edges", "words", "expected"),
    [
        ((), Words("A"), ("any value",)),
        ((3.0,), Words("A"), ("under 3 A", "over 3 A")),
        ((0.4, 3.0, 3.2), Words("A"), ("under 0.4 A", "0.4 to 3.0 A", "3.0 to 3.2 A", "over 3.2 A")),
        ((1e6,), Words("ohm", over=4e7), ("under 1 Mohm", "over 1 Mohm or OL")),
        ((420.0, 4e7), Words("ohm", over=4e7), ("under 420 ohm", "over 420 ohm", OVER_RANGE)),
        ((4e7,), Words("ohm", over=4e7), ("any value but OL", OVER_RANGE)),
        ((1083.0, 1100.0), Words("ohm"), ("under 1083 ohm", "1083 to 1100 ohm", "over 1100 ohm")),
        ((470.0, 12000.0), Words("ohm"), ("under 0.47 kohm", "0.47 to 12.00 kohm", "over 12.00 kohm")),
        ((1060.0, 4e7), Words("ohm", over=4e7, at="21 degC"),
         ("under 1060 ohm at 21 degC", "over 1060 ohm at 21 degC", OVER_RANGE)),
        ((-16.0, 17.0), KELVIN, ("more than 16 K under the set point", "from 16 K under to 17 K over the set point",
                                 "more than 17 K over the set point")),
        ((-14.0, 14.0), KELVIN, ("more than 14 K under the set point", "within 14 K of the set point",
                                 "more than 14 K over the set point")),
        ((-40.0, -10.0, 0.0), KELVIN, ("more than 40 K under the set point", "40 to 10 K under the set point",
                                       "10 to 0 K under the set point", "over the set point")),
        ((5.0, 9.0), KELVIN, ("under 5 K over the set point", "5 to 9 K over the set point",
                              "more than 9 K over the set point")),
    ],
)  # fmt: skip
def test_labels(edges, words, expected):
    assert labels(edges, words) == expected


def test_numbers_that_belong_together_have_the_same_decimals():
    assert together([8.1, 95.4, 102.6]) == [8.0, 95.0, 103.0]
    assert together([0.36, 2.7, 3.2412]) == [0.36, 2.7, 3.24]
    assert together([0.27, 103.2]) == [0.27, 103.0]
    assert together([]) == []
    assert (rounded(1234.5), rounded(0.0), rounded(inf)) == (1230.0, 0.0, inf)


def compiled(family=None):
    return ModelStore(family or warmer()).open_builds(case(options=SMALL)).builds[0].compiled


def test_readings_that_follow_the_supply_are_told_for_the_one_that_is_known():
    build = compiled()
    test = build.tests["heater_current"]
    assert told(build, test, (3.0, 3.6)) == ("under 3.0 A", "3.0 to 3.6 A", "over 3.6 A")
    assert told(build, test, (3.0, 3.6), Situation(supply=90.0)) == ("under 2.70 A", "2.70 to 3.24 A", "over 3.24 A")
    # The supply itself is compared with the usual one, whatever it was found to be.
    supply = build.tests["supply_volts"]
    assert told(build, supply, (90.0,), Situation(supply=90.0)) == ("under 90 V", "over 90 V")


def test_a_resistance_does_not_follow_the_supply():
    build = compiled()
    test = build.tests["heater_ohms"]
    assert told(build, test, (30.0,), Situation(supply=90.0)) == told(build, test, (30.0,))


def test_a_controlled_temperature_is_told_for_the_set_point_that_is_known():
    build = compiled()
    test = build.tests["chamber"]
    assert told(build, test, (-10.0,)) == ("more than 10 K under the set point", "over 10 K under the set point")
    assert told(build, test, (-10.0,), Situation(set_point=180.0)) == ("under 170 degC", "over 170 degC")


def limited() -> object:
    return a_test("heater_current", "current", Through("heating", "heater"), command="heat",
                  limits=(Limit(invented(3.5), invented(4.5), scales_with_supply=True),))  # fmt: skip


def test_a_technical_sheet_puts_its_limits_in_place_of_the_healthy_ones():
    build = compiled(with_test(limited()))
    test, sheet = build.tests["heater_current"], Limits("A", 3.0, 4.0)
    own = ("under 3.5 A", "3.5 to 4.5 A", "over 4.5 A")
    assert told(build, test, (3.5, 4.5)) == own
    assert told(build, test, (3.5, 4.5), None, sheet) == ("under 3 A", "3 to 4 A", "over 4 A")
    # Other cuts move as far as the line through nothing and the limits moves them; milliamperes are amperes.
    assert told(build, test, (1.75, 3.5), None, Limits("mA", 3000.0)) == ("under 1.5 A", "1.5 to 3.0 A", "over 3.0 A")
    assert told(build, test, (3.5, 9.0), None, sheet) == ("under 3 A", "3 to 8 A", "over 8 A")
    assert told(build, test, (3.5,), Situation(supply=90.0), sheet) == ("under 2.7 A", "over 2.7 A")
    # Limits at nothing move nothing.
    assert told(build, test, (3.5, 4.5), None, Limits("A", 0.0)) == ("under 0.0 A", "0.0 to 4.5 A", "over 4.5 A")


def test_the_band_of_the_model_stands_in_where_the_pack_has_no_limits():
    build = compiled()
    test = build.tests["heater_ohms"]
    assert test.limits == ()
    assert isinstance(build.model(test), Between)
    sheet = Limits("ohm", high=48.0)
    assert told(build, test, (24.0, 36.0), None, sheet) == ("under 48 ohm", "48 to 72 ohm", "over 72 ohm or OL")
