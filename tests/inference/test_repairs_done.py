"""Repairs that were made: the complaint remained, or it went away."""

from __future__ import annotations

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
    weights = hand.worlds(SMALL)
    for piece in evidence:
        weights = {world: weight * piece(world) for world, weight in weights.items()}
    for repair in repairs:
        weights = after(weights, CURES[repair])
    for _ in complaints:
        weights = {world: weight * hand.working(hand.works)(world) for world, weight in weights.items()}
    total = sum(weights.values())
    found = dict.fromkeys([*hand.RATES, "none", "unknown"], 0.0)
    for (_, faults), weight in weights.items():
        for name in ("unknown",) if faults is None else faults or ("none",):
            found[name] += float(weight / total)
    return found


def after(weights, cures):
    moved = {}
    for (build, faults), weight in weights.items():
        kept = {faults: weight}
        for fault in faults or ():
            cured = hand.exact(cures.get(fault, 0.0))
            grown = {}
            for left, part in kept.items():
                grown[left] = grown.get(left, 0) + part * (1 - cured)
                grown[left - {fault}] = grown.get(left - {fault}, 0) + part * cured
            kept = grown
        for left, part in kept.items():
            moved[build, left] = moved.get((build, left), 0) + part
    return moved


@pytest.mark.parametrize("repairs", [("replace_heater",), ("tighten_door",), ("replace_heater", "tighten_door"),
                                     ("tighten_door", "replace_heater"), ("overhaul",),
                                     ("replace_fuse", "overhaul")], ids="+".join)  # fmt: skip
@pytest.mark.parametrize("complaints", [(), ("cold",)], ids=["no complaint", "cold"])
def test_success_by_hand(repairs, complaints):
    evidence = [*(hand.cold for _ in complaints), hand.read_as(hand.glow_chances, "dim")]
    found = beliefs(evaluated(case(DIM, complaints=complaints, repairs_done=done(*repairs))))
    assert found == pytest.approx(by_hand(evidence, repairs, complaints), rel=1e-9, abs=1e-12)


def test_success_proves_what_was_wrong_and_clears_it():
    before = beliefs(evaluated(case(DIM, complaints=("cold",))))
    now = beliefs(evaluated(case(DIM, complaints=("cold",), repairs_done=done("replace_heater"))))
    assert before["heater_weak"] > 0.9
    assert now["heater_weak"] < 0.02
    assert now["none"] > 0.75


def test_what_each_piece_did_is_told_of_the_time_before():
    before = evaluated(case(DIM, complaints=("cold",)))
    now = evaluated(case(DIM, complaints=("cold",), repairs_done=done("replace_heater")))
    assert now.sources == before.sources
    assert now.decibans == pytest.approx(before.decibans, abs=1e-6)


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
    evidence = [hand.cold, hand.remains_after(door_loose=0.8), hand.read_as(hand.glow_chances, "dim")]
    found = beliefs(evaluated(case(DIM, complaints=("cold",), repairs_done=repairs)))
    assert found == pytest.approx(by_hand(evidence, ("replace_heater",), ("cold",)), rel=1e-9, abs=1e-12)


def test_something_unknown_is_not_mended():
    odd = Reading("heater_ohms", 500.0, unit="ohm")
    before = evaluated(case(odd)).unknown
    assert before > 0.05
    assert evaluated(case(odd, repairs_done=done("tighten_door", "replace_heater"))).unknown == pytest.approx(before)
