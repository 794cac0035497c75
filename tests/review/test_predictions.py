"""Distances between what tests show, held against sums done by hand."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest

from probewright.inference.configurations import Configuration
from probewright.inference.situation import SUPPLY_UNCERTAINTY
from probewright.review.predictions import best_of, variation
from probewright.review.subject import MOST_BUILDS, Subject, covering
from support.lantern import lantern


def far(build, test: str, first: str, second: str) -> float:
    """How far apart a test shows two faults; an empty name is no fault."""
    place = {"": 0, **{fault: i for i, fault in enumerate(build.faults, start=1)}}
    pair = [np.array([place[name]]) for name in (first, second)]
    return float(build.tests[test].between(*pair)[0])


@pytest.fixture(scope="module")
def build():
    return Subject(lantern()).builds[0]


def test_of_a_table_the_distance_is_half_the_sum_of_the_differences(build):
    assert far(build, "glass", "", "filament_open") == pytest.approx(0.5 * (0.65 + 0.56 + 0.09))


def test_readings_that_never_meet_are_one_apart_and_the_same_readings_nothing(build):
    assert far(build, "filament_resistance", "", "filament_open") == pytest.approx(1.0, abs=1e-3)
    assert far(build, "filament_resistance", "", "shade_crooked") == 0.0
    assert far(build, "lamp_current", "fuse_open", "filament_open") == pytest.approx(0.0, abs=1e-6)


def test_readings_that_overlap_are_as_far_apart_as_their_densities():
    """Two normal distributions of one width: the distance is 2 Phi(d / 2) - 1, d their distance in widths."""
    edges = np.linspace(-8, 8, 4001)
    cdf = np.array([[NormalDist(mean, 1.0).cdf(x) for x in edges] for mean in (0.0, 1.0)])
    chances = np.diff(cdf, axis=1, prepend=0.0, append=1.0)
    assert variation(chances)[0, 1] == pytest.approx(2 * NormalDist().cdf(0.5) - 1, abs=1e-4)


def test_a_supply_that_is_measured_does_not_blur_a_current(build):
    """A weak filament of 1.5 to 2 times 49.8 ohm takes 1.0 to 1.3 A, a sound one 2 A to a few per cent."""
    assert float(SUPPLY_UNCERTAINTY) < 0.01
    assert far(build, "lamp_current", "", "filament_weak") == pytest.approx(1.0, abs=1e-3)


def test_the_best_test_counts(build):
    one = np.array([1, 1])
    other = np.array([2, 3])
    tests = list(build.tests.values())
    whole = best_of(tests, one, other, enough=2.0)
    by_test = np.max([test.between(one, other) for test in tests], axis=0)
    assert whole == pytest.approx(by_test)
    enough = best_of(tests, one, other, enough=0.3)
    assert ((enough >= 0.3) == (by_test >= 0.3)).all()


def test_some_builds_stand_for_all_where_there_are_too_many():
    """Six options of three values have 729 builds; every pair of values is in some of those that are chosen."""
    values = {f"o{i}": ("a", "b", "c") for i in range(6)}
    rng = np.random.default_rng(4)
    builds = [Configuration({o: str(rng.choice(v)) for o, v in values.items()}, 1 / 300) for _ in range(300)]
    chosen = covering(builds)
    assert len(chosen) <= MOST_BUILDS

    def pairs(found):
        return {(a, b) for c in found for a in c.options.items() for b in c.options.items() if a < b}

    assert len(pairs(chosen)) >= 0.95 * len(pairs(builds))

