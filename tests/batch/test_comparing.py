"""Two answers side by side; every answer here is invented, and its differences are worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from probewright.batch.comparing import BAD, GOOD, Both, Swapped, compared, differences, hazards_of, held, shift, titles
from probewright.figures import invented
from probewright.packs.model import Interlock
from probewright_schemas.batch_records import (
    Change,
    EarlierAnswer,
    EarlierFault,
    EarlierReading,
    EarlierStep,
    Held,
)
from probewright_schemas.records import CheckedReading, Diagnosis, PackIdentity, RankedFault, Step
from support.families import warmer

PACK = PackIdentity("warmer", "1.0.0", "sha256:0a")
SHOCK = Interlock("shock", "Somebody felt a shock", "stop", "Invented.", complaints=("rattles",))
HOT = Interlock("hot", "Too hot", "refer", "Invented.", above={"chamber": invented(99.0)})
FAMILY = warmer(interlocks=(SHOCK, HOT))


def earlier(*faults, readings=(), step=None, **more):
    told = tuple(EarlierFault(name, probability) for name, probability in faults)
    read = tuple(EarlierReading(*reading) for reading in readings)
    return EarlierAnswer(PACK, read, told, next=None if step is None else EarlierStep(*step), **more)


def now(*faults, readings=(), step=None, unexplained=0.0, no_fault=0.0):
    told = tuple(RankedFault(name, name, probability) for name, probability in faults)
    read = tuple(CheckedReading(test, verdict, probability_within=p) for test, verdict, p in readings)
    following = None if step is None else Step(step[0], step[1], "A title", "Why.")
    return Diagnosis(PACK, read, told, unexplained, no_fault, "Invented.", next=following)


HAZARDS = {"shock", "hot"}


def both(before, after):
    return Both(
        before, after, held(before.faults, before.unexplained, before.no_fault),
        held(after.faults, after.unexplained, after.no_fault),
    )  # fmt: skip


def changes(before, after, swapped=()):
    return differences(both(before, after), HAZARDS, swapped)


def test_the_shift_is_the_largest_difference_of_all():
    before = earlier(("fuse_open", 0.7), ("heater_open", 0.2), no_fault=0.05, unexplained=0.01)
    after = now(("fuse_open", 0.45), ("door_loose", 0.31), ("heater_open", 0.15), no_fault=0.04, unexplained=0.02)
    # 0.25 of the fuse, 0.05 of the heater, 0.31 of the door that nothing was told of, 0.01 and 0.01.
    assert shift(before, after) == pytest.approx(0.31, abs=1e-12)


def test_of_a_fault_that_is_told_twice_the_last_counts_and_what_rounding_can_do_is_no_shift():
    assert shift(earlier(("fuse_open", 0.9), ("fuse_open", 0.5)), now(("fuse_open", 0.5))) == 0.0
    assert shift(earlier(("fuse_open", 0.5)), now(("fuse_open", 0.5000015))) == 0.0
    assert shift(earlier(("fuse_open", 0.5)), now(("fuse_open", 0.500005))) == pytest.approx(5e-6)


@pytest.mark.parametrize(("before", "after", "moved"), [
    ({"no_fault": 0.9, "unexplained": 0.1}, {"no_fault": 0.3, "unexplained": 0.2}, 0.6),
    ({"no_fault": 0.3, "unexplained": 0.6}, {"no_fault": 0.3, "unexplained": 0.15}, 0.45),
    # What the earlier answer did not tell is not compared.
    ({"no_fault": 0.3}, {"no_fault": 0.3, "unexplained": 0.7}, 0.0),
])  # fmt: skip
def test_nothing_wrong_and_something_unknown_count_as_well(before, after, moved):
    assert shift(earlier(**before), now(**after)) == pytest.approx(moved, abs=1e-12)


def test_an_earlier_answer_that_tells_no_probability_has_no_shift():
    assert shift(earlier(readings=(("door", "within"),)), now(("fuse_open", 0.9))) is None


def test_what_was_rounded_when_it_was_written_has_not_moved():
    # 1/3 and 2/3, in six digits.
    before = earlier(("fuse_open", 0.666667), no_fault=0.333333)
    assert shift(before, now(("fuse_open", 2 / 3), no_fault=1 / 3)) == 0.0
    tie = earlier(("fuse_open", 0.5), no_fault=0.5)
    assert changes(tie, now(("fuse_open", 0.49999999), no_fault=0.50000001)) == ()


@pytest.mark.parametrize(("faults", "unexplained", "no_fault", "most"), [
    ((("fuse_open", 0.5), ("door_loose", 0.3)), 0.1, 0.1, Held("fuse_open", 0.5)),
    ((("fuse_open", 0.3),), 0.4, 0.2, Held("unknown", 0.4)),
    ((("fuse_open", 0.3),), 0.2, 0.5, Held("no_fault", 0.5)),
    ((), 0.9, None, Held("unknown", 0.9)),
    ((), None, None, None),
])  # fmt: skip
def test_what_is_held_is_the_likeliest_of_faults_nothing_and_something_unknown(faults, unexplained, no_fault, most):
    told = [EarlierFault(*fault) for fault in faults]
    assert held(told, unexplained, no_fault) == most


def test_equal_answers_have_no_difference():
    told = (("fuse_open", 0.9), ("heater_open", 0.05))
    before = earlier(*told, readings=(("door", "within", 0.98),), step=("repair", "replace_fuse"), no_fault=0.01)
    after = now(*told, readings=(("door", "within", 0.98),), step=("repair", "replace_fuse"), no_fault=0.01)
    assert changes(before, after) == ()


def test_another_leading_fault_is_told_with_what_each_led_with():
    before, after = earlier(("fuse_open", 0.7), no_fault=0.1), now(("fuse_open", 0.3), no_fault=0.6)
    assert changes(before, after) == (
        Change("leading_fault", before="fuse_open", after="no_fault", probability_before=0.7, probability_after=0.6),
    )


def test_another_verdict_is_told_of_its_reading():
    before = earlier(("fuse_open", 0.9), readings=(("door", "within"), ("heater_current", "within", 0.97)))
    after = now(("fuse_open", 0.9), readings=(("door", "within", None), ("heater_current", "outside", 0.02)))
    assert changes(before, after) == (Change("verdict", "heater_current", 1, "within", "outside", 0.97, 0.02),)


@pytest.mark.parametrize("readings", [
    (("door", "within", None),), (("door", "within", None), ("lamp", "within", None)),
    (("heater_current", "within", None), ("door", "within", None)),
])  # fmt: skip
def test_an_answer_about_other_readings_is_not_compared(readings):
    before = earlier(("fuse_open", 0.9), readings=(("door", "outside"), ("heater_current", "outside")))
    assert changes(before, now(("fuse_open", 0.9), readings=readings)) == (Change("not_computed", "readings"),)


def test_an_answer_that_told_nothing_cannot_be_compared():
    assert changes(earlier(), now(("fuse_open", 0.9))) == (Change("not_computed", "answer"),)


def test_an_answer_without_readings_says_nothing_of_verdicts():
    assert changes(earlier(("fuse_open", 0.9)), now(("fuse_open", 0.9), readings=(("door", "outside", 0.1),))) == ()


@pytest.mark.parametrize(("before", "after", "expected"), [
    (("test", "door"), ("repair", "replace_fuse"),
     Change("next_step", before="test:door", after="repair:replace_fuse")),
    (("test", "door"), ("test", "lamp"), Change("next_step", before="test:door", after="test:lamp")),
    (("test", "door"), ("stop", "shock"), Change("hazard_shows", "shock", after="shock")),
    (None, ("refer", "hot"), Change("hazard_shows", "hot", after="hot")),
    (("stop", "shock"), ("refer", "hot"), Change("hazard_shows", "hot", before="shock", after="hot")),
    (("stop", "shock"), ("test", "door"), Change("hazard_gone", "shock", before="shock")),
    (("refer", "hot"), None, Change("hazard_gone", "hot", before="hot")),
    (("refer", "hand_over"), ("test", "door"), Change("next_step", before="refer:hand_over", after="test:door")),
    (None, ("test", "door"), None), (("test", "door"), None, None), (("stop", "shock"), ("stop", "shock"), None),
])  # fmt: skip
def test_steps_and_hazards(before, after, expected):
    told = ("fuse_open", 0.9)
    assert changes(earlier(told, step=before), now(told, step=after)) == (() if expected is None else (expected,))


@pytest.mark.parametrize(("before", "after", "told"), [
    (0.93, 0.02, True), (BAD, GOOD, True), (None, GOOD, True), (0.49, 0.02, False), (0.93, 0.11, False),
    (None, 0.11, False),
])  # fmt: skip
def test_a_replaced_part_looks_good_when_it_was_likely_bad_and_hardly_is_now(before, after, told):
    answer = earlier(("fuse_open", 0.9)), now(("fuse_open", 0.9))
    expected = Change("swapped_part_good", "heater", None, None, "replace_heater", before, after)
    assert changes(*answer, [Swapped("replace_heater", "heater", before, after)]) == ((expected,) if told else ())


def test_the_gravest_comes_first():
    before = earlier(("fuse_open", 0.9), readings=(("door", "within"), ("lamp", "within")), step=("test", "door"))
    after = now(
        ("heater_open", 0.9), readings=(("door", "outside", 0.1), ("lamp", "outside", 0.1)), step=("stop", "shock")
    )
    swapped = [Swapped("replace_heater", "heater", 0.9, 0.01)]
    assert [(change.kind, change.of) for change in changes(before, after, swapped)] == [
        ("hazard_shows", "shock"), ("swapped_part_good", "heater"), ("leading_fault", None), ("verdict", "door"),
        ("verdict", "lamp"),
    ]  # fmt: skip
    calm = changes(replace(before, next=EarlierStep("stop", "shock")), now(("heater_open", 0.9), step=("test", "lamp")))
    assert [change.kind for change in calm] == ["hazard_gone", "leading_fault", "not_computed"]


def test_a_first_answer_tells_its_hazard():
    assert hazards_of(now(step=("stop", "shock")), HAZARDS) == (Change("hazard_shows", "shock", after="shock"),)
    assert hazards_of(now(step=("test", "door")), HAZARDS) == hazards_of(now(), HAZARDS) == ()


def test_compared_is_what_both_tell():
    whole = earlier(("fuse_open", 0.9), readings=(("door", "within"),), step=("test", "lamp"))
    assert compared(both(whole, now(step=("test", "door")))) == ("the verdicts", "the leading fault", "the next step")
    assert compared(both(whole, now())) == ("the verdicts", "the leading fault")
    assert compared(both(earlier(unexplained=0.9), now(step=("test", "door")))) == ("the leading fault",)
    assert compared(both(earlier(), now())) == ()


def test_titles_tell_apart_a_test_and_a_part_of_one_id():
    named = titles(warmer(tests=tuple(replace(test, id="heater", title="Heater seen") for test in FAMILY.tests[:1])))
    assert (named["test:heater"], named["part:heater"]) == ("Heater seen", "Heater")
    assert named["fault:no_fault"] == named["no_fault"] == "nothing wrong"
