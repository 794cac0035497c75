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


def forecasts(pack, world, jobs, tests, *, first_only):
    """For each job the probability of the likeliest fault, and whether it is there, after some readings.

    ``first_only``: as if the customer had said the first thing alone.  The warmer has two complaints about one
    function, which the engine takes as independent.
    """
    chances, present = [], []
    for number in range(jobs):
        job = draw(world, 21, number, Omissions())
        if first_only:
            job = replace(job, case=replace(job.case, complaints=job.case.complaints[:1], working=()))
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
    chances, present = forecasts(pack, world, jobs, tests, first_only=family == "toy")
    assert abs(deviations(chances, present)) < 3.5
    assert calibration_error(chances, present) < np.quantile(null(chances, calibration_error), 0.999)


def test_too_sure_a_forecaster_is_found_out():
    chances = np.linspace(0.3, 0.7, 400)
    hits = (np.random.default_rng(1).random(400) < chances).astype(float)
    surer = np.clip(chances + 0.25, 0, 1)
    assert abs(deviations(surer, hits)) > 3.5
    assert calibration_error(surer, hits) > np.quantile(null(surer, calibration_error), 0.999)
