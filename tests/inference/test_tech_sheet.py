"""Limits of the maker's technical sheet: they judge the reading, and they shift what it tells of the faults."""

from __future__ import annotations

import pytest

from probewright.errors import InvalidCase
from probewright_schemas.records import Limits, Meter, Quantity, Reading
from support.families import beliefs, case, evaluated, supply

SHARP = {"it": Meter("clamp_meter", percent_of_reading=0.2, counts=1.0, resolution=Quantity(0.01, "A"))}


def current(amperes):
    return Reading("heater_current", amperes, unit="A", meter="it")


def sheet(low=None, high=None, unit="A", test="heater_current"):
    return {test: Limits(unit, low, high)}


def checked(reading, tech_sheet, **fields):
    return evaluated(case(reading, tech_sheet=tech_sheet, meters=SHARP, **fields)).readings.checked[0]


def believed(reading, tech_sheet=None, **fields):
    return beliefs(evaluated(case(reading, tech_sheet=tech_sheet or {}, meters=SHARP, **fields)))


def test_replaces_the_band():
    found = checked(current(2.7), sheet(2.5, 2.9))
    assert (found.verdict, found.expected.basis) == ("within", "tech_sheet")
    assert (found.expected.low, found.expected.high) == (2.5, 2.9)
    assert checked(current(4.0), sheet(2.5, 2.9)).verdict == "outside"


def test_in_its_own_unit():
    found = checked(current(2.7), sheet(2500.0, 2900.0, unit="mA"))
    assert (found.expected.low, found.expected.high) == pytest.approx((2.5, 2.9))
    assert found.expected.unit == "A"


@pytest.mark.parametrize(("limits", "verdict"), [(sheet(low=2.5), "within"), (sheet(high=2.5), "outside")])
def test_one_sided(limits, verdict):
    assert checked(current(4.0), limits).verdict == verdict


def test_scales_with_the_supply():
    found = checked(current(2.43), sheet(2.5, 2.9), conditions=supply(90.0))
    assert (found.expected.low, found.expected.high) == (pytest.approx(2.25), pytest.approx(2.61))
    assert found.verdict == "within"


def test_ohms_do_not_scale():
    reading = Reading("heater_ohms", 24.3, unit="ohm")
    found = checked(reading, sheet(20.0, 28.0, "ohm", "heater_ohms"), conditions=supply(90.0))
    assert (found.expected.low, found.expected.high) == (20.0, 28.0)


def test_a_healthy_reading_by_the_sheet_speaks_for_health():
    # 2.7 A is what a weak heater draws; but this one is made for 2.5 to 2.9 A.
    assert believed(current(2.7))["heater_weak"] > 0.99
    assert believed(current(2.7), sheet(2.5, 2.9))["heater_weak"] < 0.01
    assert believed(current(2.7), sheet(2.5, 2.9))["none"] > 0.5


def test_as_far_below_the_sheet_tells_as_much():
    # 2.7 A are 0.693 of the model's lower limit of 3.9 A; the same share of 2.5 A is a weak one's.
    band = checked(current(4.0), {}).expected
    share = 2.7 / band.low
    assert believed(current(round(2.5 * share, 2)), sheet(2.5, 2.5 * band.high / band.low))["heater_weak"] > 0.95


def test_nothing_stays_nothing():
    with_sheet, without = (believed(current(0.0), limits) for limits in (sheet(2.5, 2.9), {}))
    for fault in ("fuse_open", "heater_open", "no_supply"):
        assert with_sheet[fault] == pytest.approx(without[fault], rel=0.05)


def test_the_models_own_limits_change_nothing():
    band = checked(current(4.0), {}).expected
    for amperes in (2.7, 3.98, 4.05):
        with_sheet = believed(current(amperes), sheet(band.low, band.high))
        assert with_sheet == pytest.approx(believed(current(amperes)), rel=1e-6)


def test_only_its_own_test():
    other = sheet(1.0, 2.0, "ohm", "heater_ohms")
    assert believed(current(2.7), other) == pytest.approx(believed(current(2.7)), rel=1e-9)


@pytest.mark.parametrize("readings", [(), (current(2.7),)], ids=["not read", "read"])
@pytest.mark.parametrize(
    ("limits", "pointer"),
    [
        (sheet(1.0, unit="V"), "/tech_sheet/heater_current/unit"),
        (sheet(1.0, unit="furlong"), "/tech_sheet/heater_current/unit"),
        (sheet(3.0, 2.0), "/tech_sheet/heater_current"),
        (sheet(float("nan")), "/tech_sheet/heater_current"),
        (sheet(1.0, unit="ohm", test="no_such_test"), "/tech_sheet/no_such_test"),
    ],
    ids=["unit of something else", "no unit", "crossed", "not a number", "no such test"],
)  # fmt: skip
def test_what_no_sheet_says_is_refused(readings, limits, pointer):
    with pytest.raises(InvalidCase) as refused:
        evaluated(case(*readings, tech_sheet=limits, meters=SHARP))
    assert all(fault.pointer.startswith(pointer) for fault in refused.value.faults)


def test_limits_for_what_is_seen_are_refused():
    with pytest.raises(InvalidCase) as refused:
        evaluated(case(Reading("glow", seen="dim"), tech_sheet=sheet(1.0, test="glow")))
    assert refused.value.faults[0].pointer.startswith("/tech_sheet/glow")
