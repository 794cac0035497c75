"""Which changes are laid over which stored case; the warmer is invented, and so are its meters."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from probewright.batch.changes import ChangeSet
from probewright.engine import diagnose
from probewright.errors import InvalidCase
from probewright.packs.registry import Registry
from probewright.settings import Settings
from probewright_schemas.batch_records import Changes, MeterCorrection, ReplacedLimits
from probewright_schemas.records import Correction, Limits, Meter, Quantity, Reading
from support.families import case, pack_of

PACK = pack_of()
REGISTRY = Registry({"warmer": PACK})
CLAMP = {"clamp": Meter("clamp_meter", id="clamp-07")}
#: An invented correction, and another one to be told from it.
HIGH, LOW = Correction(gain=1.25), Correction(gain=0.8)
FIRST, LAST = date(2026, 3, 1), date(2026, 8, 28)


def amperes(value=4.0, **more):
    return Reading("heater_current", **({"value": value, "unit": "A", "state": "live", "meter": "clamp"} | more))


def laid(stored, *corrections, limits=()):
    return ChangeSet(Changes(corrections, limits), REGISTRY).apply(stored, PACK)


def of_clamp(correction=HIGH, **bounds):
    return MeterCorrection("clamp-07", "current", correction, **bounds)


def given(applied):
    return [reading.correction for reading in applied.case.readings]


def test_a_correction_finds_its_meter_by_id():
    applied = laid(case(amperes(), amperes(meter=None), meters=CLAMP), of_clamp())
    assert given(applied) == [HIGH, None]
    assert applied.corrected == {0: "clamp-07"}
    assert applied.touched
    assert applied.notes == ()


def test_a_meter_without_an_id_is_found_by_its_name_in_the_case():
    by_name = MeterCorrection("clamp", "current", HIGH)
    assert given(laid(case(amperes(), meters={"clamp": Meter("clamp_meter")}), by_name)) == [HIGH]


def test_a_meter_with_an_id_is_not_found_by_its_name():
    stored = case(amperes(), meters=CLAMP)
    applied = laid(stored, MeterCorrection("clamp", "current", HIGH))
    assert applied.case is stored
    assert not applied.touched


def test_only_readings_of_the_kind_are_corrected():
    volts = Reading("supply_volts", 100.0, unit="V", state="live", meter="clamp")
    stored = case(amperes(), volts, meters=CLAMP)
    assert given(laid(stored, of_clamp())) == [HIGH, None]
    assert given(laid(stored, MeterCorrection("clamp-07", "voltage", HIGH))) == [None, HIGH]


@pytest.mark.parametrize(("day", "holds"), [
    (date(2026, 2, 28), False), (FIRST, True), (date(2026, 5, 5), True), (LAST, True), (date(2026, 8, 29), False),
])  # fmt: skip
def test_both_end_days_are_included(day, holds):
    stored = case(amperes(), meters=CLAMP, day=day)
    assert given(laid(stored, of_clamp(since=FIRST, until=LAST))) == [HIGH if holds else None]


@pytest.mark.parametrize(("bounds", "before", "after"), [
    ({"since": FIRST}, None, HIGH), ({"until": FIRST}, HIGH, None), ({}, HIGH, HIGH),
])  # fmt: skip
def test_a_side_without_a_day_is_open(bounds, before, after):
    stored = case(amperes(day=date(1999, 1, 1)), amperes(day=date(2099, 1, 1)), meters=CLAMP)
    assert given(laid(stored, of_clamp(**bounds))) == [before, after]


def test_the_day_of_the_reading_comes_before_that_of_the_case():
    inside, outside = date(2026, 5, 5), date(2027, 1, 1)
    bounded = of_clamp(since=FIRST, until=LAST)
    assert given(laid(case(amperes(day=inside), amperes(), meters=CLAMP, day=outside), bounded)) == [HIGH, None]
    assert given(laid(case(amperes(day=outside), amperes(), meters=CLAMP, day=inside), bounded)) == [None, HIGH]


def test_a_reading_without_a_day_is_noted_and_not_corrected_within_bounds():
    stored = case(amperes(), meters=CLAMP)
    applied = laid(stored, of_clamp(since=FIRST), of_clamp(LOW, until=FIRST))
    assert applied.case is stored
    assert applied.notes == (
        "reading 0 (heater_current) has no day, so whether the correction of clamp-07 with its first or last day holds "
        "for it is not known: none is applied",
    )


def test_a_reading_without_a_day_is_corrected_where_there_are_no_bounds():
    applied = laid(case(amperes(), meters=CLAMP), of_clamp())
    assert given(applied) == [HIGH]
    assert applied.notes == ()


def test_the_last_of_several_that_hold_counts():
    stored = case(amperes(), meters=CLAMP, day=date(2026, 5, 5))
    assert given(laid(stored, of_clamp(HIGH), of_clamp(LOW))) == [LOW]
    assert given(laid(stored, of_clamp(LOW), of_clamp(HIGH, since=FIRST))) == [HIGH]
    assert given(laid(stored, of_clamp(LOW), of_clamp(HIGH, since=date(2027, 1, 1)))) == [LOW]


def test_what_comes_last_without_bounds_leaves_nothing_undecided():
    undated = case(amperes(), meters=CLAMP)
    decided = laid(undated, of_clamp(HIGH, since=FIRST), of_clamp(LOW))
    assert given(decided) == [LOW]
    assert decided.notes == ()
    open_ = laid(undated, of_clamp(LOW), of_clamp(HIGH, since=FIRST))
    assert given(open_) == [LOW]
    assert open_.notes[0].endswith("is not known: an earlier one that has no bounds is applied")


@pytest.mark.parametrize("result", [{"over_range": True}, {"under_range": True}])
def test_what_is_no_number_is_noted_and_left_alone(result):
    stored = case(amperes(None, unit=None, **result), meters=CLAMP)
    applied = laid(stored, of_clamp())
    assert applied.case is stored
    assert applied.notes == ("reading 0 (heater_current) is no number, so the correction of clamp-07 is left out",)


def test_repeated_readings_are_corrected_together():
    assert given(laid(case(amperes(None, values=(4.0, 4.1)), meters=CLAMP), of_clamp())) == [HIGH]


def test_a_correction_takes_the_place_of_the_case_s_own():
    assert given(laid(case(amperes(correction=LOW), meters=CLAMP), of_clamp())) == [HIGH]


def test_a_correction_changes_what_the_engine_reads():
    # An invented offset: 4.0 A shown are 1.25 * 4.0 + 0.5 = 5.5 A.
    correction = Correction(gain=1.25, offset=Quantity(500.0, "mA"))
    applied = laid(case(amperes(), meters=CLAMP), of_clamp(correction))
    checked = diagnose(applied.case, PACK, Settings()).readings[0]
    assert (checked.as_read, checked.value) == (pytest.approx(4.0), pytest.approx(5.5))


def limits(**more):
    return ReplacedLimits("warmer", "heater_current", Limits("A", low=3.0, high=3.5), **more)


def test_limits_take_the_place_of_the_case_s_own():
    own = {"heater_current": Limits("A", high=9.0), "supply_volts": Limits("V", low=90.0)}
    applied = laid(case(amperes(), tech_sheet=own), limits=(limits(),))
    assert applied.case.tech_sheet == {"heater_current": Limits("A", 3.0, 3.5), "supply_volts": Limits("V", low=90.0)}
    assert applied.limited == ("heater_current",)
    assert applied.touched
    # A clamp is good to some percent: 4 A are surely not within 3 A to 3.5 A, and are within up to 9 A.
    known = replace(applied.case, meters=CLAMP)
    verdicts = [diagnose(one, PACK, Settings()).readings[0].verdict for one in (replace(known, tech_sheet=own), known)]
    assert verdicts == ["within", "outside"]


@pytest.mark.parametrize(("options", "holds"), [
    ({"style": "small"}, True), ({"style": "small", "lamp": "no"}, True), ({"style": "large"}, False), ({}, False),
])  # fmt: skip
def test_limits_hold_only_for_builds_that_are_known_to_satisfy_their_conditions(options, holds):
    stored = case(amperes(meter=None), options=options)
    applied = laid(stored, limits=(limits(when={"style": "small"}),))
    assert applied.touched is holds
    assert (applied.case is stored) is not holds


def test_limits_of_a_test_that_was_not_read_leave_a_case_alone():
    stored = case(Reading("door", seen="ajar", state="isolated"), tech_sheet={"heater_current": Limits("A", high=9.0)})
    applied = laid(stored, limits=(limits(),))
    assert applied.case is stored
    assert not applied.touched


def test_limits_of_another_family_leave_a_case_alone():
    other = pack_of(replace(PACK.family, id="toaster"))
    changes = Changes(limits=(ReplacedLimits("toaster", "heater_current", Limits("A", high=3.0)),))
    stored = case(amperes(meter=None))
    both = Registry({"warmer": PACK, "toaster": other})
    assert ChangeSet(changes, both).apply(stored, PACK).case is stored


def test_the_last_of_several_limits_that_hold_count():
    wide = ReplacedLimits("warmer", "heater_current", Limits("A", high=8.0))
    assert laid(case(amperes(meter=None)), limits=(limits(), wide)).case.tech_sheet["heater_current"] == wide.limits
    assert laid(case(amperes(meter=None)), limits=(wide, limits())).case.tech_sheet["heater_current"].high == 3.5


@pytest.mark.parametrize(("changes", "pointer", "code", "told"), [
    ({"corrections": (MeterCorrection("m", "current", Correction(offset=Quantity(1.0, "V"))),)},
     "/corrections/0/correction/offset", "bad_unit", "'V' is a unit of voltage, not of current"),
    ({"corrections": (of_clamp(), of_clamp(Correction(offset_uncertainty=Quantity(-1.0, "A"))))},
     "/corrections/1/correction/offset_uncertainty", "bad_number", "an uncertainty is not negative"),
    ({"limits": (ReplacedLimits("wramer", "heater_current", Limits("A", 1.0)),)},
     "/limits/0/family", "unknown_family", "no loaded pack has this family; did you mean 'warmer'?"),
    ({"limits": (limits(), ReplacedLimits("warmer", "heater_curent", Limits("A", 1.0)))},
     "/limits/1/test", "unknown_test", "unknown test 'heater_curent'; did you mean 'heater_current'?"),
    ({"limits": (ReplacedLimits("warmer", "door", Limits("A", 1.0)),)},
     "/limits/0/test", "not_measured", "test 'door' is seen, not measured: it has no limits"),
    ({"limits": (ReplacedLimits("warmer", "heater_current", Limits("V", 1.0)),)},
     "/limits/0/limits/unit", "bad_unit", "'V' is a unit of voltage, not of current"),
    ({"limits": (limits(when={"stile": "small"}),)},
     "/limits/0/when", "unknown_option", "unknown option 'stile'; did you mean 'style'?"),
    ({"limits": (limits(when={"style": "medium"}),)},
     "/limits/0/when", "unknown_option_value", "option 'style' has no value 'medium'; one of small, large"),
])  # fmt: skip
def test_what_the_packs_do_not_have_is_told_with_its_place(changes, pointer, code, told):
    with pytest.raises(InvalidCase) as caught:
        ChangeSet(Changes(**changes), REGISTRY)
    (fault,) = caught.value.faults
    assert (fault.pointer, fault.code) == (pointer, code)
    assert fault.message.startswith(told)


def test_all_faults_are_told_at_once():
    wrong = Changes(
        (MeterCorrection("m", "current", Correction(offset=Quantity(1.0, "V"))),),
        (ReplacedLimits("warmer", "none", Limits("A", 1.0), {"none": "x"}),),
    )  # fmt: skip
    with pytest.raises(InvalidCase) as caught:
        ChangeSet(wrong, REGISTRY)
    assert [fault.pointer for fault in caught.value.faults] == [
        "/corrections/0/correction/offset", "/limits/0/test", "/limits/0/when",
    ]  # fmt: skip
