from __future__ import annotations

import json
import random
from dataclasses import replace

import numpy as np
import pytest

from probewright.calibration import brier_score, log_score
from probewright.engine import diagnose
from probewright.learning.jobs import read_jobs
from probewright.learning.learned import LAYER, Plan, learn, with_overlay
from probewright.learning.report import document, text
from probewright.learning.simulated import written
from probewright.learning.split import TooFewJobsError
from probewright.learning.trial import before_repairs, brier_of_each, log_of_each, try_out
from probewright.learning.written import shop_toml
from probewright.packs.overlay import laid_over
from probewright.packs.shopfile import read_shop_file
from probewright.settings import Settings
from probewright_schemas.records import Case, Reading, RepairDone
from support.families import pack_of, warmer

SETTINGS = Settings()
#: Rates of a shop's own world, far from the pack's.
OWN = {"no_supply": 0.01, "fuse_open": 0.02, "heater_weak": 0.03, "heater_open": 0.15, "door_loose": 0.02,
       "lamp_dirty": 0.06, "link_open": 0.03}  # fmt: skip


def own_world():
    family = warmer()
    return replace(family, faults=tuple(replace(f, rate=type(f.rate)(OWN[f.id], "invented")) for f in family.faults))


@pytest.fixture(scope="session")
def lines(closed):
    return [written(job) for job, _ in closed(own_world(), 400)]


@pytest.fixture(scope="session")
def jobs(lines):
    found = read_jobs(lines, warmer())
    assert not found.bad
    return found.jobs


@pytest.fixture(scope="session")
def learned(pack, jobs):
    return learn(pack, SETTINGS, jobs)


def test_simulated_jobs_are_written_as_they_are_read(closed, jobs):
    by_line = {job.line: job.case for job in jobs}
    for job, _ in closed(own_world(), 20):
        assert by_line[written(job).strip()] == job.case


def test_learning_from_a_shops_own_jobs_forecasts_its_later_jobs_better(learned):
    assert (learned.trial.verdict, learned.trial.held_back) == ("better", 100)
    call = learned.trial.changes["at_the_call"]
    assert call.verdict == "better"
    assert call.as_learned.log < call.as_is.log - 0.1
    assert call.as_learned.brier < call.as_is.brier
    assert call.as_learned.top_1 > call.as_is.top_1 + 0.2


def test_learning_from_jobs_of_the_packs_own_world_is_not_called_better(pack, closed):
    own = read_jobs([written(job) for job, _ in closed(warmer(), 200)], warmer()).jobs
    trial = learn(pack, SETTINGS, own).trial
    assert {change.verdict for change in trial.changes.values()} == {"no clear difference"}


def test_numbers_that_are_wrong_are_called_worse(pack, jobs):
    upside_down = dict(zip(OWN, sorted(OWN.values()), strict=True)) | {"heater_open": 0.001}
    faults = tuple(replace(f, rate=type(f.rate)(upside_down[f.id], "invented")) for f in pack.family.faults)
    wrong = replace(pack, family=replace(pack.family, faults=faults))
    assert try_out(pack, wrong, SETTINGS, jobs[-60:]).verdict == "worse"


def test_the_difference_of_scores_is_the_mean_difference_of_the_jobs(learned):
    for change in learned.trial.changes.values():
        assert change.log.value == pytest.approx(change.as_learned.log - change.as_is.log)
        assert change.brier.value == pytest.approx(change.as_learned.brier - change.as_is.brier)
        assert change.log.low < change.log.value < change.log.high


def test_the_same_pack_twice_makes_no_difference(pack, jobs):
    trial = try_out(pack, pack, SETTINGS, jobs[:30])
    assert trial.verdict == "no clear difference"
    assert all(change.log == (0.0, 0.0, 0.0) for change in trial.changes.values())


def test_forecasts_are_scored_as_the_engine_answers(pack, jobs):
    alone = [job for job in jobs if len(job.proven) == 1 and job.proven != ("unknown",)][:40]
    trial = try_out(pack, pack, SETTINGS, alone)
    answers = [diagnose(replace(before_repairs(job.case), effort="none"), pack, SETTINGS) for job in alone]
    present = [{f.fault: f.probability for f in answer.faults} for answer in answers]
    # A fault alone is at most as likely as the fault with or without another.
    with_others = np.array([given.get(job.proven[0], 0.0) for given, job in zip(present, alone, strict=True)])
    assert trial.changes["before_repairs"].as_is.truth <= with_others.mean() + 1e-9
    assert trial.changes["before_repairs"].as_is.truth > 0.8 * with_others.mean()
    assert trial.changes["before_repairs"].as_is.log < trial.changes["at_the_call"].as_is.log


def test_what_was_read_after_a_repair_is_no_forecast():
    readings = (Reading("door", seen="shut"), Reading("door", seen="ajar", after_repair="tighten_door"))
    case = Case("warmer", readings=readings, repairs_done=(RepairDone("tighten_door", True),))
    known = before_repairs(case)
    assert (known.readings, known.repairs_done) == (readings[:1], ())


def test_of_many_jobs_only_so_many_are_scored(pack, jobs):
    trial = try_out(pack, pack, SETTINGS, jobs[:90], most=30)
    assert (trial.held_back, trial.scored, trial.changes["at_the_call"].as_is.count) == (90, 30, 30)


def test_each_number_says_what_was_counted(learned, jobs):
    proven = sum("heater_open" in job.proven for job in jobs)
    figure = learned.overlay.fault_rates["heater_open"]
    assert figure.basis == "shop"
    assert figure.source.startswith(f"proven in {proven} of 400 closed jobs that could have it (")
    assert "2026-01-05 to 2026-05-18; before 0.06, worth 100 jobs" in figure.source
    assert float(figure) == pytest.approx(OWN["heater_open"], rel=0.3)


def test_the_trial_learns_from_the_earlier_jobs_only_and_the_result_from_all(learned, pack, jobs):
    earlier = learn(pack, SETTINGS, jobs[: learned.earlier.jobs], Plan(hold_back=0.5))
    tried = try_out(pack, with_overlay(pack, earlier.overlay), SETTINGS, jobs[learned.earlier.jobs :])
    assert learned.earlier.last < learned.later.first
    # To the rounding of the figures that the overlay holds, which is the same.
    assert tried.changes["at_the_call"].as_learned == learned.trial.changes["at_the_call"].as_learned
    assert learned.overlay != earlier.overlay


def test_the_written_file_gives_the_same_numbers(learned, pack, tmp_path):
    path = tmp_path / "shop.toml"
    path.write_text(shop_toml(pack, learned), encoding="utf-8")
    (overlay,) = read_shop_file(path)
    assert overlay == learned.overlay
    laid = laid_over(pack.family, overlay)
    rates = {fault.id: fault.rate for fault in laid.faults}
    assert rates["heater_open"] == learned.overlay.fault_rates["heater_open"]
    assert (rates["heater_open"].basis, rates["heater_open"].layer) == ("shop", LAYER)
    assert rates["heater_open"].source == learned.overlay.fault_rates["heater_open"].source


def test_the_written_file_says_what_it_was_learned_from(learned, pack):
    head = shop_toml(pack, learned).split("\n\n")[0]
    assert "Learned from 400 closed jobs, 2026-01-05 to 2026-05-18" in head
    assert all(line.startswith("# ") and len(line) <= 100 for line in head.splitlines())
    assert "better" in head


def test_rows_of_outcomes_are_written_with_their_condition(pack, jobs, tmp_path):
    family = warmer(tests=tuple(
        replace(t, models=tuple(replace(m, when={"style": ("small", "large")}) for m in t.models))
        if t.id == "door" else t for t in pack.family.tests
    ))  # fmt: skip
    own = pack_of(family)
    found = learn(own, SETTINGS, jobs)
    assert "door" in {row.test for row in found.overlay.outcomes}
    path = tmp_path / "shop.toml"
    path.write_text(shop_toml(own, found), encoding="utf-8")
    (overlay,) = read_shop_file(path)
    assert overlay == found.overlay
    assert laid_over(family, overlay) != family


def test_rounded_rows_add_up_to_one(learned):
    assert learned.overlay.outcomes
    for row in learned.overlay.outcomes:
        assert sum(row.chances.values()) == pytest.approx(1.0, abs=1e-9)
        assert all(0 <= chance <= 1 for chance in row.chances.values())


def test_a_shuffled_file_gives_the_same_bytes(lines, pack, learned):
    shuffled = random.Random(8).sample(lines, len(lines))
    again = learn(pack, SETTINGS, read_jobs(shuffled, warmer()).jobs)
    assert shop_toml(pack, again) == shop_toml(pack, learned)
    assert json.dumps(document(pack, Plan(), again, ())) == json.dumps(document(pack, Plan(), learned, ()))


def test_the_report_stays_within_its_width(learned, pack):
    told = text(document(pack, Plan(), learned, ()))
    assert max(len(line) for line in told.splitlines()) <= 100
    assert "The learned numbers forecast the held-back jobs better." in told


def test_the_document_is_json_and_tells_both_scores(learned, pack):
    told = json.loads(json.dumps(document(pack, Plan(), learned, ())))
    assert told["verdict"] == "better"
    assert (told["jobs"]["jobs"], told["learned_from"]["jobs"], told["held_back"]["jobs"]) == (400, 300, 100)
    scores = told["scores"]["at_the_call"]
    assert set(scores["as_is"]) >= {"top_1", "top_3", "brier", "log", "ece", "ece_null_95"}
    assert scores["difference"]["log"]["high"] < 0


def test_a_pack_is_left_as_it_is(pack, learned):
    assert pack.family == warmer()
    assert with_overlay(pack, learned.overlay).family != pack.family


def test_too_few_jobs_are_refused(pack, jobs):
    with pytest.raises(TooFewJobsError):
        learn(pack, SETTINGS, jobs[:99])


def test_scores_are_those_of_the_calibration_functions():
    # The two that are compared job by job, against the functions that score all at once.
    chance = np.random.default_rng(3)
    probabilities, truth = chance.dirichlet(np.ones(4), 50), chance.integers(0, 4, 50)
    assert log_of_each(probabilities, truth).mean() == pytest.approx(log_score(probabilities, truth))
    assert brier_of_each(probabilities, truth).mean() == pytest.approx(brier_score(probabilities, truth))
