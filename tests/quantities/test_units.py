"""Spellings, conversions and refusals of the unit table."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import get_args

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.errors import RequestError
from probewright.packs.model import TestKind
from probewright.quantities import unit_table, units
from probewright.quantities.units import (
    DIMENSIONS,
    NumberError,
    UnitError,
    accepted,
    canonical_unit,
    convert,
    dimension_of_kind,
    display_units,
    number,
    to_canonical,
    unit_of,
)

fixed = settings(derandomize=True, deadline=None, max_examples=200)
ALL = [(dimension, name) for dimension in DIMENSIONS for name in display_units(dimension)]

TRADE = [
    ("resistance", "ohm", ["ohm", "ohms", "Ohm", "OHMS", "Ω", "\u2126", "\u03a9", " ohm "]),
    ("resistance", "kohm", ["kohm", "Kohm", "KOHM", "k ohm", "kohms", "kΩ", "KΩ", "k\u2126", "k", "K", "㏀"]),
    ("resistance", "Mohm", ["Mohm", "MOhm", "MOHM", "MΩ", "M\u2126", "M ohms", "megohm", "Megohms", "meg"]),
    ("resistance", "mohm", ["mohm", "mOhm", "mOHM", "mΩ", "m\u2126", "milliohm", "Milliohms"]),
    ("voltage", "V", ["V", "v", "VAC", "Vac", "V AC", "VDC", "V dc", "volts", "Volt"]),
    ("voltage", "mV", ["mV", "mv", "mVDC", "m VAC", "millivolts"]),
    ("current", "A", ["A", "a", "amps", "Amp", "A AC", "ADC"]),
    ("current", "mA", ["mA", "ma", "milliamps"]),
    ("current", "uA", ["uA", "µA", "\u03bcA", "UA", "microamps"]),
    ("temperature", "degF", ["degF", "°F", "F", "f", "deg F", "deg. F", "ºF", "˚F", "℉", "Fahrenheit", "DEGF"]),
    ("temperature", "degC", ["degC", "°C", "C", "c", "deg C", "℃", "Celsius"]),
    ("temperature", "K", ["K", "kelvin"]),
    ("temperature_difference", "degF", ["degF", "°F", "F"]),
    ("pressure", "inH2O", [
        "inH2O", "in H2O", "inH₂O", "in WC", "in. W.C.", "inwc", "in w.c.", '"wc', '"WC', '" W.C.', "″wc", "”WC",
        "''wc", "in WG", "iwc", "inches of water", "inches WC", "INWC", "in_WC",
    ]),
    ("pressure", "mbar", ["mbar", "m bar", "mBar", "millibar"]),
    ("pressure", "kPa", ["kPa", "kpa", "KPA", "k Pa"]),
    ("pressure", "psi", ["psi", "PSI", "psig"]),
    ("capacitance", "uF", ["uF", "µF", "\u00b5F", "\u03bcF", "UF", "uf", "mfd", "MFD", "microfarads"]),
    ("capacitance", "mF", ["mF", "mf", "millifarad"]),
    ("capacitance", "nF", ["nF", "NF", "nf"]),
    ("capacitance", "F", ["F", "f", "farad"]),
    ("power", "kW", ["kW", "KW", "kw"]),
    ("heat_rate", "Btu/h", ["Btu/h", "BTU/h", "BTU/hr", "btuh", "BTUH", "Btu / h"]),
    ("heat_rate", "kBtu/h", ["kBtu/h", "MBH", "mbh"]),
    ("flow", "l/min", ["l/min", "L/min", "lpm", "LPM", "liters/min"]),
    ("flow", "gal/min", ["gal/min", "gpm", "GPM", "gallons/min"]),
    ("flow", "m3/s", ["m3/s", "m³/s"]),
    ("concentration", "ppm", ["ppm", "PPM", "ppmv"]),
    ("time", "min", ["min", "Min", "MIN", "minutes", "mins", "min."]),
    ("time", "s", ["s", "sec", "seconds", "S"]),
    ("length", "mm", ["mm", "m m", "millimetres"]),
    ("length", "in", ["in", "in.", "inch", "inches", '"', "″", "IN"]),
    ("frequency", "Hz", ["Hz", "hz", "HZ"]),
]  # fmt: skip


@pytest.mark.parametrize(
    ("dimension", "name", "spelling"), [(d, n, s) for d, n, spellings in TRADE for s in spellings]
)
def test_the_trade_may_write_as_it_does(dimension: str, name: str, spelling: str) -> None:
    assert unit_of(spelling, dimension).name == name


def test_milli_and_mega_are_told_apart_by_their_case_alone() -> None:
    assert unit_of("mohm", "resistance").factor == 1e-3
    assert unit_of("Mohm", "resistance").factor == 1e6
    assert unit_of("mΩ", "resistance").factor == 1e-3
    assert unit_of("M\u2126", "resistance").factor == 1e6


@pytest.mark.parametrize(
    ("dimension", "spelling"),
    [
        ("voltage", "MV"), ("current", "MA"), ("capacitance", "MF"), ("power", "MW"), ("pressure", "MBAR"),
        ("length", "MM"), ("time", "MS"),
    ],
)  # fmt: skip
def test_a_capital_m_is_never_read_as_milli(dimension: str, spelling: str) -> None:
    with pytest.raises(UnitError):
        unit_of(spelling, dimension)


def test_the_same_letter_means_what_the_dimension_needs() -> None:
    assert unit_of("F", "temperature").name == "degF"
    assert unit_of("F", "capacitance").name == "F"
    assert unit_of("K", "temperature").name == "K"
    assert unit_of("K", "resistance").name == "kohm"


@pytest.mark.parametrize(("dimension", "name"), ALL)
def test_every_documented_spelling_is_found_and_gives_one_unit(dimension: str, name: str) -> None:
    entry = unit_of(name, dimension)
    assert entry.name == name
    assert entry.dimension == dimension
    assert entry.canonical == canonical_unit(dimension)
    assert name in accepted(dimension)


def test_accepted_spellings_are_all_found() -> None:
    for dimension in DIMENSIONS:
        names = {unit_of(spelling, dimension).name for spelling in accepted(dimension)}
        assert names == set(display_units(dimension))


def test_the_canonical_unit_is_itself() -> None:
    for dimension in DIMENSIONS:
        entry = unit_of(canonical_unit(dimension), dimension)
        assert (entry.factor, entry.offset) == (1.0, 0.0)


@pytest.mark.parametrize(("dimension", "name"), ALL)
@settings(derandomize=True, deadline=None, max_examples=20)
@given(value=st.floats(0.0, 1e6))
def test_conversion_is_undone_by_its_inverse(dimension: str, name: str, value: float) -> None:
    canonical = canonical_unit(dimension)
    there = convert(value, name, canonical, dimension)
    assert convert(there, canonical, name, dimension) == pytest.approx(value, rel=1e-12, abs=1e-10)


@fixed
@given(st.sampled_from(ALL), st.floats(0.0, 1e6))
def test_a_value_in_its_own_unit_comes_back_bit_for_bit(which: tuple[str, str], value: float) -> None:
    dimension, name = which
    assert convert(value, name, name, dimension) == value


def three_units(dimension: str) -> st.SearchStrategy[tuple[str, str, str, str]]:
    names = st.sampled_from(display_units(dimension))
    return st.tuples(st.just(dimension), names, names, names)


@fixed
@given(st.sampled_from(DIMENSIONS).flatmap(three_units), st.floats(0.0, 1e4))
def test_conversion_does_not_depend_on_the_way(which: tuple[str, str, str, str], value: float) -> None:
    dimension, unit, via, to = which
    direct = convert(value, unit, to, dimension)
    around = convert(convert(value, unit, via, dimension), via, to, dimension)
    assert around == pytest.approx(direct, rel=1e-12, abs=1e-9 if dimension == "temperature" else 0.0)


def test_an_interval_of_temperature_has_no_offset() -> None:
    assert to_canonical(1.8, "degF", "temperature_difference") == pytest.approx(1.0)
    assert to_canonical(1.8, "degF", "temperature") == pytest.approx(-16.777777777777779)


def test_an_unknown_unit_lists_what_would_do() -> None:
    with pytest.raises(UnitError) as caught:
        unit_of("furlong", "pressure")
    error = caught.value
    assert isinstance(error, RequestError)
    assert error.code == "bad_unit"
    assert (error.unit, error.dimension, error.belongs_to) == ("furlong", "pressure", ())
    assert error.accepted == accepted("pressure")
    message = str(error)
    assert "'furlong'" in message
    assert all(name in message for name in display_units("pressure"))


def test_a_unit_of_another_dimension_says_which() -> None:
    with pytest.raises(UnitError) as caught:
        unit_of("psi", "resistance")
    assert caught.value.belongs_to == ("pressure",)
    assert "is a unit of pressure, not of resistance" in str(caught.value)
    assert "ohm" in str(caught.value)


def test_a_forgiven_spelling_of_another_dimension_is_recognised_too() -> None:
    with pytest.raises(UnitError) as caught:
        unit_of("in. w.c.", "voltage")
    assert caught.value.belongs_to == ("pressure",)


@pytest.mark.parametrize("text", ["V*1000", "2 V", "__import__('os')", "V**2", "", " ", "1", "volt/ampere", "V;V"])
def test_nothing_is_evaluated(text: str) -> None:
    for dimension in DIMENSIONS:
        with pytest.raises(UnitError):
            unit_of(text, dimension)


def test_pint_is_not_asked_after_start_up(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_args: object, **_kwargs: object) -> None:
        raise AssertionError("pint was asked")

    for name in ("parse_units", "parse_expression", "__init__"):
        monkeypatch.setattr(pint.UnitRegistry, name, refuse)
    assert convert(70.0, "deg F", "°C", "temperature") == pytest.approx(21.111, abs=1e-3)
    with pytest.raises(UnitError):
        unit_of("kilovolt ampere", "power")


def test_a_very_long_unit_is_refused_and_not_repeated() -> None:
    with pytest.raises(UnitError) as caught:
        unit_of("x" * 100_000, "voltage")
    assert len(str(caught.value)) < 300
    assert len(caught.value.unit) == 40


@pytest.mark.parametrize("unit", [None, 5, True])
def test_a_unit_that_is_not_text_is_refused(unit: object) -> None:
    with pytest.raises(UnitError):
        to_canonical(1.0, unit, "voltage")  # type: ignore[arg-type]


def test_an_unknown_dimension_is_the_programmers_mistake() -> None:
    for call in (lambda: unit_of("V", "speed"), lambda: accepted("speed"), lambda: display_units("speed")):
        with pytest.raises(ValueError, match="unknown dimension 'speed'") as caught:
            call()
        assert not isinstance(caught.value, RequestError)


def test_a_table_that_contradicts_itself_is_refused() -> None:
    table: dict[tuple[str, str], units.UnitEntry] = {}
    volt, millivolt = unit_of("V", "voltage"), unit_of("mV", "voltage")
    units._add(table, volt, ["v"])
    with pytest.raises(ValueError, match="two units of voltage"):
        units._add(table, millivolt, ["v"])


def test_the_tables_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        units._EXACT["voltage", "x"] = unit_of("V", "voltage")  # type: ignore[index]


def test_factors_are_the_nearest_floats_to_exact_fractions() -> None:
    for row, entry in unit_table.entries():
        if entry.dimension == "length":
            exact = {"m": "1", "cm": "1/100", "mm": "1/1000", "in": "254/10000", "ft": "3048/10000"}[row.name]
            assert entry.factor == float(Fraction(exact))


@pytest.mark.parametrize(("value", "unit"), [(-460.0, "degF"), (-274.0, "degC"), (-1.0, "K")])
def test_below_absolute_zero_there_is_no_temperature(value: float, unit: str) -> None:
    with pytest.raises(NumberError, match="below absolute zero"):
        to_canonical(value, unit, "temperature")


@pytest.mark.parametrize(("value", "unit"), [(-459.67, "degF"), (-273.15, "degC"), (0.0, "K")])
def test_absolute_zero_itself_is_one(value: float, unit: str) -> None:
    assert to_canonical(value, unit, "temperature") == pytest.approx(-273.15)


@pytest.mark.parametrize("value", [1e308, math.inf, -math.inf, math.nan])
def test_a_conversion_never_yields_what_is_not_finite(value: float) -> None:
    with pytest.raises(NumberError):
        convert(value, "Mohm", "ohm", "resistance")


@pytest.mark.parametrize("value", [0, 1, -3, 2.5, 1e30, -1e30, 10**30, 0.0, -0.0, 1e-300])
def test_numbers_are_taken_as_floats(value: float) -> None:
    assert number(value) == float(value)
    assert type(number(value)) is float


@pytest.mark.parametrize(
    "value",
    [
        True, False, None, "1", "1.5", "", [1.0], {"value": 1}, 1j, math.nan, math.inf, -math.inf, 1.1e30, -1.1e30,
        10**400, -(10**400), b"1",
    ],
    ids=lambda v: repr(v)[:20],
)  # fmt: skip
def test_what_is_no_finite_number_is_refused(value: object) -> None:
    with pytest.raises(NumberError) as caught:
        number(value)
    assert isinstance(caught.value, RequestError)
    assert isinstance(caught.value, ValueError)
    assert str(caught.value).startswith("must ")


def test_refusals_say_what_was_given() -> None:
    with pytest.raises(NumberError, match="not a boolean"):
        number(True)
    with pytest.raises(NumberError, match="not text"):
        number("120")
    with pytest.raises(NumberError, match="NaN or an infinity"):
        number(math.nan)


def test_every_kind_of_test_but_seen_reads_a_dimension() -> None:
    kinds = set(get_args(TestKind))
    assert {k: dimension_of_kind(k) for k in kinds - {"seen"}} == {
        "voltage": "voltage", "current": "current", "resistance": "resistance", "continuity": "resistance",
        "capacitance": "capacitance", "temperature": "temperature", "pressure": "pressure",
        "concentration": "concentration",
        "duration": "time",
    }  # fmt: skip
    with pytest.raises(ValueError, match="'seen' reads no number"):
        dimension_of_kind("seen")
