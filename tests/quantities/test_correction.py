"""Corrections of instruments: units, and what they do to values and to their uncertainty."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.quantities.correction import CorrectionError, LinearCorrection, linear
from probewright.quantities.instruments import resolve
from probewright_schemas.records import Correction, Meter, Quantity

fixed = settings(derandomize=True, deadline=None, max_examples=200)
readings = st.floats(-1e6, 1e6, allow_nan=False)
#: Two of resistance, one with leads that count; one that ranges by itself, one of one range.
INSTRUMENTS = [
    (None, "resistance"), (Meter("multimeter", 0.5, 2.0, leads_zeroed=True), "resistance"), (None, "current"),
    (None, "temperature"), (None, "pressure"), (Meter("clamp_meter", 2.0, 5.0), "current"),
]  # fmt: skip


@pytest.mark.parametrize(("meter", "kind"), INSTRUMENTS)
@fixed
@given(values=st.lists(readings, min_size=1, max_size=6))
def test_a_correction_that_corrects_nothing_changes_no_bit(meter, kind, values):
    instrument, nothing = resolve(meter, kind), linear(Correction(), kind)
    assert nothing.evaluate(instrument, values) == instrument.evaluate(values)
    assert nothing.of_one(instrument, values[0]) == instrument.standard_uncertainty(values[0])


def test_a_gain_multiplies_what_was_shown_and_its_uncertainty():
    # Invented: 2.45 A of a meter that shows too little, of which 1.5 % and 3 counts of 0.01 A are stated.
    instrument = resolve(Meter("clamp_meter", 1.5, 3.0, Quantity(0.01, "A")), "current")
    result = linear(Correction(1.064), "current").evaluate(instrument, [2.45])
    assert result.mean == pytest.approx(2.6068, rel=1e-12)
    assert result.standard_uncertainty == pytest.approx(1.064 * (2.45 * 0.015 + 0.03) / math.sqrt(3), rel=1e-12)


def test_resistance_of_leads_and_contacts_is_not_stretched():
    instrument = resolve(Meter("multimeter", 0.0, 1.0, Quantity(0.1, "ohm"), Quantity(0.3, "ohm")), "resistance")
    assert instrument.lead_half_width > 0
    found = linear(Correction(10.0), "resistance").of_one(instrument, 20.0)
    assert found == pytest.approx(math.hypot(10 * 0.1, instrument.lead_half_width) / math.sqrt(3), rel=1e-12)


def test_values_and_offset_of_a_correction_are_those_of_a_straight_line():
    # Invented: +0.5 at 100, and 2 % more beyond.
    offset, spread, at = (Quantity(volts, "V") for volts in (0.5, 0.2, 100.0))
    correction = linear(Correction(1.02, 0.01, offset, spread, at, -0.5), "voltage")
    assert [correction.apply(v) for v in (100.0, 150.0, 50.0)] == pytest.approx([100.5, 151.5, 49.5])
    # Equation (16) of JCGM 100:2008, 5.2.2, by hand: (50 x 0.01)^2 + 0.2^2 + 2 (-0.5) 0.5 x 0.2 = 0.19.
    assert correction.standard_uncertainty(150.0) == pytest.approx(math.sqrt(0.19))
    # On the other side the correlation adds: 0.25 + 0.04 + 0.10.
    assert correction.standard_uncertainty(50.0) == pytest.approx(math.sqrt(0.39))


@pytest.mark.parametrize(("correlation", "u"), [(1.0, 0.7), (0.0, math.sqrt(0.29)), (-1.0, 0.3)])
def test_full_correlation_adds_or_takes_away(correlation, u):
    # 50 x 0.01 = 0.5 and 0.2: their sum, their root sum square, their difference.
    one = LinearCorrection(0.0, 0.01, 0.0, 0.2, 0.0, correlation)
    assert one.standard_uncertainty(50.0) == pytest.approx(u)


def test_full_correlation_that_cancels_is_nothing_and_no_error():
    assert LinearCorrection(0.0, 0.1, 0.0, 0.3, 0.0, -1.0).standard_uncertainty(3.0) == pytest.approx(0.0, abs=1e-8)


@pytest.mark.parametrize(
    ("kind", "unit", "offset", "at", "expected"),
    [
        # A difference of 1.8 degF is one of 1 K, and 50 degF are 10 degC; definitions, NIST SP 811, B.9.
        ("temperature", "degF", 1.8, 50.0, (1.0, 10.0)),
        ("temperature", "degC", 1.0, 10.0, (1.0, 10.0)),
        ("temperature", "K", 1.0, 283.15, (1.0, 10.0)),
        ("resistance", "kohm", 0.002, 0.5, (2.0, 500.0)),
        ("resistance", "Mohm", 2e-6, 5e-4, (2.0, 500.0)),
        ("current", "mA", 20.0, 500.0, (0.02, 0.5)),
    ],
)
def test_offsets_are_differences_and_where_they_hold_is_not(kind, unit, offset, at, expected):
    given_ = Correction(1.1, 0.0, Quantity(offset, unit), Quantity(offset / 10, unit), Quantity(at, unit))
    found = linear(given_, kind)
    assert (found.offset, found.at) == pytest.approx(expected)
    assert found.offset_uncertainty == pytest.approx(expected[0] / 10)


def test_a_correction_in_fahrenheit_is_the_one_in_celsius():
    # 212 degF shown: 180 degF above 32, of which 5 % are 9, and 2 more: 223 degF, which are 106.1 degC.
    found = linear(Correction(1.05, 0.0, Quantity(2.0, "degF"), None, Quantity(32.0, "degF")), "temperature")
    assert found.apply(100.0) == pytest.approx((223.0 - 32.0) / 1.8)


def test_the_gain_of_a_temperature_is_about_its_own_nothing_where_none_is_named():
    assert linear(Correction(1.1), "temperature").apply(50.0) == pytest.approx(55.0)
    assert linear(Correction(1.1), "temperature").apply(0.0) == 0.0


@pytest.mark.parametrize("field", ["offset", "offset_uncertainty", "at"])
@pytest.mark.parametrize(
    ("quantity", "code"),
    [(Quantity(1.0, "V"), "bad_unit"), (Quantity(1.0, "furlong"), "bad_unit"), (Quantity(1.0, ""), "bad_unit"),
     (Quantity(math.nan, "A"), "bad_number"), (Quantity(math.inf, "A"), "bad_number")],
)  # fmt: skip
def test_what_cannot_be_is_told_by_its_field(field, quantity, code):
    with pytest.raises(CorrectionError) as refused:
        linear(replace(Correction(), **{field: quantity}), "current")
    assert (refused.value.field, refused.value.code) == (field, code)


def test_an_uncertainty_is_not_negative():
    with pytest.raises(CorrectionError, match="not negative") as refused:
        linear(Correction(offset_uncertainty=Quantity(-0.1, "A")), "current")
    assert (refused.value.field, refused.value.code) == ("offset_uncertainty", "bad_number")


def test_where_it_holds_cannot_be_colder_than_anything():
    with pytest.raises(CorrectionError, match="absolute zero") as refused:
        linear(Correction(at=Quantity(-300.0, "degC")), "temperature")
    assert refused.value.field == "at"


def test_an_offset_may_be_a_difference_of_more_than_the_temperature_there_is():
    assert linear(Correction(offset=Quantity(-300.0, "K")), "temperature").offset == -300.0


def test_repeating_makes_neither_the_meter_nor_its_correction_surer():
    instrument = resolve(Meter("clamp_meter", 1.0, 0.5, Quantity(0.001, "A")), "current")
    correction = linear(Correction(1.05, 0.03), "current")
    once, often = (correction.evaluate(instrument, [2.0] * n) for n in (1, 40))
    assert often.mean == pytest.approx(once.mean)
    assert often.standard_uncertainty == pytest.approx(once.standard_uncertainty)
    # The meter's (2.0 x 1 % + 0.5 counts) x 1.05 over the root of three, and 2.0 x 0.03 of the factor.
    assert once.standard_uncertainty == pytest.approx(math.hypot(1.05 * 0.0205 / math.sqrt(3), 0.06))


def test_the_scatter_of_repeated_values_is_stretched_with_them():
    instrument = resolve(Meter("clamp_meter", 1.0, 0.5, Quantity(0.001, "A")), "current")
    plain = instrument.evaluate([2.0, 2.1, 2.2])
    found = linear(Correction(2.0, offset=Quantity(1.0, "A")), "current").evaluate(instrument, [2.0, 2.1, 2.2])
    assert found.mean == pytest.approx(5.2)
    assert found.type_a == pytest.approx(2 * plain.type_a)
    # Both contributions are stretched alike, so their shares and degrees of freedom stay.
    assert found.degrees_of_freedom == pytest.approx(plain.degrees_of_freedom)
    assert found.standard_uncertainty == pytest.approx(2 * plain.standard_uncertainty)


def test_an_uncertain_correction_leaves_less_to_the_scatter():
    # JCGM 100:2008, G.4.1: degrees of freedom grow as the share of the scatter shrinks.
    instrument = resolve(Meter("clamp_meter", 0.1, 0.5, Quantity(0.001, "A")), "current")
    values = [2.0, 2.1, 2.2]
    sure, unsure = (linear(Correction(1.0, u), "current").evaluate(instrument, values) for u in (0.0, 0.02))
    share = unsure.type_a / unsure.combined
    assert unsure.degrees_of_freedom == pytest.approx(2 / share**4)
    assert unsure.degrees_of_freedom > sure.degrees_of_freedom
