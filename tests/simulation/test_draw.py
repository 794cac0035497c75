from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from probewright.errors import PackModelError
from probewright.figures import invented
from probewright.inference.compiled import UNKNOWN_LEAVES_READING
from probewright.inference.configurations import configurations
from probewright.packs.model import Complaint, Interlock
from probewright.simulation.draw import CONFIRMED, MENTIONED, Omissions, draw
from probewright.simulation.world import World
from support.families import warmer

JOBS = 1500


@pytest.fixture(scope="module")
def jobs(toy_world):
    return [draw(toy_world, 11, number, Omissions()) for number in range(JOBS)]


def expected(world):
    """Shares of (build, first complaint, hypothesis) among the calls, averaged over all supplies."""
    shares = Counter()
    for configuration in configurations(world.family, {}):
        options = tuple(sorted(configuration.options.items()))
        compiled = world.compiled(options)
        prior = np.exp(compiled.hypotheses.log_prior)
        names = ["+".join(faults) for faults in compiled.hypotheses.sets()] + ["unknown"]
        for complaint in compiled.complaints:
            chances = np.mean([compiled.complained(complaint, volts) for volts in world.volts], axis=0)
            for name, weight in zip(names, prior * chances, strict=True):
                shares[options, complaint, name] += configuration.share * float(weight)
    total = sum(shares.values())
    return {key: share / total for key, share in shares.items()}


def name_of(job):
    return "unknown" if job.wrong.unknown else "+".join(job.wrong.faults)


def test_builds_faults_and_complaints_are_as_frequent_as_the_model_says(toy_world, jobs):
    told = expected(toy_world)
    seen = Counter((job.options, job.case.complaints[0], name_of(job)) for job in jobs)
    assert set(seen) <= set(told)
    likely = {key: share for key, share in told.items() if share * JOBS >= 10}
    assert len(likely) > 12
    squares = [(seen[key] - share * JOBS) ** 2 / (share * JOBS) for key, share in likely.items()]
    # Chi-square: mean n, variance 2 n.
    assert sum(squares) < len(squares) + 4 * (2 * len(squares)) ** 0.5


def test_every_complaint_stands_on_the_appliance(toy_world, jobs):
    assert all(toy_world.stands(job, job.wrong, complaint) for job in jobs for complaint in job.case.complaints)


def test_a_complaint_goes_when_its_cause_goes(toy_world, jobs):
    caused = [job for job in jobs if job.wrong.faults == ("heater_open",) and job.case.complaints[0] == "cold"]
    left = [toy_world.stands(job, job.wrong.without(["heater_open"]), "cold") for job in caused]
    assert len(caused) > 50
    # Now and then the function fails anyway, or the complaint had no ground.
    assert sum(left) < 0.1 * len(left)


def test_some_of_what_works_is_told(toy_world, jobs):
    asked = [job for job in jobs if "rattles" in job.case.complaints and toy_world.works(job, job.wrong, "heats")]
    told = sum("heats" in job.case.working for job in asked if "cold" not in job.case.complaints)
    of = sum("cold" not in j.case.complaints and "cold_and_smells" not in j.case.complaints for j in asked)
    assert told / of == pytest.approx(0.97 * CONFIRMED, abs=0.12)


def test_whoever_is_asked_says_as_often_that_it_fails_as_that_it_works(toy_world):
    # Given that it fails, a complaint of it comes up as often as the word that it works, given that it does.
    drawn = [draw(toy_world, 5, number, Omissions()) for number in range(4000)]
    called = [job for job in drawn if job.case.complaints[0] == "rattles"]
    fails = [job for job in called if not toy_world.works(job, job.wrong, "heats")]
    stands = [job for job in fails if toy_world.stands(job, job.wrong, "cold")]
    told = sum("cold" in job.case.complaints for job in stands) / len(stands)
    assert len(stands) > 150
    assert told == pytest.approx(CONFIRMED, abs=4 * (0.21 / len(stands)) ** 0.5)


def test_nobody_is_asked_about_a_function_that_no_complaint_is_of(toy_world, jobs):
    assert any("stays_shut" in toy_world.compiled(job.options).functions for job in jobs)
    assert not any("stays_shut" in job.case.working for job in jobs)


def test_what_nobody_asks_about_comes_up_only_where_that_is_wanted(toy_world):
    for unasked, least, most in ((0.0, 0, 0), (float(MENTIONED), 20, 2000)):
        drawn = [draw(toy_world, 11, number, Omissions(unasked=unasked)) for number in range(JOBS)]
        assert least <= sum("rattles" in job.case.complaints[1:] for job in drawn) <= most


def test_the_supply_that_is_told_is_a_reading_of_it(range_world):
    # Now and then it is misread, and something unknown may disturb it, as the engine takes it to be.
    jobs = [draw(range_world, 4, number, Omissions()) for number in range(1500)]
    off = [job for job in jobs if abs(told_volts(job) - range_world.supply_voltage(job, job.wrong)) > 3.0]
    unknown = [job for job in off if job.wrong.unknown]
    of_unknown = sum(job.wrong.unknown for job in jobs)
    assert 3 <= len(off) - len(unknown) <= 40
    assert len(unknown) / of_unknown == pytest.approx(1 - UNKNOWN_LEAVES_READING, abs=0.2)


def told_volts(job):
    return job.case.conditions.supply_voltage.value


def test_nothing_is_told_to_work_that_was_complained_of(jobs):
    assert not any("heats" in job.case.working for job in jobs if "cold" in job.case.complaints)


def test_everything_is_told_in_the_models_own_world(jobs):
    assert all(dict(job.case.options) == dict(job.options) for job in jobs)
    assert all(job.case.conditions.ambient and job.case.conditions.supply_voltage for job in jobs)
    assert all(15 <= job.ambient <= 25 for job in jobs)


def test_omissions_are_as_frequent_as_asked_for(toy_world):
    some = [draw(toy_world, 11, number, Omissions(0.5, 0.4, 0.15)) for number in range(400)]
    spread = 4 * (0.25 / 400) ** 0.5
    assert sum(job.case.conditions.ambient is None for job in some) / 400 == pytest.approx(0.5, abs=spread)
    assert sum(job.case.conditions.supply_voltage is None for job in some) / 400 == pytest.approx(0.4, abs=spread)
    given = sum(len(job.case.options) for job in some) / sum(len(job.options) for job in some)
    assert given == pytest.approx(0.85, abs=spread)


def test_calls_that_stop_on_the_telephone_are_left_out(toy):
    lock = Interlock("noise", "Noise", "stop", "It may fly apart.", complaints=("rattles",))
    world = World(warmer(interlocks=(lock,)), 0.01)
    told = {c for number in range(60) for c in draw(world, 3, number, Omissions()).case.complaints}
    assert "rattles" not in told
    assert "cold" in told


def test_a_family_that_nobody_complains_of_is_told():
    mute = Complaint("mute", "Nothing", invented(0.0), shown_by={})
    with pytest.raises(PackModelError, match="none raised a complaint"):
        draw(World(warmer(complaints=(mute,)), 0.01), 0, 0, Omissions())


def test_the_same_seed_draws_the_same_job(toy_world):
    again = World(toy_world.family, 0.01)
    assert draw(toy_world, 2, 9, Omissions()) == draw(again, 2, 9, Omissions())
    assert draw(toy_world, 2, 9, Omissions()) != draw(toy_world, 3, 9, Omissions())
