"""Plain readings are taken in by what is known of their meter and test: just as with care, or not at all."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from probewright.errors import InvalidCase
from probewright.inference import preparing
from probewright.inference.gauges import Gauges
from probewright.inference.ids import Vocabulary
from probewright.inference.preparing import prepare
from probewright.packs.loader import load_packs
from probewright.quantities.units import dimension_of_kind, display_units
from probewright_schemas.records import Case, Conditions, Correction, Meter, Quantity, Reading, RepairDone

METERS = {
    "dmm": Meter("multimeter", percent_of_reading=0.5, counts=2.0),
    "leads": Meter("multimeter", lead_resistance=Quantity(0.4, "ohm")),
    "clamp": Meter("clamp_meter"),
    "probe": Meter("thermometer"),
}
NUMBERS = st.sampled_from([0.0, -1.0, 2.6, 120.0, 1e5, -1e5, 1e29, -459.67, -460.0, 5]) | st.floats(-300, 300)


# One has a test whose unit is Mohm.
FAMILIES = ("gas_range", "clothes_dryer")


@pytest.fixture(scope="module")
def vocabularies():
    registry = load_packs()
    return {family: Vocabulary(registry.get(family).family) for family in FAMILIES}


@pytest.fixture(scope="module")
def vocabulary(vocabularies):
    return vocabularies["gas_range"]


def readings(vocabulary):
    """Readings of any test in any form, sound and unsound."""
    seen = sorted({outcome for test in vocabulary.tests.values() for outcome in test.outcomes})
    return st.builds(
        Reading,
        st.sampled_from([*vocabulary.tests, "no_such_test"]),
        value=st.none() | NUMBERS,
        values=st.none() | st.just((2.6, 2.7)),
        unit=st.none() | st.sampled_from(["A", "V", "ohm", "kohm", "degC", "degF", "in WC", "Mohm", "parsec"]),
        over_range=st.booleans(),
        under_range=st.booleans(),
        seen=st.none() | st.sampled_from(seen),
        state=st.none() | st.sampled_from([*vocabulary.states, "no_such_state"]),
        meter=st.none() | st.sampled_from(list(METERS)),
        conditions=st.none() | st.just(Conditions(ambient=Quantity(70.0, "degF"))),
        after_repair=st.none() | st.just("replace_bake_igniter"),
        correction=st.none() | st.just(Correction(gain=1.02)),
    )


def outcome(case, vocabulary):
    """What is made of a case, or what is wrong with it."""
    try:
        return prepare(case, vocabulary)
    except InvalidCase as error:
        return error.faults


@settings(max_examples=600, deadline=None, derandomize=True)
@given(data=st.data())
def test_what_is_plain_is_taken_in_as_it_is_with_care(data, vocabularies):
    vocabulary = vocabularies[data.draw(st.sampled_from(FAMILIES))]
    given_readings = data.draw(st.lists(readings(vocabulary), max_size=2))
    # Most of what is drawn from so much is unsound: half of it is made plain.
    if data.draw(st.booleans()):
        bare = {"values": None, "conditions": None, "correction": None}
        given_readings = [replace(reading, **bare) for reading in given_readings]
    case = Case(
        vocabulary.family.id, readings=tuple(given_readings), meters=METERS,
        conditions=Conditions(supply_voltage=Quantity(121.0, "V")),
        repairs_done=(RepairDone("replace_bake_igniter", complaint_remains=True),),
    )  # fmt: skip
    quick = outcome(case, vocabulary)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(preparing, "_plain", lambda *_: None)
        assert repr(quick) == repr(outcome(case, vocabulary))


@pytest.mark.parametrize("family", FAMILIES)
def test_in_every_unit_of_every_test(family, vocabularies, monkeypatch):
    vocabulary = vocabularies[family]
    taken = [
        Reading(test.id, 12.5, unit=unit)
        for test in vocabulary.tests.values() if not test.outcomes
        for unit in display_units(dimension_of_kind(test.kind))
    ]  # fmt: skip
    quick = [prepare(Case(family, readings=(reading,)), vocabulary) for reading in taken]
    monkeypatch.setattr(preparing, "_plain", lambda *_: None)
    assert len(quick) > 50
    assert repr(quick) == repr([prepare(Case(family, readings=(reading,)), vocabulary) for reading in taken])


PLAIN = {
    "a number": Reading("bake_igniter_current", 2.6, unit="A", meter="clamp", state="live_gas_off"),
    "of the usual meter": Reading("bake_igniter_resistance", 0.1, unit="kohm"),
    "over range": Reading("bake_igniter_resistance", over_range=True, meter="leads"),
    "seen": Reading("bake_igniter_glow", seen="none"),
    "under range": Reading("bake_igniter_resistance", under_range=True, unit="ohm"),
}


@pytest.mark.parametrize("reading", PLAIN.values(), ids=PLAIN.keys())
def test_the_plain_ones_need_no_care(reading, vocabulary, monkeypatch):
    monkeypatch.setattr(preparing, "_with_care", lambda *_: pytest.fail("taken in with care"))
    [prepared] = prepare(Case("gas_range", readings=(reading,), meters=METERS), vocabulary)
    assert prepared.reading is reading


def test_what_is_remembered_is_bounded(vocabulary, monkeypatch):
    monkeypatch.setattr("probewright.inference.gauges._MOST_GAUGES", 3)
    own = Gauges(vocabulary.tests, vocabulary.states).of_case(Case("gas_range"))[None]
    for spelling in ("ohm", "kohm", "Mohm", "V", "A", "x" * 40):
        found = own.gauge("bake_igniter_resistance", spelling, None)
        assert (found is None) == (spelling not in ("ohm", "kohm", "Mohm"))
        assert len(own._kept) <= 3
    again = own.gauge("bake_igniter_resistance", "ohm", None)
    assert again is own.gauge("bake_igniter_resistance", "ohm", None)
