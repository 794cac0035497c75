"""The engine's answers against every set of faults in every build, enumerated in fractions by other code."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest

from probewright.inference.evaluate import Rules
from probewright.packs.check import check_family
from probewright_schemas.records import Reading, RepairDone
from support import enumeration as hand
from support.families import SMALL, beliefs, case, evaluated, warmer

# What the engine is told, and what it amounts to by hand.
READINGS = {
    **{f"door {o}": (Reading("door", seen=o), hand.read_as(hand.door_chances, o)) for o in ("shut", "ajar", "gone")},
    **{f"glow {o}": (Reading("glow", seen=o), hand.read_as(hand.glow_chances, o)) for o in ("bright", "dim", "none")},
    **{f"lamp {o}": (Reading("lamp", seen=o), hand.lamp(o)) for o in ("lit", "dark")},
}
CONTINUITY = {
    o: (Reading("heater_continuity", seen=o), hand.read_as(hand.continuity_chances, o)) for o in ("closed", "open")
}
COMPLAINTS = ("cold", "rattles", "cold_and_smells")
WORKING = ("heats", "stays_shut")
CURES = {repair.id: {fault: float(cure) for fault, cure in repair.cures.items()} for repair in warmer().repairs}
OPTIONS = [SMALL, {"style": "large", "lamp": "no"}, {"style": "large"}, {"lamp": "yes"}, {}]


def told(options, readings=(), complaints=(), working=(), course=()):
    """A case and its pieces of evidence by hand, in the engine's order.

    ``course`` holds for each repair whether the complaint remained, and what was read after it.
    """
    pieces = [*hand.told([*complaints, *working]), *(READINGS[name][1] for name in readings)]
    given, was_there = [READINGS[name][0] for name in readings], True
    for i, (repair, remains, later) in enumerate(course):
        # Of several after which it was gone, the last one tells.
        untold = not remains and i + 1 < len(course) and not course[i + 1][1]
        pieces.append(hand.Mended(CURES[repair], None if untold else remains, tuple(complaints), was_there))
        pieces += [READINGS[name][1] for name in later]
        given += [replace(READINGS[name][0], after_repair=repair) for name in later]
        was_there = remains
    done = tuple(RepairDone(repair, complaint_remains=remains) for repair, remains, _ in course)
    return case(*given, options=options, complaints=tuple(complaints), working=tuple(working),
                repairs_done=done), pieces  # fmt: skip


def agree(given, pieces):
    found = beliefs(evaluated(given))
    by_hand = hand.posterior(given.options, pieces)
    assert set(found) <= set(by_hand)
    assert {**dict.fromkeys(by_hand, 0.0), **found} == pytest.approx(by_hand, rel=1e-9, abs=1e-12)


def test_the_warmer_holds_together():
    check_family(warmer())


@pytest.mark.parametrize("options", OPTIONS, ids=str)
def test_prior(options):
    agree(*told(options))


def readable(options):
    """A build that is known to have no lamp has no lamp to look at."""
    return [name for name in READINGS if not (name.startswith("lamp") and options.get("lamp") == "no")]


@pytest.mark.parametrize(("options", "name"), [(o, name) for o in OPTIONS for name in readable(o)])
def test_one_reading(options, name):
    agree(*told(options, readings=[name]))


@pytest.mark.parametrize("seen", CONTINUITY)
def test_continuity(seen):
    reading, piece = CONTINUITY[seen]
    agree(case(reading), [piece])


@pytest.mark.parametrize("options", OPTIONS, ids=str)
@pytest.mark.parametrize("name", COMPLAINTS)
def test_one_complaint(options, name):
    agree(*told(options, complaints=[name]))


@pytest.mark.parametrize("options", OPTIONS, ids=str)
@pytest.mark.parametrize("name", WORKING)
def test_one_working_function(options, name):
    agree(*told(options, working=[name]))


@pytest.mark.parametrize("options", OPTIONS, ids=str)
@pytest.mark.parametrize("working", [(), ("heats",)], ids="+".join)
@pytest.mark.parametrize(
    "complaints", [("cold", "cold_and_smells"), ("cold_and_smells", "rattles", "cold")], ids="+".join
)
def test_two_complaints_of_one_function_are_about_one_failure(options, complaints, working):
    agree(*told(options, complaints=complaints, working=working))


@pytest.mark.parametrize("name", CURES)
@pytest.mark.parametrize("remains", [True, False], ids=["remains", "gone"])
@pytest.mark.parametrize(
    "complaints", [(), ("cold",), ("rattles", "cold_and_smells"), ("cold_and_smells", "cold")], ids="+".join
)
def test_one_repair(name, remains, complaints):
    agree(*told(SMALL, ["glow dim"], complaints, course=[(name, remains, [])]))


@pytest.mark.parametrize("options", OPTIONS, ids=str)
@pytest.mark.parametrize("remains", [True, False], ids=["remains", "gone"])
def test_a_reading_after_a_repair(options, remains):
    agree(*told(options, ["glow dim"], ["cold"], course=[("replace_heater", remains, ["glow bright", "door shut"])]))


def test_the_same_reading_on_either_side_of_a_repair_counts_twice():
    agree(*told(SMALL, ["door ajar"], course=[("tighten_door", True, ["door ajar"])]))


def drawn(seed: int):
    draw = random.Random(seed)
    options = draw.choice(OPTIONS)
    names = draw.sample(readable(options), draw.randint(0, 4))
    others = [draw.sample(sorted(kind), draw.randint(0, 2)) for kind in (COMPLAINTS, WORKING)]
    course = [
        (repair, draw.random() < 0.5, draw.sample(readable(options), draw.randint(0, 2)))
        for repair in draw.sample(sorted(CURES), draw.choice([0, 0, 1, 2, 3]))
    ]
    return told(options, names, *others, course)


@pytest.mark.parametrize("seed", range(60))
def test_evidence_of_all_kinds(seed):
    agree(*drawn(seed))


@pytest.mark.parametrize("seed", range(0, 60, 4))
def test_decibans_are_the_way_the_odds_went(seed):
    given, pieces = drawn(seed)
    found = evaluated(given)
    assert len(found.sources) == len(pieces) == len(found.decibans)
    before = hand.posterior(given.options, [])
    for k, row in enumerate(found.decibans, start=1):
        after = hand.posterior(given.options, pieces[:k])
        for fault, gained in zip(found.faults, row.tolist(), strict=True):
            chances = [min(max(p[fault], 1e-12), 1 - 1e-12) for p in (after, before)]  # as far as decibans go
            ways = [p / (1 - p) for p in chances]
            assert gained == pytest.approx(10 * np.log10(ways[0] / ways[1]), abs=1e-7)
        before = after


@pytest.mark.parametrize("seed", range(0, 60, 4))
def test_open_options_are_weighed_by_what_they_explain(seed):
    # The answer with options open is the mean of the answers for each build, weighted by share and evidence.
    given, pieces = drawn(seed)
    answers, weights = [], []
    for style, lamp, share in (("small", "yes", 45), ("large", "yes", 15), ("small", "no", 30), ("large", "no", 10)):
        options = {"style": style, "lamp": lamp}
        if lamp == "no" and any(r.test == "lamp" for r in given.readings):
            answers.append(hand.posterior(options, pieces))  # the engine refuses such a reading by itself
        else:
            answers.append(beliefs(evaluated(replace(given, options=options))))
        weights.append(share * hand.evidence_of(options, pieces))
    mixed = beliefs(evaluated(replace(given, options={})))
    for name, value in mixed.items():
        mean = np.average([answer.get(name, 0.0) for answer in answers], weights=weights)
        assert value == pytest.approx(mean, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("seed", range(0, 60, 3))
def test_hypotheses_that_stand_as_one_change_nothing(seed):
    given, _ = drawn(seed)
    readings = tuple(reading for reading in given.readings if reading.after_repair is None)
    given = replace(given, repairs_done=(), readings=readings)  # after repairs nothing is merged
    merged = evaluated(given)
    # A scorer that leaves everything as it is makes the engine look at every hypothesis by itself.
    apart = evaluated(given, rules=Rules(scorer=lambda batch: batch.declared))
    assert beliefs(merged) == pytest.approx(beliefs(apart), rel=1e-9, abs=1e-13)
    np.testing.assert_allclose(merged.decibans, apart.decibans, atol=1e-7)
    assert merged.clashes == apart.clashes


def test_builds_are_told_apart_by_the_evidence():
    # A dim glow: only a small heater glows dimly when it is weak.
    found = evaluated(case(Reading("glow", seen="dim"), options={"lamp": "no"}))
    shares = {b.compiled.configuration["style"]: s for b, s in
              zip(found.readings.opened.builds, found.shares.tolist(), strict=True)}  # fmt: skip
    piece = READINGS["glow dim"][1]
    by_hand = {style: share * hand.evidence_of({"style": style, "lamp": "no"}, [piece])
               for style, share in (("small", 0.75), ("large", 0.25))}  # fmt: skip
    assert shares["small"] == pytest.approx(by_hand["small"] / sum(by_hand.values()), rel=1e-9)
    assert shares["small"] > 0.97
