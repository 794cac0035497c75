from __future__ import annotations

from collections import Counter
from statistics import fmean, pstdev

import pytest

from probewright.simulation.luck import Luck


def test_a_draw_depends_on_its_name_alone():
    first, second = Luck(3, 7), Luck(3, 7)
    second.uniform("something else")
    assert first.uniform("stray", "glow", 1) == second.uniform("stray", "glow", 1)


@pytest.mark.parametrize("other", [Luck(4, 7), Luck(3, 8)])
def test_seeds_and_jobs_differ(other):
    assert Luck(3, 7).uniform("stray") != other.uniform("stray")


def test_names_are_not_run_together():
    names = (("a", "bc"), ("ab", "c"), ("abc",), ("a", "b", "c"))
    assert len({Luck(0, 0).uniform(*name) for name in names}) == 4


def test_what_is_known_already_is_not_drawn():
    assert Luck(0, 0, {("works", "heats"): 0.25}).uniform("works", "heats") == 0.25


def test_numbers_are_spread_evenly():
    drawn = [Luck(1, job).uniform("even") for job in range(4000)]
    assert min(drawn) > 0
    assert max(drawn) < 1
    assert fmean(drawn) == pytest.approx(0.5, abs=4 * (1 / 12 / 4000) ** 0.5)
    assert pstdev(drawn) == pytest.approx((1 / 12) ** 0.5, abs=0.01)


def test_normal_numbers_are_standard():
    drawn = [Luck(1, job).normal("bell") for job in range(4000)]
    assert fmean(drawn) == pytest.approx(0.0, abs=4 / 4000**0.5)
    assert pstdev(drawn) == pytest.approx(1.0, abs=0.05)


def test_weights_are_picked_as_often_as_they_weigh():
    picked = Counter(Luck(2, job).pick([1.0, 0.0, 3.0], "pick") for job in range(4000))
    assert picked[1] == 0
    assert picked[2] / 4000 == pytest.approx(0.75, abs=4 * (0.75 * 0.25 / 4000) ** 0.5)


def test_the_last_weight_that_counts_is_picked_when_rounding_leaves_nothing():
    assert Luck(0, 0, {("pick",): 1.0}).pick([0.3, 0.7, 0.0], "pick") == 1
