"""Simulation and inference are two views of one model: what is believed with 80 % is so in 80 % of the jobs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from probewright import engine
from probewright.settings import Settings
from probewright.simulation.draw import Omissions, draw
from probewright.simulation.readings import Taking, take
from probewright.simulation.world import World


def forecasts(pack, world, jobs, tests):
    """For each job the probability of the likeliest fault, and whether it is there, after some readings."""
    chances, present = [], []
    for number in range(jobs):
        job = draw(world, 21, number, Omissions())
        here = [t for t in world.compiled(job.options).tests.values() if not t.closing]
        chosen = {job.luck.below(len(here), "chosen", k) for k in range(tests)}
        readings = tuple(take(world, job, job.wrong, Taking(here[i], 0)) for i in sorted(chosen))
        answer = engine.diagnose(replace(job.case, readings=readings, effort="none"), pack, Settings())
        for ranked in answer.faults[:1]:
            chances.append(ranked.probability)
            present.append(ranked.fault in job.wrong.faults)
    return np.array(chances), np.array(present, dtype=float)


def deviations(chances, present):
    """How far the hits are from what was forecast, in standard deviations of a calibrated forecaster."""
    return float((present - chances).sum() / np.sqrt((chances * (1 - chances)).sum()))


def calibration_error(chances, present, bins=5):
    """Expected calibration error over bins of equal numbers."""
    order = np.argsort(chances, kind="stable")
    parts = [(chances[i], present[i]) for i in np.array_split(order, bins)]
    return sum(abs(p.mean() - h.mean()) * len(p) for p, h in parts) / len(chances)


def null(chances, measure, seed=0, times=400):
    """The measure for outcomes drawn from the forecasts themselves."""
    chance = np.random.default_rng(seed)
    return np.array([measure(chances, (chance.random(len(chances)) < chances).astype(float)) for _ in range(times)])


CASES = [("toy", 800, 0), ("toy", 800, 2), ("toy", 800, 5), ("range", 250, 0), ("range", 250, 4), ("range", 250, 10)]


@pytest.mark.parametrize(("family", "jobs", "tests"), CASES)
def test_the_likeliest_fault_is_there_as_often_as_it_is_said(request, family, jobs, tests):
    pack = request.getfixturevalue("toy" if family == "toy" else "gas_range")
    world = World(pack.family, Settings().misread_rate)
    chances, present = forecasts(pack, world, jobs, tests)
    assert abs(deviations(chances, present)) < 3.5
    assert calibration_error(chances, present) < np.quantile(null(chances, calibration_error), 0.999)


def kinds(pack, world, jobs):
    """Of each job what the call says of nothing, something unknown and two faults, and whether it is so."""
    said, so = [], []
    for number in range(jobs):
        job = draw(world, 23, number, Omissions())
        found = engine.forecast(job.case, pack, Settings())
        said.append((found.none, found.unknown, found.two))
        so.append((job.wrong.name == "nothing wrong", job.wrong.unknown, len(job.wrong.faults) > 1))
    return np.array(said), np.array(so, dtype=float)


@pytest.mark.parametrize(("family", "jobs"), [("toy", 2000), ("range", 3000)])
def test_a_call_foretells_how_often_nothing_something_unknown_and_two_faults_are_behind_it(request, family, jobs):
    pack = request.getfixturevalue("toy" if family == "toy" else "gas_range")
    said, so = kinds(pack, World(pack.family, Settings().misread_rate), jobs)
    for chances, present in zip(said.T, so.T, strict=True):
        assert abs(deviations(chances, present)) < 3.0


def test_too_sure_a_forecaster_is_found_out():
    chances = np.linspace(0.3, 0.7, 400)
    hits = (np.random.default_rng(1).random(400) < chances).astype(float)
    surer = np.clip(chances + 0.25, 0, 1)
    assert abs(deviations(surer, hits)) > 3.5
    assert calibration_error(surer, hits) > np.quantile(null(surer, calibration_error), 0.999)
