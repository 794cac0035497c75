"""Repairs that were made: the complaint remained, or it went away."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from probewright_schemas.records import Reading, RepairDone
from support import enumeration as hand
from support.families import SMALL, beliefs, case, evaluated

DIM = Reading("glow", seen="dim")
CURES = {"replace_heater": {"heater_weak": 0.95, "heater_open": 0.9}, "tighten_door": {"door_loose": 0.8},
         "replace_fuse": {"fuse_open": 1.0},
         "overhaul": {"door_loose": 0.7, "fuse_open": 0.6, "heater_weak": 0.5}}  # fmt: skip


def done(*repairs, remains=False):
    return tuple(RepairDone(repair, complaint_remains=remains) for repair in repairs)


def by_hand(evidence, repairs, complaints):
    """The belief before, each fault taken away with its chance, and then what everything complained of does."""
    *others, last = repairs
    mended = [hand.Mended(CURES[repair], None) for repair in others]
    told = hand.Mended(CURES[last], False, complaints, was_there=not others)
    return hand.posterior(SMALL, [*evidence, *mended, told])


@pytest.mark.parametrize("repairs", [("replace_heater",), ("tighten_door",), ("replace_heater", "tighten_door"),
                                     ("tighten_door", "replace_heater"), ("overhaul",),
                                     ("replace_fuse", "overhaul")], ids="+".join)  # fmt: skip
@pytest.mark.parametrize("complaints", [(), ("cold",)], ids=["no complaint", "cold"])
def test_success_by_hand(repairs, complaints):
    evidence = [*(hand.cold for _ in complaints), hand.read_as(hand.glow_chances, "dim")]
    found = beliefs(evaluated(case(DIM, complaints=complaints, repairs_done=done(*repairs))))
    assert found == pytest.approx(by_hand(evidence, repairs, complaints), rel=1e-9, abs=1e-12)


def test_a_repair_that_could_not_help_does_not_make_something_unknown_go_away():
    # A door that was tightened heats nothing: what it was that made it cold is not gone by itself.
    doubtful = case(Reading("glow", seen="bright"), complaints=("cold",))
    helped, stayed = (
        beliefs(evaluated(replace(doubtful, repairs_done=done("tighten_door", remains=remains))))["unknown"]
        for remains in (False, True)
    )
    assert helped < 0.1 * beliefs(evaluated(doubtful))["unknown"] < 0.1 * stayed


def test_success_proves_what_was_wrong_and_clears_it():
    before = beliefs(evaluated(case(DIM, complaints=("cold",))))
    now = beliefs(evaluated(case(DIM, complaints=("cold",), repairs_done=done("replace_heater"))))
    assert before["heater_weak"] > 0.9
    assert now["heater_weak"] < 0.02
    assert now["none"] > 0.75


def test_a_repair_is_a_piece_of_evidence_and_takes_its_fault_away():
    before = evaluated(case(DIM, complaints=("cold",)))
    now = evaluated(case(DIM, complaints=("cold",), repairs_done=done("replace_heater")))
    assert now.sources == (*before.sources, "repair:replace_heater")
    assert now.decibans[:-1] == pytest.approx(before.decibans, abs=1e-6)
    mended = dict(zip(now.faults, now.decibans[-1].tolist(), strict=True))
    assert mended["heater_weak"] < -20


def test_decibans_add_up_over_repairs():
    bright = Reading("glow", seen="bright", after_repair="replace_heater")
    now = evaluated(case(DIM, bright, complaints=("cold",), repairs_done=done("tighten_door", "replace_heater")))
    assert now.sources == ("complaint:cold", "glow", "repair:tighten_door", "repair:replace_heater", "glow")
    prior = beliefs(evaluated(case()))
    for fault, gained, present in zip(now.faults, now.decibans.sum(axis=0), now.present, strict=True):
        before = prior[fault] / (1 - prior[fault])
        assert gained == pytest.approx(10 * np.log10(present / (1 - present) / before), abs=1e-6)


def test_complaint_that_remains_speaks_against_what_was_mended():
    before = beliefs(evaluated(case(DIM, complaints=("cold",))))
    found = evaluated(case(DIM, complaints=("cold",), repairs_done=done("replace_heater", remains=True)))
    assert "repair:replace_heater" in found.sources
    assert beliefs(found)["heater_weak"] < before["heater_weak"]


def test_a_sure_cure_still_leaves_one_chance_in_fifty():
    # Replacing the fuse always helps: then the fuse was not it, unless it was done badly.
    given = case(Reading("heater_current", under_range=True), repairs_done=done("replace_fuse", remains=True))
    found = beliefs(evaluated(given))
    without = beliefs(evaluated(case(Reading("heater_current", under_range=True))))
    ratio = (found["fuse_open"] / found["heater_open"]) / (without["fuse_open"] / without["heater_open"])
    assert ratio == pytest.approx(1 / 50, rel=0.1)


def test_first_one_that_failed_and_then_one_that_helped():
    repairs = (*done("tighten_door", remains=True), *done("replace_heater"))
    evidence = [
        hand.cold, hand.read_as(hand.glow_chances, "dim"), hand.Mended(CURES["tighten_door"], True, ("cold",)),
    ]  # fmt: skip
    found = beliefs(evaluated(case(DIM, complaints=("cold",), repairs_done=repairs)))
    assert found == pytest.approx(by_hand(evidence, ("replace_heater",), ("cold",)), rel=1e-9, abs=1e-12)


def test_a_proven_fault_that_was_mended_leaves_the_second_one():
    # The dim glow proves the heater weak.  It glows brightly since it was replaced, and is cold as before.
    bright = Reading("glow", seen="bright", after_repair="replace_heater")
    now = beliefs(evaluated(case(DIM, bright, complaints=("cold",), repairs_done=done("replace_heater", remains=True))))
    assert now["heater_weak"] < 0.02
    assert now["door_loose"] > 0.6
    told_before = replace(bright, after_repair=None)
    muddled = evaluated(case(DIM, told_before, complaints=("cold",), repairs_done=done("replace_heater", remains=True)))
    assert muddled.clashes, "the same reading told of the time before contradicts the other one"


def test_a_repair_made_twice_is_told_of_by_its_last_time():
    repairs = (*done("tighten_door", remains=True), *done("tighten_door"))
    shut = Reading("door", seen="shut", after_repair="tighten_door")
    found = beliefs(evaluated(case(shut, complaints=("rattles",), repairs_done=repairs)))
    cures = CURES["tighten_door"]
    course = [hand.rattles, hand.Mended(cures, True, ("rattles",)), hand.Mended(cures, False, ("rattles",)),
              hand.read_as(hand.door_chances, "shut")]  # fmt: skip
    assert found == pytest.approx(hand.posterior(SMALL, course), rel=1e-9, abs=1e-12)


def test_a_complaint_that_came_back_is_no_more_likely_for_what_was_left_alone():
    repairs = (*done("replace_fuse"), *done("tighten_door", remains=True))
    found = beliefs(evaluated(case(complaints=("cold",), repairs_done=repairs)))
    course = [hand.cold, hand.Mended(CURES["replace_fuse"], False, ("cold",)),
              hand.Mended(CURES["tighten_door"], True, ("cold",), was_there=False)]  # fmt: skip
    assert found == pytest.approx(hand.posterior(SMALL, course), rel=1e-9, abs=1e-12)


def test_readings_of_one_test_are_merged_between_repairs_only():
    cold, mended = Reading("heater_ohms", 24.0, unit="ohm"), done("tighten_door")
    once = evaluated(case(cold, repairs_done=mended))
    twice = evaluated(case(cold, cold, repairs_done=mended))
    since = evaluated(case(cold, replace(cold, after_repair="tighten_door"), repairs_done=mended))
    assert twice.sources == once.sources == ("heater_ohms", "repair:tighten_door")
    assert since.sources == ("heater_ohms", "repair:tighten_door", "heater_ohms")


def test_a_supply_that_was_mended_is_no_condition_of_what_was_read_before():
    before, after = Reading("supply_volts", 80.0, unit="V"), Reading(
        "supply_volts", 100.0, unit="V", after_repair="replace_fuse"
    )
    current = Reading("heater_current", 4.0, unit="A")
    checked = evaluated(
        case(before, current, after, replace(current, after_repair="replace_fuse"), repairs_done=done("replace_fuse"))
    ).readings.checked
    used = [reading.expected.conditions["supply_voltage"].value for reading in (checked[1], checked[3])]
    assert used == [80.0, 100.0]


def test_something_unknown_is_not_mended():
    odd = Reading("heater_ohms", 500.0, unit="ohm")
    before = evaluated(case(odd)).unknown
    assert before > 0.05
    assert evaluated(case(odd, repairs_done=done("tighten_door", "replace_heater"))).unknown == pytest.approx(before)
