"""Answers come in the units that the readings were given in."""

from __future__ import annotations

from dataclasses import replace

import pytest

from probewright.engine import check_readings, diagnose
from probewright.quantities.units import dimension_of_kind, unit_of
from probewright.settings import Settings
from probewright_schemas.records import Conditions, Limits, Quantity, Reading
from support.families import case, pack_of

KINDS = {"manifold_pressure": "pressure", "outlet_voltage": "voltage", "bake_igniter_resistance": "resistance"}


def both(one, other, job, pack, **fields):
    """The same thing read in two units."""
    return [check_readings(job(reading, **fields), pack, Settings()).readings[0] for reading in (one, other)]


@pytest.mark.parametrize(
    ("test", "plain", "given", "factor"),
    [("bake_igniter_current", (2.6, "A"), (2600.0, "mA"), 1e3),
     ("bake_igniter_resistance", (240.0, "ohm"), (0.24, "kohm"), 1e-3),
     ("outlet_voltage", (121.0, "V"), (121_000.0, "mV"), 1e3)],
)  # fmt: skip
def test_scaled(test, plain, given, factor, job, gas_range):
    one, other = both(Reading(test, plain[0], unit=plain[1]), Reading(test, given[0], unit=given[1]), job, gas_range)
    assert (one.unit, other.unit) == (plain[1], given[1])
    assert other.value == pytest.approx(factor * one.value, rel=1e-9)
    assert other.standard_uncertainty == pytest.approx(factor * one.standard_uncertainty, rel=1e-9)
    for side in ("low", "high"):
        assert getattr(other.expected, side) == pytest.approx(factor * getattr(one.expected, side), rel=1e-9)
    assert other.expected.unit == given[1]
    assert other.verdict == one.verdict
    assert other.probability_within == pytest.approx(one.probability_within, abs=1e-9)


def test_fahrenheit(job, gas_range):
    # 360 degF against a set point of 350 degF: the offset belongs to temperatures, not to their uncertainty.
    settled = Conditions(set_point=Quantity(350.0, "degF"))
    by_celsius = Reading("oven_temperature", (360 - 32) / 1.8, unit="degC")
    by_fahrenheit = Reading("oven_temperature", 360.0, unit="degF")
    celsius, fahrenheit = both(by_celsius, by_fahrenheit, job, gas_range, conditions=settled)
    assert fahrenheit.unit == fahrenheit.expected.unit == "degF"
    assert fahrenheit.value == pytest.approx(360.0)
    assert fahrenheit.standard_uncertainty == pytest.approx(1.8 * celsius.standard_uncertainty, rel=1e-6)
    for side in ("low", "high"):
        assert getattr(fahrenheit.expected, side) == pytest.approx(1.8 * getattr(celsius.expected, side) + 32, rel=1e-9)
    # The trade's rule of thumb, common practice: within 25 degF of the set point.
    assert (fahrenheit.expected.low, fahrenheit.expected.high) == pytest.approx((325.0, 375.0), abs=2.0)


@pytest.mark.parametrize(
    ("test", "value", "spelling", "unit"),
    [("manifold_pressure", 5.0, "in WC", "inH2O"), ("outlet_voltage", 121.0, "VAC", "V"),
     ("bake_igniter_resistance", 240.0, "Ω", "ohm"), ("outlet_voltage", 121.0, "volts", "V")],
)  # fmt: skip
def test_another_spelling_of_the_same_unit_changes_no_number(test, value, spelling, unit, job, gas_range):
    one, other = both(Reading(test, value, unit=unit), Reading(test, value, unit=spelling), job, gas_range)
    assert replace(other, unit=one.unit, expected=replace(other.expected, unit=one.expected.unit)) == one
    assert unit_of(other.unit, dimension_of_kind(KINDS[test])) is unit_of(unit, dimension_of_kind(KINDS[test]))


def test_leads_are_taken_off_in_any_unit():
    ohms, kilo = (
        check_readings(case(Reading("heater_ohms", value, unit=unit)), pack_of(), Settings()).readings[0]
        for value, unit in ((24.3, "ohm"), (0.0243, "kohm"))
    )
    assert ohms.value == pytest.approx(24.0)
    assert kilo.value == pytest.approx(0.024)


def test_over_range_stays_in_the_tests_unit(job, gas_range):
    found = check_readings(job(Reading("bake_igniter_resistance", over_range=True)), gas_range, Settings()).readings[0]
    assert (found.value, found.over_range, found.unit) == (None, True, "ohm")


def test_tech_sheet_in_another_unit(job, gas_range):
    sheet = {"bake_igniter_current": Limits("A", 3.2, 3.6)}
    case = job(Reading("bake_igniter_current", 3400.0, unit="mA"), tech_sheet=sheet)
    found = check_readings(case, gas_range, Settings())
    assert (found.readings[0].expected.low, found.readings[0].expected.high) == pytest.approx((3200.0, 3600.0))


def test_probabilities_do_not_depend_on_the_unit(job, gas_range):
    readings = [
        (Reading("bake_igniter_current", 2.6, unit="A"), Reading("oven_sensor_resistance", 1.08, unit="kohm")),
        (Reading("bake_igniter_current", 2600.0, unit="mA"), Reading("oven_sensor_resistance", 1080, unit="Ω")),
    ]
    room = [Conditions(ambient=Quantity(70.0, "degF")), Conditions(ambient=Quantity((70 - 32) / 1.8, "degC"))]
    one, other = (
        diagnose(job(*r, conditions=c), gas_range, Settings()) for r, c in zip(readings, room, strict=True)
    )
    assert {f.fault: f.probability for f in one.faults} == pytest.approx(
        {f.fault: f.probability for f in other.faults}, rel=1e-6)  # fmt: skip
