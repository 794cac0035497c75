"""How well packs do on simulated jobs: what is counted, what is scored, and what is told."""

from __future__ import annotations

from dataclasses import replace

import orjson
import pytest

from probewright.engine import Forecast
from probewright.packs.loader import load_packs
from probewright.review.quality import measure, quality_document
from probewright.review.quality_scores import by_outcome, confusion, stage_document, two_faults
from probewright.review.quality_text import quality_text
from probewright.simulation.believed import NONE, UNKNOWN, held
from probewright.simulation.play import Foreseen, Played
from probewright.simulation.world import Wrong
from support.reviewed import SEED, SETTINGS, door_pack, lamp_pack, measured, quality_of, warmer_pack

JOBS = 60
WIDTH = 100


@pytest.fixture(scope="module")
def told():
    return quality_of(warmer_pack(), JOBS)


def played(forecast, *faults, unknown=False):
    """A job at whose first repair this was believed and this was wrong."""
    wrong = Wrong(faults, unknown)
    return Played(
        0, wrong.name, curable=True, hazardous=False, resolved=True, gone=True, first_visit=True, ended="done",
        minutes=1.0, closing=0.0, cost=1.0, tests=0, repairs=1, swapped=(), steps=(),
        decided=Foreseen(forecast, wrong), left=Foreseen(forecast, Wrong()),
    )  # fmt: skip


SURE = Forecast({"a": 0.6, "b": 0.1}, 0.1, 0.0, 0.2, {"a": 0.8, "b": 0.3})
TORN = Forecast({"a": 0.3, "b": 0.3}, 0.1, 0.1, 0.2, {"a": 0.45, "b": 0.5})
BY_HAND = [played(SURE, "a"), played(SURE, "b"), played(TORN, "b"), played(TORN, unknown=True), played(TORN, "a", "b")]


def test_jobs_with_one_trouble_are_scored_against_what_was_believed_of_one():
    found = held(BY_HAND, "decided", ("a", "b"))
    assert found.outcomes == (NONE, "a", "b", UNKNOWN)
    assert found.truth.tolist() == [1, 2, 2, 3]
    assert found.probabilities[0] == pytest.approx([0.125, 0.75, 0.125, 0.0])
    assert found.probabilities[2] == pytest.approx([0.125, 0.375, 0.375, 0.125])


def test_scores_by_hand():
    stage = stage_document(held(BY_HAND, "decided", ("a", "b")), 0, 0.03)
    assert stage["jobs"] == 4
    assert stage["probability"]["value"] == pytest.approx((0.75 + 0.125 + 0.375 + 0.125) / 4)
    # Of two that are equally likely the first leads.
    assert stage["top_1"]["value"] == pytest.approx(1 / 4)
    assert stage["top_3"]["value"] == pytest.approx(3 / 4)
    rows = [(row["jobs"], row["confidence"], row["frequency"]) for row in stage["reliability"]]
    assert rows == [(2, pytest.approx(0.375), 0.0), (2, pytest.approx(0.75), 0.5)]
    assert stage["calibration_error"]["value"] == pytest.approx((0.375 + 0.25) / 2)
    assert stage["calibration_error"]["reached"] is False


def test_what_is_left_is_scored_against_what_is_left():
    found = held(BY_HAND, "left", ("a", "b"))
    assert found.truth.tolist() == [0] * 5


def test_jobs_with_two_faults_are_counted_by_themselves():
    found = two_faults(BY_HAND)
    assert (found["jobs"], found["share"]["value"]) == (1, pytest.approx(0.2))
    assert found["forecast"] == pytest.approx(0.2)
    assert (found["one_leads"]["value"], found["both_among_three"]["value"]) == (1.0, 1.0)


def test_mistakes_are_told_by_what_was_wrong_and_what_was_taken_for_it():
    found = held(BY_HAND, "decided", ("a", "b"))
    assert confusion(found) == [
        {"truth": "a", "leading": "a", "jobs": 1},
        {"truth": "b", "leading": "a", "jobs": 2},
        {"truth": UNKNOWN, "leading": "a", "jobs": 1},
    ]
    assert [(o["outcome"], o["jobs"], o["top_1"]) for o in by_outcome(found)] == [
        ("a", 1, 1.0), ("b", 2, 0.0), (UNKNOWN, 1, 0.0)
    ]  # fmt: skip


def test_jobs_that_kept_no_belief_are_not_scored():
    silent = [replace(job, decided=None, left=None) for job in BY_HAND]
    assert len(held(silent, "decided", ("a", "b")).truth) == 0
    assert two_faults(silent)["jobs"] == 0
    assert confusion(held(silent, "decided", ("a", "b"))) == []


def test_the_same_seed_gives_the_same_bytes_whatever_the_number_of_workers(told):
    pack = warmer_pack()
    again = [measure(pack, SETTINGS, JOBS, SEED, workers=2, perturb=perturb) for perturb in (False, True)]
    assert orjson.dumps(quality_document(pack, SETTINGS, again)) == orjson.dumps(told)


def test_another_seed_gives_other_jobs(told):
    pack = warmer_pack()
    other = quality_document(pack, SETTINGS, [measure(pack, SETTINGS, JOBS, SEED + 1)])
    assert other["worlds"]["given"]["confusion"] != told["worlds"]["given"]["confusion"]


@pytest.mark.parametrize("name", ["given", "perturbed"])
def test_the_document_adds_up(told, name):
    world = told["worlds"][name]
    scored = world["decided"]["jobs"]
    assert scored + world["two_faults"]["jobs"] == told["jobs"] == JOBS
    for part in (world["confusion"], world["outcomes"], world["decided"]["reliability"]):
        assert sum(row["jobs"] for row in part) == scored
    led = sum(cell["jobs"] for cell in world["confusion"] if cell["truth"] == cell["leading"])
    assert world["decided"]["top_1"]["value"] == pytest.approx(led / scored, abs=1e-6)
    assert set(world["work"]) == set(world["costs"]["policies"]) == {"planner", "checklist"}
    for policy, costs in world["costs"]["policies"].items():
        assert sum(costs["jobs"]) == JOBS
        assert costs["quantiles"] == sorted(costs["quantiles"])
        assert costs["quantiles"][0] <= world["work"][policy]["cost"]["value"] <= costs["quantiles"][-1]
    ratio = world["work"]["planner"]["cost"]["value"] / world["work"]["checklist"]["cost"]["value"]
    assert world["cost_ratio"]["value"] == pytest.approx(ratio, abs=1e-3)
    assert set(told["names"]) == {NONE, UNKNOWN, *(fault.id for fault in warmer_pack().family.faults)}


def test_a_pack_is_as_calibrated_as_a_perfect_forecaster_in_its_own_world():
    stage = quality_of(lamp_pack(), 150, worlds=(False,))["worlds"]["given"]["decided"]
    assert stage["calibration_error"]["inside"]
    assert stage["brier"]["inside"]
    assert stage["log"]["inside"]


def surer(foreseen):
    """The same belief, held with odds to the third power."""
    weights = {fault: p**3 for fault, p in foreseen.forecast.alone.items()}
    none, unknown = foreseen.forecast.none**3, foreseen.forecast.unknown**3
    total = sum(weights.values()) + none + unknown
    alone = {fault: weight / total for fault, weight in weights.items()}
    return replace(foreseen, forecast=Forecast(alone, none / total, unknown / total, 0.0, alone))


def test_a_pack_that_is_too_sure_is_over_the_limits_and_told_so():
    of = measured(lamp_pack(), 150, perturb=False)
    jobs = tuple(replace(job, decided=surer(job.decided)) for job in of.results["planner"])
    told = quality_document(lamp_pack(), SETTINGS, [replace(of, results={"planner": jobs})])
    stage = told["worlds"]["given"]["decided"]
    assert not stage["calibration_error"]["inside"]
    assert not stage["log"]["inside"]
    assert f"over: {stage['calibration_error']['value']:.3f} (" in quality_text(told)


def test_a_family_without_a_checklist_has_nothing_to_be_compared_with():
    told = quality_of(lamp_pack(), 150, worlds=(False,))
    world = told["worlds"]["given"]
    assert told["checklist"] == []
    assert world["cost_ratio"] is None
    assert list(world["work"]) == list(world["costs"]["policies"]) == ["planner"]
    assert "no checklist to compare with" in quality_text(told)


def test_one_fault_without_a_circuit_of_which_hardly_anybody_complains():
    told = quality_of(door_pack(), 30)
    world = told["worlds"]["given"]
    assert world["decided"]["jobs"] == 30
    assert world["decided"]["top_3"]["value"] == 1.0
    assert {row["outcome"] for row in world["outcomes"]} >= {"door_loose", NONE}


def lines_of(told):
    return quality_text(told).split("\n")


@pytest.mark.parametrize("pack", [warmer_pack, lamp_pack, door_pack])
def test_the_text_fits_its_width(pack):
    sizes = {warmer_pack: JOBS, lamp_pack: 150, door_pack: 30}
    lines = lines_of(quality_of(pack(), sizes[pack], worlds=(False,)))
    assert max(map(len, lines)) <= WIDTH
    assert lines[0].startswith(f"{pack().family.id} 1.")


def test_the_text_tells_both_worlds_side_by_side(told):
    lines = lines_of(told)
    assert max(map(len, lines)) == WIDTH
    given, perturbed = (told["worlds"][name]["decided"]["jobs"] for name in ("given", "perturbed"))
    assert "60 simulated jobs of 3 worlds that differ from it" in " ".join(lines[:2])
    row = next(line for line in lines if line.startswith("  jobs with at most one fault"))
    assert row.split()[-2:] == [str(given), str(perturbed)]
    assert any(line.startswith("  cost, planner over checklist") for line in lines)
    assert any(": taken for " in line for line in lines)


def test_one_job_with_two_faults_leaves_nothing_to_score():
    of = measured(warmer_pack(), JOBS, perturb=False)
    double = next(job for job in of.results["planner"] if len(job.decided.wrong.faults) == 2)
    one = replace(of, plan=replace(of.plan, jobs=1), results=dict.fromkeys(of.results, (double,)))
    told = quality_document(warmer_pack(), SETTINGS, [one])
    assert told["worlds"]["given"]["decided"] is None
    assert told["worlds"]["given"]["two_faults"]["jobs"] == 1
    assert max(map(len, lines_of(told))) <= WIDTH


def test_the_gas_range_is_measured():
    pack = load_packs().get("gas_range")
    told = quality_document(pack, SETTINGS, [measure(pack, SETTINGS, 8, SEED, perturb=p) for p in (False, True)])
    assert list(told["worlds"]) == ["given", "perturbed"]
    assert "8 simulated jobs of one world that differs from it" in " ".join(lines_of(told)[:2])
    for world in told["worlds"].values():
        assert world["decided"]["probability"]["value"] > 0.3
        assert world["work"]["planner"]["given_up"] == 0
    assert max(map(len, lines_of(told))) <= WIDTH
