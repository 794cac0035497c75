"""Meters completed from what a case says, with every assumption named."""

from __future__ import annotations

import dataclasses
import math
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.errors import RequestError
from probewright.figures import Figure
from probewright.packs.model import TestKind
from probewright.quantities import instrument_defaults
from probewright.quantities.instruments import METER_KINDS, Instrument, MeterError, resolve
from probewright.quantities.units import canonical_unit, dimension_of_kind
from probewright_schemas.records import Meter, Quantity

fixed = settings(derandomize=True, deadline=None, max_examples=150)
KINDS = get_args(TestKind)
PAIRS = [(m, k) for m, d in instrument_defaults.METERS.items() for k in d.accuracy]


def complete(**changes: object) -> Meter:
    """A multimeter about which everything is known, for resistance."""
    everything = Meter(
        "multimeter", 0.5, 2.0, Quantity(0.1, "ohm"), Quantity(0.2, "ohm"), False, "low_impedance", Quantity(4, "kohm"),
        "average", Quantity(25, "ohm"), Quantity(60, "Mohm"),
    )  # fmt: skip
    return dataclasses.replace(everything, **changes)  # type: ignore[arg-type]


def test_every_kind_of_test_has_a_usual_meter() -> None:
    assert {resolve(None, kind).test_kind for kind in KINDS} == set(KINDS)


def test_the_kinds_of_meter_are_those_of_the_trade() -> None:
    assert set(METER_KINDS) == {
        "multimeter", "clamp_meter", "thermometer", "manometer", "gas_analyzer", "insulation_tester",
        "capacitance_meter", "stopwatch", "eye",
    }  # fmt: skip


@pytest.mark.parametrize(("meter", "kind"), PAIRS)
def test_an_unknown_meter_is_assumed_to_be_usable_and_says_how(meter: str, kind: str) -> None:
    instrument = resolve(Meter(meter), kind)
    assert instrument.unit == canonical_unit(dimension_of_kind(kind))
    assert instrument.percent_of_reading > 0
    assert instrument.counts > 0
    assert instrument.resolution > 0
    assert 0 < instrument.standard_uncertainty(100.0) < math.inf
    assert sum(text.startswith("Accuracy of the ") for text in instrument.assumed) == 1
    assert sum(text.startswith("Display of the ") for text in instrument.assumed) == 1


@pytest.mark.parametrize("kind", [k for k in KINDS if k != "seen"])
def test_a_missing_meter_is_named_first_among_the_assumptions(kind: str) -> None:
    assert resolve(None, kind).assumed[0].startswith("No meter was named: a ")


def test_every_assumption_names_its_basis() -> None:
    for meter, kind in PAIRS:
        for text in resolve(Meter(meter), kind).assumed:
            assert text.endswith(("(common practice).", "(from memory).", "read alike."))


def test_every_default_carries_its_basis() -> None:
    for defaults in instrument_defaults.METERS.values():
        figures = [f for a in defaults.accuracy.values() for f in (a.percent, a.counts, a.resolution)]
        if defaults.electrical is not None:
            figures += [getattr(defaults.electrical, f.name) for f in dataclasses.fields(defaults.electrical)]
        assert all(isinstance(figure, Figure) for figure in figures)


def test_a_meter_about_which_all_is_known_assumes_only_the_touch_of_the_probes() -> None:
    instrument = resolve(complete(), "resistance")
    assert instrument.assumed == ("Probe contact assumed to vary by 0.1 ohm (from memory).",)
    assert instrument == Instrument(
        "multimeter", "resistance", "ohm", 0.5, 2.0, 0.1, None, 0.2, False, 0.1, 4000.0, "average", 25.0, 60e6,
        instrument.assumed,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("missing", "kind", "words"),
    [
        ("percent_of_reading", "resistance", "1 % of reading"),
        ("counts", "resistance", "3 counts"),
        ("resolution", "resistance", "last digit 0.1 ohm"),
        ("lead_resistance", "resistance", "Test leads of 0.3 ohm"),
        ("leads_zeroed", "resistance", "not to have been zeroed"),
        ("maximum_resistance", "resistance", "40 Mohm"),
        ("beeper_threshold", "continuity", "below 30 ohm"),
        ("sensing", "voltage", "True-rms"),
        ("sensing", "current", "True-rms"),
        ("input_impedance", "voltage", "Low input impedance of 3 kohm"),
    ],
)
def test_each_gap_that_is_filled_is_told(missing: str, kind: str, words: str) -> None:
    full, gap = resolve(complete(), kind).assumed, resolve(complete(**{missing: None}), kind).assumed
    told = [text for text in gap if text not in full]
    assert len(told) == 1
    assert words in told[0]


def test_accuracy_given_in_part_assumes_the_other_part_only() -> None:
    told = resolve(Meter("multimeter", percent_of_reading=0.2), "voltage").assumed[0]
    assert "counts" in told
    assert "%" not in told


@pytest.mark.parametrize("missing", ["lead_resistance", "leads_zeroed", "beeper_threshold", "maximum_resistance"])
def test_what_does_not_matter_to_a_test_is_not_told(missing: str) -> None:
    assert resolve(complete(**{missing: None}), "voltage").assumed == resolve(complete(), "voltage").assumed


def test_input_impedance_by_its_setting_or_as_stated() -> None:
    assert resolve(Meter("multimeter"), "voltage").input_impedance == 10e6
    assert resolve(Meter("multimeter", input="high_impedance"), "voltage").input_impedance == 10e6
    assert resolve(Meter("multimeter", input="low_impedance"), "voltage").input_impedance == 3e3
    stated = Meter("multimeter", input="low_impedance", input_impedance=Quantity(0.4, "Mohm"))
    assert resolve(stated, "voltage").input_impedance == 400e3
    assert not any("impedance" in text for text in resolve(stated, "voltage").assumed)


def test_what_is_no_part_of_a_circuit_draws_nothing() -> None:
    assert resolve(Meter("thermometer"), "temperature").input_impedance == math.inf
    assert resolve(Meter("manometer"), "pressure").lead_offset == 0.0


def test_leads_are_taken_off_when_zeroed() -> None:
    assert resolve(complete(), "resistance").lead_offset == 0.2
    assert resolve(complete(leads_zeroed=True), "resistance").lead_offset == 0.0


def test_assumed_leads_are_doubted_more_than_stated_or_zeroed_ones() -> None:
    def doubt(**changes: object) -> float:
        return resolve(complete(**changes), "resistance").lead_half_width

    assert doubt(lead_resistance=None) == 0.3
    assert doubt() == 0.1
    assert doubt(lead_resistance=None, leads_zeroed=True) == 0.1


def test_leads_widen_a_small_resistance_and_nothing_else() -> None:
    ohms, volts = resolve(complete(), "resistance"), resolve(complete(resolution=Quantity(0.1, "V")), "voltage")
    assert ohms.standard_uncertainty(1.0) == pytest.approx(math.hypot(0.205, 0.1) / math.sqrt(3))
    assert volts.standard_uncertainty(1.0) == pytest.approx(0.205 / math.sqrt(3))


def test_resolutions_are_read_in_their_own_unit() -> None:
    gauge = resolve(Meter("manometer", resolution=Quantity(0.01, '"wc')), "pressure")
    assert gauge.resolution == pytest.approx(2.4908891)
    assert resolve(Meter("multimeter", resolution=Quantity(1, "mV")), "voltage").resolution == 1e-3


@pytest.mark.parametrize("unit", ["F", "degF", "°F"])
def test_a_thermometers_resolution_is_an_interval(unit: str) -> None:
    instrument = resolve(Meter("thermometer", resolution=Quantity(0.9, unit)), "temperature")
    assert instrument.resolution == pytest.approx(0.5)


def test_the_resolution_of_another_function_is_left_to_that_function() -> None:
    meter = Meter("multimeter", resolution=Quantity(0.01, "V"))
    assert resolve(meter, "voltage").resolution == 0.01
    ohms = resolve(meter, "resistance")
    assert ohms.resolution == 0.1
    assert any("last digit" in text for text in ohms.assumed)


def test_a_ranging_display_loses_digits_as_values_grow() -> None:
    meter = resolve(Meter("multimeter"), "resistance")
    # 6000 counts: 600.0 ohm, then 6.000 kohm, 60.00 kohm.
    shown = {0.0: 0.1, 5.0: 0.1, 600.0: 0.1, 601.0: 1.0, -1080.0: 1.0, 6001.0: 10.0}
    assert {value: meter.resolution_at(value) for value in shown} == shown
    assert resolve(complete(), "resistance").resolution_at(1e6) == 0.1
    assert math.isfinite(meter.resolution_at(1e30))


def test_one_volt_range_of_a_plain_meter() -> None:
    # 120.0 V on 600.0 V: 1 % of reading and 3 counts of 0.1 V are 1.5 V.
    meter = resolve(Meter("multimeter"), "voltage")
    assert meter.resolution_at(120.0) == pytest.approx(0.1)
    assert meter.standard_uncertainty(120.0) == pytest.approx(1.5 / math.sqrt(3))


def test_a_perfect_meter_may_be_stated() -> None:
    perfect = complete(percent_of_reading=0.0, counts=0.0, leads_zeroed=True, resolution=Quantity(1e-9, "V"))
    assert resolve(perfect, "voltage").standard_uncertainty(120.0) < 1e-8


@fixed
@given(st.sampled_from(PAIRS), st.floats(-1e6, 1e6), st.floats(0.0, 1e6))
def test_larger_readings_are_never_more_certain(pair: tuple[str, str], value: float, more: float) -> None:
    instrument = resolve(Meter(pair[0]), pair[1])
    larger = abs(value) + more
    assert instrument.standard_uncertainty(larger) >= instrument.standard_uncertainty(value) * (1 - 1e-12)


def test_repeated_readings_keep_the_instruments_own_share() -> None:
    instrument = resolve(complete(leads_zeroed=True), "resistance")
    result = instrument.evaluate([19.0, 19.2, 19.1])
    assert result.mean == pytest.approx(19.1)
    assert result.combined >= instrument.standard_uncertainty(19.2)
    assert instrument.evaluate([19.1]).standard_uncertainty == instrument.standard_uncertainty(19.1)


def test_an_eye_measures_nothing() -> None:
    assert resolve(None, "seen") == Instrument("eye", "seen")
    assert resolve(Meter("multimeter"), "seen").assumed == ()
    with pytest.raises(MeterError):
        resolve(Meter("eye"), "voltage")


def test_an_unknown_kind_of_meter_lists_the_known_ones() -> None:
    with pytest.raises(MeterError) as caught:
        resolve(Meter("divining_rod"), "voltage")
    error = caught.value
    assert isinstance(error, RequestError)
    assert (error.field, error.known, error.code) == ("kind", METER_KINDS, "bad_meter")
    assert all(kind in str(error) for kind in METER_KINDS)


def test_a_meter_that_makes_no_such_test_names_those_that_do() -> None:
    with pytest.raises(MeterError) as caught:
        resolve(Meter("manometer"), "resistance")
    assert caught.value.known == ("multimeter", "clamp_meter", "insulation_tester")
    assert "'multimeter' or 'clamp_meter' or 'insulation_tester', not with 'manometer'" in str(caught.value)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("percent_of_reading", -0.1), ("percent_of_reading", 101.0), ("percent_of_reading", math.nan),
        ("counts", -1.0), ("counts", math.inf), ("counts", math.nan),
        ("resolution", Quantity(0.0, "ohm")), ("resolution", Quantity(-1.0, "ohm")),
        ("resolution", Quantity(1.0, "psi")), ("resolution", Quantity(1.0, "wat")),
        ("resolution", Quantity(math.nan, "ohm")),
        ("lead_resistance", Quantity(-0.1, "ohm")), ("lead_resistance", Quantity(0.1, "V")),
        ("lead_resistance", Quantity(math.inf, "ohm")),
        ("input_impedance", Quantity(0.0, "ohm")), ("beeper_threshold", Quantity(-5.0, "ohm")),
        ("maximum_resistance", Quantity(0.0, "ohm")),
    ],
    ids=str,
)  # fmt: skip
def test_a_value_that_no_meter_has_names_its_field(field: str, value: object) -> None:
    with pytest.raises(MeterError) as caught:
        resolve(complete(**{field: value}), "resistance")
    assert caught.value.field == field


def test_a_kind_of_test_that_does_not_exist_is_the_programmers_mistake() -> None:
    with pytest.raises(ValueError, match="unknown kind of test 'smell'") as caught:
        resolve(None, "smell")
    assert not isinstance(caught.value, RequestError)


def test_numbers_in_an_instrument_are_plain_and_quick() -> None:
    for meter, kind in PAIRS:
        instrument = resolve(Meter(meter), kind)
        values = [getattr(instrument, f.name) for f in dataclasses.fields(instrument)]
        assert not any(isinstance(value, Figure) for value in values)


def test_completing_the_same_meter_again_is_a_look_up() -> None:
    assert resolve(Meter("multimeter", 0.7), "voltage") is resolve(Meter("multimeter", 0.7), "voltage")
    assert resolve.cache_info().maxsize is not None
