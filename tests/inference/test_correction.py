"""Corrected readings through the whole service: units, repeats, leads, refusals.  All numbers are invented."""

from __future__ import annotations

import dataclasses
import math

import pytest

from probewright.engine import check_readings, diagnose
from probewright.errors import InvalidCase
from probewright.inference.ids import Vocabulary
from probewright.inference.preparing import prepare
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.web import create_app
from probewright_schemas.records import Conditions, Correction, Limits, Meter, Quantity, Reading
from support.families import a_test, among, case, pack_of, warmer, with_test

HOT = Conditions(set_point=Quantity(180.0, "degC"))
LOW = Correction(1.064, 0.004)
#: The same meters as are assumed where none is named, but for their leads.
METERS = {
    "zeroed": Meter("multimeter", 1.0, 3.0, leads_zeroed=True),
    "long": Meter("multimeter", 1.0, 3.0, lead_resistance=Quantity(0.7, "ohm")),
}


def current(value=2.45, correction=None, **more):
    result = {"values": value} if isinstance(value, tuple) else {"value": value}
    return Reading("heater_current", unit="A", correction=correction, **(result | more))


def ready(reading, family=None, **fields):
    return prepare(case(reading, **fields), Vocabulary(family or warmer()))[0]


def checked(reading, pack=None, **fields):
    return check_readings(case(reading, **fields), pack or pack_of(), Settings()).readings[0]


def refused(reading, **fields):
    with pytest.raises(InvalidCase) as found:
        checked(reading, **fields)
    return [(fault.pointer, fault.code) for fault in found.value.faults]


def identity(**more):
    return Correction(1.0, 0.0, Quantity(0.0, "A"), Quantity(0.0, "mA"), Quantity(0.0, "A"), **more)


@pytest.mark.parametrize("values", [2.45, (2.45, 2.5, 2.39, 2.61), (0.1,), 0.0])
@pytest.mark.parametrize("correction", [Correction(), identity(), identity(correlation=-0.9)])
def test_a_correction_that_corrects_nothing_changes_no_bit_of_an_answer(values, correction):
    plain, corrected = ready(current(values)), ready(current(values, correction))
    same = ("value", "uncertainty", "scatter", "own", "leads", "off", "event")
    assert [getattr(plain, name).__repr__() for name in same] == [getattr(corrected, name).__repr__() for name in same]
    assert (plain.as_read, corrected.as_read) == (None, plain.value)
    settings, pack = Settings(), pack_of()
    one, other = (diagnose(case(current(values, c)), pack, settings) for c in (None, correction))
    assert one.faults == other.faults
    assert dataclasses.replace(other.readings[0], as_read=None) == one.readings[0]


def test_the_verdict_is_that_of_what_was_there():
    limits = {"heater_current": Limits("A", 2.5, 2.9)}
    plain, corrected = (checked(current(2.35, c), tech_sheet=limits) for c in (None, Correction(1.15)))
    assert (plain.verdict, corrected.verdict) == ("outside", "within")
    assert (corrected.as_read, corrected.value) == (pytest.approx(2.35), pytest.approx(2.7025))


def test_a_corrected_reading_counts_as_one_of_that_value():
    pack, meter = pack_of(), {"it": Meter("clamp_meter", 0.0, 1.0, Quantity(0.01, "A"))}
    found = [
        diagnose(case(current(v, c, meter="it"), meters=meter), pack, Settings()).faults
        for v, c in ((2.5, Correction(offset=Quantity(0.2, "A"))), (2.7, None))
    ]
    told = [{f.fault: f.probability for f in faults} for faults in found]
    assert told[0] == pytest.approx(told[1], rel=1e-9)


def test_an_uncertain_correction_makes_a_reading_say_less():
    pack = pack_of()
    sure, unsure = (
        {f.fault: f.probability for f in diagnose(case(current(2.7, Correction(1.0, u))), pack, Settings()).faults}
        for u in (0.0, 0.3)
    )
    assert unsure["heater_weak"] < sure["heater_weak"]


def test_temperatures_in_fahrenheit_are_corrected_as_in_celsius():
    celsius = Correction(1.02, 0.002, Quantity(2.0, "degC"), Quantity(0.5, "K"), Quantity(100.0, "degC"))
    fahrenheit = Correction(1.02, 0.002, Quantity(3.6, "degF"), Quantity(0.9, "degF"), Quantity(212.0, "degF"))
    # 350 degF and 176.67 degC, each with each.
    found = [
        checked(Reading("chamber", value, unit=unit, correction=correction), conditions=HOT)
        for value, unit in ((350.0, "degF"), ((350 - 32) / 1.8, "degC")) for correction in (celsius, fahrenheit)
    ]
    # 350 degF are 138 above 212: 3.6 and 2 % of that are 6.36 degF.
    assert [reading.value for reading in found[:2]] == pytest.approx([356.36] * 2)
    assert [reading.value for reading in found[2:]] == pytest.approx([(356.36 - 32) / 1.8] * 2)
    assert [reading.as_read for reading in found] == pytest.approx([350.0, 350.0, *[(350 - 32) / 1.8] * 2])
    assert [reading.unit for reading in found] == ["degF", "degF", "degC", "degC"]
    in_kelvin = [found[0].standard_uncertainty / 1.8, found[2].standard_uncertainty]
    assert in_kelvin[0] == pytest.approx(in_kelvin[1])
    assert len({reading.verdict for reading in found}) == 1


def test_ohms_in_kilohm_are_corrected_as_in_ohm():
    readings = [
        Reading("heater_ohms", value, unit=unit, correction=Correction(0.98, 0.001, *quantities))
        for value, unit, quantities in (
            (25.0, "ohm", (Quantity(0.4, "ohm"), Quantity(0.1, "ohm"), Quantity(20.0, "ohm"))),
            (0.025, "kohm", (Quantity(4e-4, "kohm"), Quantity(1e-4, "kohm"), Quantity(0.02, "kohm"))),
        )
    ]  # fmt: skip
    ohm, kilohm = map(checked, readings)
    # 25 + 0.4 - 0.02 x 5 = 25.3, less the 0.3 ohm of the leads.
    assert (ohm.value, ohm.as_read) == (pytest.approx(25.0), pytest.approx(24.7))
    assert (kilohm.value, kilohm.as_read) == (pytest.approx(0.025), pytest.approx(0.0247))
    assert kilohm.standard_uncertainty == pytest.approx(ohm.standard_uncertainty / 1000)


@pytest.mark.parametrize(("meter", "leads"), [("zeroed", 0.0), ("long", 0.7), (None, 0.3)])
def test_leads_come_off_after_the_correction(meter, leads):
    reading = Reading("heater_ohms", 25.0, unit="ohm", meter=meter, correction=Correction(1.1))
    found = ready(reading, meters=METERS if meter else {})
    assert found.value == pytest.approx(27.5 - leads)
    assert found.as_read == pytest.approx(25.0 - leads)


def insulation():
    """The warmer with a test whose own unit is not the ohm."""
    return with_test(a_test("insulation", "resistance", dataclasses.replace(STATED), unit="Mohm"))


STATED = next(m for t in warmer().tests if t.id == "chamber" for m in t.models)
STATED = dataclasses.replace(STATED, healthy=among(1.0, 100.0), by_fault={}, relative_to=None)


@pytest.mark.parametrize(("value", "unit"), [(0.4, "Mohm"), (400.0, "kohm"), (4e5, "ohm")])
@pytest.mark.parametrize("gain", [None, 1.0, 1.5])
def test_leads_are_in_ohm_whatever_the_unit_of_the_test(value, unit, gain):
    correction = None if gain is None else Correction(gain)
    found = ready(Reading("insulation", value, unit=unit, correction=correction), insulation())
    assert found.value == pytest.approx(0.4 * (gain or 1.0) - 0.3e-6, rel=1e-9)
    assert found.off == pytest.approx(0.3e-6)
    assert found.as_read == (None if gain is None else pytest.approx(0.4 - 0.3e-6))
    codes = [f.code for f in checked(Reading("insulation", value, unit=unit), pack_of(insulation())).findings]
    assert "leads_subtracted" not in codes


def test_insulation_that_reads_under_range_is_not_sound():
    sheet, meter = {"insulation": Limits("Mohm", low=1.0)}, {"it": Meter("insulation_tester")}
    reading = Reading("insulation", under_range=True, meter="it")
    assert checked(reading, pack_of(insulation()), tech_sheet=sheet, meters=meter).verdict == "outside"


def test_the_mean_of_repeated_values_is_corrected_and_their_scatter_stretched():
    values, correction = (2.4, 2.5, 2.45), Correction(1.2, 0.0, Quantity(0.1, "A"))
    plain, found = ready(current(values)), ready(current(values, correction))
    assert (found.value, found.as_read) == (pytest.approx(2.45 * 1.2 + 0.1), pytest.approx(2.45))
    assert found.scatter == pytest.approx(1.2 * plain.scatter)
    assert found.own == pytest.approx(1.2 * plain.own)
    assert found.uncertainty == pytest.approx(1.2 * plain.uncertainty)


def test_one_value_is_as_values_of_one():
    one, other = (ready(current(v, LOW)) for v in (2.45, (2.45,)))
    assert (one.value, one.uncertainty, one.own) == (other.value, other.uncertainty, other.own)


def test_a_gain_may_not_make_less_than_nothing_pass():
    # 0.1 A shown of a meter that shows 1 A too much.
    found = checked(current(0.1, Correction(offset=Quantity(-1.0, "A"))))
    assert (found.verdict, [f.code for f in found.findings]) == ("rejected", ["impossible_value"])


def test_a_supply_that_was_read_too_low_is_a_higher_supply():
    # The heater takes 4 A at 100 V, so what it takes at the corrected supply is sound.
    volts = Reading("supply_volts", 95.0, unit="V", correction=Correction(1.04 * 100 / 98.8))
    found = check_readings(case(volts, current(4.0)), pack_of(), Settings()).readings[1]
    assert found.expected.conditions["supply_voltage"].value == pytest.approx(100.0)


@pytest.mark.parametrize(
    ("correction", "field", "code"),
    [(Correction(offset=Quantity(1.0, "V")), "/offset", "bad_unit"),
     (Correction(offset_uncertainty=Quantity(1.0, "ohm")), "/offset_uncertainty", "bad_unit"),
     (Correction(at=Quantity(1.0, "amps and a bit")), "/at", "bad_unit"),
     (Correction(offset_uncertainty=Quantity(-1.0, "A")), "/offset_uncertainty", "bad_number")],
)  # fmt: skip
def test_a_correction_of_something_else_is_told_by_its_field(correction, field, code):
    assert refused(current(2.45, correction)) == [(f"/readings/0/correction{field}", code)]


def test_a_correction_below_absolute_zero_is_told():
    reading = Reading("chamber", 20.0, unit="degC", correction=Correction(offset=Quantity(-300.0, "K")))
    assert refused(reading, conditions=HOT) == [("/readings/0/correction", "bad_number")]


@pytest.mark.parametrize(
    "reading",
    [Reading("heater_ohms", over_range=True, correction=LOW), Reading("heater_ohms", under_range=True, correction=LOW),
     Reading("door", seen="ajar", correction=LOW)],
)  # fmt: skip
def test_what_is_no_number_is_not_corrected(reading):
    assert refused(reading) == [("/readings/0/correction", "exclusive")]


@pytest.fixture(scope="module")
def client():
    return create_app(load_packs(), Settings()).test_client()


@pytest.mark.parametrize(
    ("result", "correction", "pointer", "code"),
    [({"value": 2.6, "unit": "A"}, {"offset": {"value": 1, "unit": "V"}}, "/offset", "bad_unit"),
     ({"value": 2.6, "unit": "A"}, {"offset": 0.1}, "/offset", "type"),
     ({"value": 2.6, "unit": "A"}, {"gain": 0.0}, "/gain", "range"),
     ({"value": 2.6, "unit": "A"}, {"gain_uncertainty": -0.1}, "/gain_uncertainty", "range"),
     ({"value": 2.6, "unit": "A"}, {"correlation": 1.1}, "/correlation", "range"),
     ({"value": 2.6, "unit": "A"}, {"factor": 1.1}, "/factor", "unknown_field"),
     ({"over_range": True}, {"gain": 1.1}, "", "exclusive"),
     ({"seen": "dim_orange"}, {"gain": 1.1}, "", "exclusive")],
)  # fmt: skip
def test_the_service_says_where_a_correction_is_wrong(client, result, correction, pointer, code):
    reading = {"test": "bake_igniter_current", "correction": correction} | result
    answer = client.post("/v1/readings/check", json={"family": "gas_range", "readings": [reading]})
    assert answer.status_code == 422
    told = [(error["pointer"], error["code"]) for error in answer.get_json()["errors"]]
    assert told == [(f"/readings/0/correction{pointer}", code)]


def test_the_service_tells_what_was_read_and_what_was_there_in_the_unit_given(client):
    correction = {"gain": 1.064, "gain_uncertainty": 0.004, "offset": {"value": 0.02, "unit": "A"}}
    reading = {"test": "bake_igniter_current", "value": 2450, "unit": "mA", "correction": correction}
    found = client.post("/v1/readings/check", json={"family": "gas_range", "readings": [reading]}).get_json()
    told = found["readings"][0]
    assert (told["as_read"], told["value"], told["unit"]) == (2450.0, pytest.approx(2626.8), "mA")
    assert math.isfinite(told["standard_uncertainty"])
