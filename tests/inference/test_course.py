"""The passage through a repair as a linear map, and clashes of evidence on either side of one."""

from __future__ import annotations

import numpy as np
import pytest

from probewright.inference.aftermath import passages
from probewright.inference.store import ModelStore
from probewright_schemas.records import Reading, RepairDone
from support.families import case, evaluated, warmer

BRIGHT, DIM = Reading("glow", seen="bright"), Reading("glow", seen="dim")
ANY_BUILD: dict[str, str] = {}


def done(*repairs, remains):
    return tuple(RepairDone(repair, complaint_remains=remains) for repair in repairs)


def steps(repairs, **fields):
    given = case(complaints=("cold", "rattles"), repairs_done=repairs, **fields)
    opened = ModelStore(warmer()).open_builds(given)
    return passages(given, opened.builds, None), opened


@pytest.mark.parametrize("remains", [True, False])
@pytest.mark.parametrize("options", [ANY_BUILD, {"style": "small", "lamp": "no"}], ids=["open", "given"])
def test_backward_is_the_transpose_of_forward(remains, options):
    [passage, last], opened = steps(
        (*done("overhaul", remains=remains), *done("replace_heater", remains=True)), options=options
    )
    rng = np.random.default_rng(5)
    weights, values = rng.random((2, len(opened)))
    for step in (passage, last):
        assert values @ step.forward(weights) == pytest.approx(step.backward(values) @ weights, rel=1e-12)


def test_nothing_is_lost_on_the_way_but_by_the_evidence():
    # Of two repairs in a row after which it was gone, nothing is told after the first: it only moves weight.
    [silent, telling], opened = steps(done("overhaul", "replace_heater", remains=False))
    weights = np.exp(opened.log_prior)
    assert silent.forward(weights).sum() == pytest.approx(1.0, rel=1e-12)
    assert telling.forward(weights).sum() < 1.0


def test_what_nothing_cures_stays_as_it_is():
    [passage, _], opened = steps(done("overhaul", "replace_heater", remains=False))
    weights = np.zeros(len(opened))
    weights[opened.unknown] = 1.0
    assert passage.forward(weights).tolist() == weights.tolist()


def sources(found):
    return [clash.sources for clash in found.clashes]


def test_what_was_mended_in_vain_leaves_something_else():
    # The dim glow was right: the heater was weak.  It no longer is, and the complaint remains: something else is there.
    found = evaluated(case(DIM, complaints=("cold",), repairs_done=done("replace_heater", remains=True)))
    assert sources(found) == []
    present = dict(zip(found.faults, found.present.tolist(), strict=True))
    assert max(present, key=present.__getitem__) == "door_loose"


def test_readings_that_a_repair_explains_do_not_clash():
    bright = Reading("glow", seen="bright", after_repair="replace_heater")
    repairs = done("replace_heater", remains=False)
    assert sources(evaluated(case(DIM, bright, complaints=("cold",), repairs_done=repairs))) == []
    assert sources(evaluated(case(DIM, BRIGHT, complaints=("cold",), repairs_done=repairs))) != []


def test_readings_that_no_repair_explains_clash_across_it():
    # Tightening the door mends no heater.
    bright = Reading("glow", seen="bright", after_repair="tighten_door")
    found = evaluated(case(DIM, bright, repairs_done=done("tighten_door", remains=True)))
    assert any("glow" in named for named in sources(found))


def test_a_clash_within_a_later_stretch_is_named():
    after = [Reading("glow", seen=seen, after_repair="tighten_door") for seen in ("bright", "dim")]
    found = evaluated(case(*after, repairs_done=done("tighten_door", remains=True)))
    assert ("glow",) in sources(found)
