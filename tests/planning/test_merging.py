"""Outcomes taken together: nothing is lost where they say the same, and never more than was allowed."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from probewright.planning.information import information_gain
from probewright.planning.merging import merged_outcomes

BOUNDED = 1e-12


def problem(seed, *, hypotheses=12, courses=5, tests=30):
    """Random tests under a random belief: joint probabilities, starts, courses."""
    random = np.random.default_rng(seed)
    belief = random.dirichlet(np.full(hypotheses, 0.5))
    blocks = [random.dirichlet(np.full(n, 0.3), hypotheses).T * belief for n in random.integers(1, 8, tests)]
    starts = np.cumsum([0, *(len(block) for block in blocks)])
    return np.concatenate(blocks), starts, random.integers(0, courses, hypotheses)


def gains(joint, starts, courses):
    """Nats that each test tells of the course, by the planner's own reckoning."""
    which = (courses[:, None] == np.arange(courses.max() + 1)).astype(float)
    by_course = joint @ which
    return information_gain(by_course, starts[:-1], by_course[starts[0] : starts[1]].sum(axis=0))


def summed(joint, starts, groups):
    """The joint probabilities after merging, and their starts."""
    blocks = []
    for first, end in pairwise(starts):
        own = groups[first:end]
        blocks.append(np.stack([joint[first:end][own == k].sum(axis=0) for k in range(own.max() + 1)]))
    return np.concatenate(blocks), np.cumsum([0, *(len(block) for block in blocks)])


@pytest.mark.parametrize("adjacent", [False, True])
@pytest.mark.parametrize("seed", range(8))
def test_the_loss_is_what_the_information_drops_by(seed, adjacent):
    joint, starts, courses = problem(seed)
    found = merged_outcomes(joint, starts, courses, np.full(len(starts) - 1, adjacent), most=3, slack=0.01)
    after = gains(*summed(joint, starts, found.groups), courses)
    assert found.lost == pytest.approx(gains(joint, starts, courses) - after, abs=BOUNDED)
    assert found.lost.max() > 0


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("slack", [0.0, 0.005, 0.05])
def test_no_more_is_lost_than_was_allowed_where_the_number_is_free(seed, slack):
    joint, starts, courses = problem(seed)
    found = merged_outcomes(joint, starts, courses, np.zeros(len(starts) - 1, dtype=bool), most=99, slack=slack)
    assert found.lost.max() <= slack + BOUNDED
    finer = merged_outcomes(joint, starts, courses, np.zeros(len(starts) - 1, dtype=bool), most=99, slack=slack / 2)
    assert (found.groups <= finer.groups).all()


def test_no_more_groups_are_left_than_asked_for():
    joint, starts, courses = problem(3)
    for most in (1, 2, 4):
        found = merged_outcomes(joint, starts, courses, np.ones(len(starts) - 1, dtype=bool), most=most, slack=0.0)
        assert found.groups.max() <= most - 1
    assert found.groups.min() == 0


def test_proportional_outcomes_are_one_and_nothing_is_lost():
    random = np.random.default_rng(5)
    belief, likelihood = random.dirichlet(np.ones(6)), random.dirichlet(np.ones(3), 6).T
    # The second outcome split in two, at one ratio whatever is wrong.
    joint = np.stack([likelihood[0], 0.3 * likelihood[1], 0.7 * likelihood[1], likelihood[2]]) * belief
    found = merged_outcomes(joint, np.array([0, 4]), np.arange(6), np.array([True]), most=4, slack=1e-9)
    assert found.groups.tolist() == [0, 1, 1, 2]
    assert found.lost[0] == pytest.approx(0.0, abs=BOUNDED)


def test_outcomes_that_call_for_one_course_need_not_be_told_apart():
    joint = np.array([[0.4, 0.0, 0.0], [0.0, 0.3, 0.0], [0.0, 0.0, 0.3]])
    found = merged_outcomes(joint, np.array([0, 3]), np.array([0, 0, 1]), np.array([True]), most=4, slack=1e-9)
    assert found.groups.tolist() == [0, 0, 1]


def test_only_neighbours_of_a_measured_test_go_together():
    # The first and the last say the same, as readings far too low and far too high may.
    joint = np.array([[0.3, 0.0], [0.0, 0.4], [0.3, 0.0]])
    starts, courses = np.array([0, 3]), np.array([0, 1])
    assert merged_outcomes(joint, starts, courses, np.array([True]), slack=1e-9).groups.tolist() == [0, 1, 2]
    assert merged_outcomes(joint, starts, courses, np.array([False]), slack=1e-9).groups.tolist() == [0, 1, 0]


def test_groups_are_numbered_in_the_order_in_which_they_come_first():
    joint = np.array([[0.1, 0.1], [0.0, 0.3], [0.2, 0.0], [0.15, 0.15]])
    found = merged_outcomes(joint, np.array([0, 4]), np.array([0, 1]), np.array([False]), most=3, slack=0.0)
    assert found.groups.tolist() == [0, 1, 2, 0]


def test_a_belief_of_any_size_is_merged_alike():
    joint, starts, courses = problem(7)
    adjacent = np.ones(len(starts) - 1, dtype=bool)
    one = merged_outcomes(joint, starts, courses, adjacent, most=5, slack=0.02)
    other = merged_outcomes(8 * joint, starts, courses, adjacent, most=5, slack=0.02)
    assert one.groups.tolist() == other.groups.tolist()
    assert one.lost == pytest.approx(other.lost)


def test_an_outcome_that_never_happens_costs_nothing():
    joint = np.array([[0.5, 0.0], [0.0, 0.0], [0.0, 0.5]])
    found = merged_outcomes(joint, np.array([0, 3]), np.array([0, 1]), np.array([True]), slack=0.0)
    assert found.groups.tolist() == [0, 0, 1]
    assert found.lost.tolist() == [0.0]
