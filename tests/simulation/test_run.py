from __future__ import annotations

import json
import os
import signal
from dataclasses import replace

import orjson
import pytest

from probewright.calibration import expected_calibration_error
from probewright.errors import EngineError, Fault, InvalidCase
from probewright.settings import Settings
from probewright.simulation import POLICIES, Plan, document, run, simulate, text
from probewright.simulation.believed import held
from probewright.simulation.plot import save
from probewright.simulation.run import GROUP

SETTINGS = Settings()


def told(pack, plan, workers=1):
    return document(pack, SETTINGS, plan, simulate(pack, SETTINGS, plan, workers))


@pytest.fixture(scope="module")
def plan():
    return Plan(jobs=GROUP + 5, seed=4, perturb=True, policies=("planner", "informed", "checklist", "likeliest"))


@pytest.fixture(scope="module")
def results(toy, plan):
    return simulate(toy, SETTINGS, plan)


def test_the_same_seed_gives_the_same_bytes_whatever_the_number_of_workers(toy, plan, results):
    once = orjson.dumps(document(toy, SETTINGS, plan, results))
    assert orjson.dumps(told(toy, plan, workers=2)) == once
    assert orjson.dumps(told(toy, plan, workers=1)) == once


def test_another_seed_gives_other_jobs(toy, plan, results):
    other = simulate(toy, SETTINGS, Plan(plan.jobs, 5, perturb=True, policies=("likeliest",)))
    assert [job.wrong for job in other["likeliest"]] != [job.wrong for job in results["likeliest"]]


def test_a_job_does_not_depend_on_how_many_follow_it(toy, plan, results):
    few = simulate(toy, SETTINGS, Plan(10, plan.seed, perturb=True, policies=("checklist",)))
    assert few["checklist"] == results["checklist"][:10]


def test_all_policies_meet_the_same_jobs(results):
    seen = {name: [(job.job, job.wrong, job.curable, job.hazardous) for job in jobs] for name, jobs in results.items()}
    assert list(seen) == ["planner", "informed", "checklist", "likeliest"]
    assert all(jobs == seen["planner"] for jobs in seen.values())


def test_only_perturbed_worlds_can_be_told_of(toy):
    plan = Plan(5, policies=("planner", "informed"))
    assert list(simulate(toy, SETTINGS, plan)) == ["planner"]


def test_the_document_adds_up(toy, plan, results):
    found = document(toy, SETTINGS, plan, results)
    assert (found["jobs"], found["worlds"], found["misread_rate"]) == (plan.jobs, 2, 0.03)
    for name, numbers in found["policies"].items():
        jobs = results[name]
        due = [job for job in jobs if job.curable and not job.hazardous]
        assert found["curable"] == len(due)
        fixed = sum(job.first_visit for job in due)
        assert numbers["fixed_at_first_visit"]["value"] == pytest.approx(fixed / len(due), abs=1e-4)
        assert numbers["cost"]["value"] == pytest.approx(sum(job.cost for job in jobs) / len(jobs), abs=1e-4)
        assert sum(numbers["ended"].values()) == plan.jobs
        assert sum(e["jobs"] for e in numbers["not_fixed_by_fault"]) <= len(due) - fixed
    costs = {name: sum(job.cost for job in jobs) for name, jobs in results.items()}
    ratio = found["cost_ratios"]["planner/checklist"]
    assert ratio["value"] == pytest.approx(costs["planner"] / costs["checklist"], abs=1e-4)
    assert ratio["low"] <= ratio["value"] <= ratio["high"]
    assert set(found["cost_ratios"]) == {"planner/checklist", "planner/likeliest", "planner/informed"}


def test_confusions_are_the_most_frequent_first(toy, plan, results):
    swaps = document(toy, SETTINGS, plan, results)["policies"]["likeliest"]["good_parts_swapped_by_fault"]
    assert swaps
    assert [e["jobs"] for e in swaps] == sorted((e["jobs"] for e in swaps), reverse=True)
    assert all(e["repair"] == "replace_heater" for e in swaps)


def test_a_person_is_told_in_a_table(toy, plan, results):
    found = document(toy, SETTINGS, plan, results)
    lines = text(json.loads(orjson.dumps(found))).splitlines()
    assert lines[0] == f"{plan.jobs} simulated jobs of warmer 1.0.0 in perturbed worlds, seed 4"
    fixed = found["policies"]["planner"]["fixed_at_first_visit"]["value"]
    assert next(line for line in lines if line.startswith("planner  ")).split()[1] == f"{fixed:.1%}"
    assert any(line.startswith("cost, planner over checklist: ") for line in lines)
    assert max(map(len, lines)) <= 140


def test_a_picture_is_written(toy, plan, results, tmp_path):
    found, path = document(toy, SETTINGS, plan, results), tmp_path / "jobs.png"
    save(found, results, path)
    first = path.read_bytes()
    assert first.startswith(b"\x89PNG\r\n")
    save(found, results, path)
    assert path.read_bytes() == first


def test_parts_on_the_van_matter(toy):
    plans = [Plan(40, 2, policies=("likeliest",), on_hand=parts) for parts in (None, ("heater",), ())]
    fixed = [told(toy, plan)["policies"]["likeliest"]["fixed_at_first_visit"]["value"] for plan in plans]
    assert fixed[0] == fixed[1] > fixed[2]


def test_the_van_can_be_loaded_for_each_case(toy):
    plan = Plan(40, 2, policies=("likeliest",))
    asked = []

    def carry(case):
        asked.append(case)
        return ("heater",) if "cold" in case.complaints else ()

    loaded = simulate(toy, SETTINGS, plan, carry=carry)["likeliest"]
    everything, nothing = (simulate(toy, SETTINGS, replace(plan, on_hand=on))["likeliest"] for on in (None, ()))
    assert len(asked) == 40
    assert not any(case.readings for case in asked)
    cold = ["cold" in case.complaints for case in asked]
    assert [job for job, chosen in zip(loaded, cold, strict=True) if chosen] == [
        job for job, chosen in zip(everything, cold, strict=True) if chosen]  # fmt: skip
    assert [job for job, chosen in zip(loaded, cold, strict=True) if not chosen] == [
        job for job, chosen in zip(nothing, cold, strict=True) if not chosen]  # fmt: skip


def test_the_gas_range_is_played(gas_range):
    plan = Plan(10, 1, policies=("planner", "checklist", "likeliest"))
    results = simulate(gas_range, SETTINGS, plan)
    repairs = {repair.id for repair in gas_range.family.repairs}
    assert {job.steps[0] for job in results["likeliest"] if job.steps} <= repairs
    numbers = document(gas_range, SETTINGS, plan, results)["policies"]
    assert numbers["planner"]["tests"]["value"] > 0
    assert numbers["planner"]["minutes"]["value"] < numbers["checklist"]["minutes"]["value"]


def test_policies_are_named_once():
    assert len(set(POLICIES)) == len(POLICIES)


def test_what_the_planner_believed_is_kept_when_it_is_asked_for(toy):
    plan = Plan(6, 4, policies=("planner", "checklist"), forecasts=True)
    asked = simulate(toy, SETTINGS, plan)
    assert all(job.decided and job.left for job in asked["planner"])
    assert not any(job.decided or job.left for job in asked["checklist"])
    unasked = simulate(toy, SETTINGS, replace(plan, forecasts=False))
    assert unasked["planner"] == tuple(replace(job, decided=None, left=None) for job in asked["planner"])


def test_the_calibration_error_is_that_of_what_the_planner_believed(toy):
    plan = Plan(40, 4, policies=("planner",), forecasts=True)
    results = simulate(toy, SETTINGS, plan)
    found = document(toy, SETTINGS, plan, results)
    believed = held(results["planner"], "decided", tuple(fault.id for fault in toy.family.faults))
    assert found["calibration"]["jobs"] == len(believed.truth) > 20
    error = expected_calibration_error(believed.probabilities, believed.truth)
    assert found["calibration"]["error"] == pytest.approx(error, abs=1e-4)
    assert found["calibration"]["null_95"] > 0
    assert f"calibration error at the planner's first repair: {error:.3f}" in text(found)
    silent = replace(plan, forecasts=False)
    unasked = document(toy, SETTINGS, silent, simulate(toy, SETTINGS, silent))
    assert unasked["calibration"] is None
    assert "calibration" not in text(unasked)


@pytest.mark.parametrize("workers", [1, 2])
def test_a_job_that_is_refused_ends_the_run_and_is_told(toy, monkeypatch, workers):
    def refused(*_):
        raise InvalidCase([Fault("/options", "no such appliance")])

    monkeypatch.setattr(run, "draw", refused)
    with pytest.raises(EngineError, match="a simulated job is refused: /options: no such appliance"):
        simulate(toy, SETTINGS, Plan(2 * GROUP, 4, policies=("planner",)), workers)


class Task:
    """Something else for workers to do."""

    def __init__(self, group):
        self.group = group


def test_of_an_interrupt_only_the_process_that_was_started_speaks():
    before = signal.getsignal(signal.SIGINT)
    asked = run._in_processes(Task(lambda number: (number, signal.getsignal(signal.SIGINT))), range(11), 2)
    assert asked == [(number, signal.SIG_DFL) for number in range(11)]
    assert signal.getsignal(signal.SIGINT) == before


def test_a_worker_that_is_ended_ends_the_run():
    with pytest.raises(EngineError, match="a process that plays jobs was ended"):
        run._in_processes(Task(lambda number: os._exit(9)), range(3), 2)
