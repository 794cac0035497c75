from __future__ import annotations

import numpy as np
import pytest

from probewright.simulation.statistics import mean, ratio, share


def test_a_share_has_wilsons_interval():
    # Wilson's interval for 8 of 10 by hand: (0.8 + 0.19207) / 1.38415 -+ 1.959964 sqrt(0.016 + 0.0096036) / 1.38415.
    found = share(8, 10)
    assert found.value == pytest.approx(0.8)
    assert (found.low, found.high) == pytest.approx((0.490162, 0.943318), abs=2e-5)


def test_all_of_some_leaves_room_for_doubt():
    found = share(50, 50)
    assert found.high == pytest.approx(1.0)
    # z^2 / (n + z^2)
    assert found.low == pytest.approx(50 / (50 + 3.841459), abs=1e-6)


def test_a_share_of_nothing_is_open():
    assert share(0, 0) == (0.0, 0.0, 1.0)


def test_a_mean_has_a_normal_interval():
    found = mean(np.array([1.0, 2.0, 3.0, 4.0]))
    half = 1.959964 * (5 / 3) ** 0.5 / 2
    assert found == pytest.approx((2.5, 2.5 - half, 2.5 + half))


def test_a_single_number_has_no_interval():
    assert mean(np.array([7.0])) == (7.0, 7.0, 7.0)
    assert mean(np.array([])) == (0.0, 0.0, 0.0)


def test_a_ratio_of_the_same_jobs_is_certain_however_much_they_scatter():
    jobs = np.random.default_rng(0).lognormal(5, 1, 200)
    assert ratio(0.6 * jobs, jobs, 1) == pytest.approx((0.6, 0.6, 0.6))


def test_an_interval_of_a_ratio_covers_it_about_as_often_as_it_says():
    chance = np.random.default_rng(4)
    hits = 0
    for trial in range(200):
        jobs = chance.gamma(4.0, 25.0, (2, 60))
        found = ratio(jobs[0], jobs[1], trial)
        hits += found.low <= 1.0 <= found.high
    assert hits / 200 == pytest.approx(0.95, abs=0.05)
