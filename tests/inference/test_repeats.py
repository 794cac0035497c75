"""A test read more than once: by several values in one reading, or by several readings."""

from __future__ import annotations

from itertools import permutations

import pytest

from probewright_schemas.records import Meter, Quantity, Reading
from support.families import beliefs, case, evaluated, supply


def current(amperes, **more):
    return Reading("heater_current", amperes, unit="A", **more)


def believed(*readings, **fields):
    return beliefs(evaluated(case(*readings, **fields)))


@pytest.mark.parametrize(
    "reading",
    [current(2.7), Reading("glow", seen="dim"), Reading("heater_ohms", over_range=True),
     Reading("heater_current", under_range=True), Reading("door", seen="ajar")],
    ids=lambda reading: reading.test,
)  # fmt: skip
def test_the_same_again_says_nothing_new(reading):
    once, again = believed(reading), believed(reading, reading, reading)
    assert again == pytest.approx(once, rel=1e-9)
    assert len(evaluated(case(reading, reading)).sources) == 1


def test_readings_that_agree_count_as_their_mean():
    assert believed(current(2.6), current(2.8)) == pytest.approx(believed(current(2.7)), rel=0.02)


def test_mean_leans_to_the_better_meter():
    meters = {"good": Meter("clamp_meter", percent_of_reading=0.2, counts=1.0),
              "poor": Meter("clamp_meter", percent_of_reading=5.0, counts=5.0)}  # fmt: skip
    both = believed(current(2.7, meter="good"), current(2.9, meter="poor"), meters=meters)
    assert both == pytest.approx(believed(current(2.7, meter="good"), meters=meters), rel=0.05)


def test_three_readings_are_their_mean():
    # Of equal meters 3.6, 3.7 and 3.8 A are 3.7 A.
    meters = {"it": Meter("clamp_meter", percent_of_reading=0.0, counts=10.0, resolution=Quantity(0.01, "A"))}
    readings = [current(amperes, meter="it") for amperes in (3.6, 3.7, 3.8)]
    assert believed(*readings, meters=meters) == pytest.approx(believed(readings[1], meters=meters), rel=1e-6)


def test_order_of_repeats_does_not_matter():
    first, *others = (believed(*map(current, order)) for order in permutations((3.4, 3.5, 3.6)))
    for other in others:
        assert other == pytest.approx(first, rel=1e-9)


def test_readings_that_disagree_stay_two():
    found = evaluated(case(current(2.7), current(4.0)))
    assert found.sources == ("heater_current", "heater_current")


def test_other_conditions_are_another_reading():
    assert len(evaluated(case(current(4.0), current(3.2, conditions=supply(80.0)))).sources) == 2
    volts = Reading("wire_volts", 100.0, unit="V")
    drained = Reading("wire_volts", 100.0, unit="V", meter="it")
    meters = {"it": Meter("multimeter", input="low_impedance")}
    assert len(evaluated(case(volts, drained, meters=meters)).sources) == 2


def test_what_was_seen_twice_differently_stays_two():
    found = evaluated(case(Reading("door", seen="shut"), Reading("door", seen="ajar"), Reading("door", seen="shut")))
    assert found.sources == ("door", "door")


def test_values_of_one_reading():
    one = evaluated(case(Reading("heater_current", values=(2.69, 2.7, 2.71), unit="A"))).readings.checked[0]
    assert one.value == pytest.approx(2.7)
    several = believed(Reading("heater_current", values=(2.69, 2.7, 2.71), unit="A"))
    assert several["heater_weak"] == pytest.approx(believed(current(2.7))["heater_weak"], abs=0.01)


def test_values_in_any_unit_and_order():
    milli = Reading("heater_current", values=(2710.0, 2690.0, 2700.0), unit="mA")
    plain = Reading("heater_current", values=(2.69, 2.70, 2.71), unit="A")
    assert believed(milli) == pytest.approx(believed(plain), rel=1e-6)


def test_repeating_does_not_outgrow_the_meters_error():
    # The meter's own error is the same each time (JCGM 100, 5.2.2): a hundred readings know no more than it allows.
    one, many = (
        evaluated(case(Reading("heater_current", values=(2.7,) * n, unit="A"))).readings.checked[0].standard_uncertainty
        for n in (1, 100)
    )
    assert many == pytest.approx(one, rel=1e-9)


def test_unit_of_uncertainty_follows():
    found = evaluated(case(Reading("heater_ohms", 0.0243, unit="kohm", meter="it"),
                           meters={"it": Meter("multimeter", percent_of_reading=1.0, counts=0.0, leads_zeroed=True,
                                               resolution=Quantity(0.1, "ohm"))}))  # fmt: skip
    assert found.readings.checked[0].value == pytest.approx(24.3)
    assert 0.14 < found.readings.checked[0].standard_uncertainty < 0.17
