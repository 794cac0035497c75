"""Evidence that no explanation covers: never NaN; it raises the unknown share, and the pieces that clash are named."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from probewright.figures import invented
from probewright.packs.model import Complaint
from probewright_schemas.records import Reading, RepairDone
from support.families import beliefs, case, chances, evaluated, supply, warmer

BRIGHT, DIM, DARK = (Reading("glow", seen=seen) for seen in ("bright", "dim", "none"))
HOT = Reading("heater_current", 4.0, unit="A")
NOTHING = Reading("heater_current", 0.0, unit="A")
SOUND = Reading("heater_ohms", 24.2, unit="ohm")
CUT = Reading("heater_ohms", over_range=True)


def clashes(found):
    return [clash.sources for clash in found.clashes]


@pytest.mark.parametrize(
    ("readings", "named"),
    [((BRIGHT, NOTHING), ("glow", "heater_current")), ((HOT, DARK), ("glow", "heater_current")),
     ((BRIGHT, CUT), ("glow", "heater_ohms")), ((HOT, CUT), ("heater_current", "heater_ohms"))],
)  # fmt: skip
def test_two_that_clash(readings, named):
    alone = [beliefs(evaluated(case(reading)))["unknown"] for reading in readings]
    found = evaluated(case(*readings))
    assert clashes(found) == [named]
    assert found.unknown > 5 * max(alone)
    assert all(name in found.clashes[0].message for name in named)


def test_outcomes_of_one_test_that_clash():
    found = evaluated(case(BRIGHT, DARK))
    assert clashes(found) == [("glow",)]


def test_the_odd_one_out_is_named_with_what_speaks_against_it():
    found = evaluated(case(BRIGHT, HOT, SOUND, Reading("supply_volts", 0.0, unit="V")))
    assert len(found.clashes) == 1
    assert "supply_volts" in found.clashes[0].sources


def test_what_nothing_explains_is_named_alone():
    found = evaluated(case(Reading("heater_ohms", 500.0, unit="ohm"), Reading("door", seen="shut")))
    assert clashes(found) == [("heater_ohms",)]
    assert "Nothing this pack knows" in found.clashes[0].message
    assert found.unknown > 5 * evaluated(case()).unknown


@pytest.mark.parametrize(
    "readings",
    [(), (HOT,), (HOT, BRIGHT, SOUND), (NOTHING, DARK, CUT), (DIM, Reading("heater_current", 2.7, unit="A"))],
)
def test_evidence_that_goes_together_does_not_clash(readings):
    assert clashes(evaluated(case(*readings))) == []


def test_complaints_against_what_was_found():
    assert clashes(evaluated(case(complaints=("cold",), working=("heats",)))) == [("complaint:cold", "working:heats")]
    found = evaluated(case(BRIGHT, Reading("door", seen="shut"), complaints=("cold",)))
    assert clashes(found) == [("complaint:cold", "door", "glow")]


def test_customers_complain_of_sound_appliances():
    # Nothing in particular speaks against it; it is a mistake as likely as not, and not worth a word.
    found = evaluated(case(complaints=("rattles",), working=("stays_shut",)))
    assert found.none > 0.5
    assert clashes(found) == []


EVERYTHING = (BRIGHT, DIM, DARK, HOT, NOTHING, SOUND, CUT, Reading("door", seen="shut"), Reading("door", seen="gone"),
              Reading("lamp", seen="lit"), Reading("lamp", seen="dark"), Reading("heater_continuity", seen="open"),
              Reading("heater_continuity", seen="closed"), Reading("supply_volts", 0.0, unit="V"),
              Reading("wire_volts", 1e-30, unit="V"), Reading("heater_ohms", 1e30, unit="ohm"))  # fmt: skip


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("count", [2, 5, len(EVERYTHING)])
def test_never_nan(count):
    done = {"replace_heater": True, "tighten_door": False}
    repairs = tuple(RepairDone(repair, complaint_remains=remains) for repair, remains in done.items())
    reports = {"complaints": ("cold", "rattles"), "working": ("heats", "stays_shut"), "repairs_done": repairs}
    for readings in itertools.islice(itertools.combinations(EVERYTHING, count), 0, 60, 3):
        found = evaluated(case(*readings, conditions=supply(0.0), **reports))
        numbers = [*beliefs(found).values(), *found.shares, *found.decibans.ravel()]
        assert np.isfinite(numbers).all()
        assert all(-1e-12 <= p <= 1 + 1e-12 for p in beliefs(found).values())


def test_complaints_that_only_exclusive_faults_could_raise():
    # Neither fault can be there beside the other, and nothing else shows either: only something unknown is left.
    certain = tuple(
        Complaint(name, name, invented(0.0), shown_by=chances(**{fault: 1.0}))
        for name, fault in (("smells", "heater_weak"), ("hums", "heater_open"))
    )
    found = evaluated(case(complaints=("smells", "hums")), warmer(complaints=certain))
    assert found.unknown == pytest.approx(1.0)
    assert np.isfinite([*beliefs(found).values(), *found.decibans.ravel()]).all()


def test_probabilities_of_hypotheses_add_up():
    for readings in ((), (HOT,), (DIM, CUT)):
        found = evaluated(case(*readings))
        assert found.shares.sum() == pytest.approx(1.0, abs=1e-12)
        # At most two faults at once: what is present is what is left by none and unknown, counted once or twice.
        left = 1 - found.none - found.unknown
        assert left - 1e-12 <= found.present.sum() <= 2 * left + 1e-12
