"""Cuts of a reading's axis: where they lie, how few they are, and that no order of declarations changes them."""

from __future__ import annotations

from math import erf, log, sqrt

import numpy as np
import pytest

from probewright.inference.cuts import MOST_OUTCOMES, candidates, choose, information, middle
from probewright.inference.outcomes import Tables, shared_stacks
from probewright.inference.reading_axis import normal_cdf
from probewright.inference.store import ModelStore
from probewright.packs.model import Family
from support.families import HEATER, IN_SERIES, SMALL, VOLTS, WEAK, case, warmer


def stepped(classes):
    """Classes that read one value each, with a normal deviation of 1: probability of lying under edges."""
    values = np.array(classes, dtype=float)
    return lambda edges: normal_cdf(np.asarray(edges, dtype=float)[None, :] - values[:, None])


def tables_of(family: Family, **options: str) -> Tables:
    opened = ModelStore(family).open_builds(case(options=SMALL | options))
    assert opened is not None
    return Tables(opened.builds[0].compiled)


def test_the_normal_distribution_function():
    z = np.linspace(-9, 9, 2001)
    exact = np.array([0.5 * (1 + erf(x / sqrt(2))) for x in z])
    assert np.abs(normal_cdf(z) - exact).max() < 1e-7
    assert normal_cdf(np.array([-np.inf, np.inf])).tolist() == [0.0, 1.0]


def test_information_of_a_split_by_hand():
    weights = np.array([[0.5, 0.0], [0.0, 0.5]])
    assert information(np.array([[1.0], [0.0]]), weights) == pytest.approx(log(2))
    assert information(np.array([[0.3], [0.3]]), weights) == pytest.approx(0.0, abs=1e-15)
    # A binary symmetric channel of one tenth: ln 2 less its entropy.
    entropy = -(0.9 * log(0.9) + 0.1 * log(0.1))
    assert information(np.array([[0.9], [0.1]]), weights) == pytest.approx(log(2) - entropy)


def test_two_courses_are_parted_midway_by_a_round_number():
    reached, weights = stepped([0.0, 20.0]), np.diag([0.5, 0.5])
    places = candidates(np.array([[0.0], [20.0]]), lambda _: 1.0, ())
    assert choose(places, reached, weights, ()) == (10.0,)


def test_what_the_same_repair_cures_is_not_parted():
    reached, weights = stepped([0.0, 20.0, 40.0]), np.array([[0.4, 0.0], [0.3, 0.0], [0.0, 0.3]])
    places = candidates(np.array([[0.0], [20.0], [40.0]]), lambda _: 1.0, ())
    assert choose(places, reached, weights, ()) == (30.0,)


def test_nothing_to_tell_means_no_cut():
    places = candidates(np.array([[0.0], [20.0]]), lambda _: 1.0, ())
    assert choose(places, stepped([0.0, 20.0]), np.array([[0.5], [0.5]]), ()) == ()
    assert choose(places, stepped([5.0, 5.0]), np.diag([0.5, 0.5]), ()) == ()


def test_a_known_limit_is_taken_where_it_tells_as_much():
    reached, weights = stepped([0.0, 20.0]), np.diag([0.5, 0.5])
    places = candidates(np.array([[0.0], [20.0]]), lambda _: 1.0, (13.37,))
    assert choose(places, reached, weights, (13.37,)) == (13.37,)
    # Elsewhere it parts hardly anything: people look for it all the same, and a better cut is made beside it.
    places = candidates(np.array([[0.0], [20.0]]), lambda _: 1.0, (-1.0,))
    assert choose(places, reached, weights, (-1.0,)) == (-1.0, 10.0)


def test_many_courses_make_no_more_outcomes_than_anybody_reads():
    count = 12
    values = 10.0 * np.arange(count)
    places = candidates(values[:, None], lambda _: 1.0, ())
    edges = choose(places, stepped(values), np.eye(count) / count, ())
    assert len(edges) == MOST_OUTCOMES - 1
    assert list(edges) == sorted(edges)


def test_the_middle_of_numbers_far_apart_is_geometric():
    assert middle(1.0, 2.0) == 1.5
    assert middle(1.0, 100.0) == 10.0
    assert middle(-1.0, 100.0) == 49.5


def test_a_weak_heater_is_parted_from_a_sound_and_from_an_open_one():
    sound = VOLTS / (HEATER["small"] + IN_SERIES)
    weak = VOLTS / (WEAK * HEATER["small"] + IN_SERIES)
    tables = tables_of(warmer())
    edges = tables.cuts()["heater_current"]
    assert sum(weak < edge < sound for edge in edges) == 1
    assert any(0.1 < edge < weak for edge in edges)
    stack = tables.stack(0.01)
    given = stack.given[:, stack.places["heater_current"].columns]
    assert given.sum(axis=1) == pytest.approx(1.0)
    faults = ("none", *tables.compiled.hypotheses.faults)
    shown = {fault: int(given[i].argmax()) for i, fault in enumerate(faults)}
    assert len({shown["none"], shown["heater_weak"], shown["heater_open"]}) == 3
    assert shown["no_supply"] == shown["heater_open"] == 0


def test_misreading_leaves_no_outcome_impossible():
    tables = tables_of(warmer())
    sure, doubted = tables.stack(0.0), tables.stack(0.1)
    at = sure.places["heater_current"].columns
    assert sure.given[0, at].min() < 1e-6
    assert doubted.given[0, at].min() > 1e-4


def test_cuts_do_not_depend_on_the_order_of_declarations():
    family = warmer()
    turned = warmer(
        tests=family.tests[::-1], faults=family.faults[::-1], repairs=family.repairs[::-1], parts=family.parts[::-1]
    )
    assert tables_of(turned).cuts() == tables_of(family).cuts()


def test_builds_share_their_cuts_and_keep_their_probabilities():
    family = warmer()
    small, large = tables_of(family), tables_of(family, style="large")
    assert small.cuts()["heater_current"] != large.cuts()["heater_current"]
    shared = shared_stacks([small, large], 0.01)
    assert shared[0].places == shared[1].places
    joint = set(shared[0].places["heater_current"].edges)
    assert joint >= set(small.cuts()["heater_current"])
    for own, stack in zip((small.stack(0.01), large.stack(0.01)), shared, strict=True):
        # Where a build's own cuts all stay, its outcomes are those of the finer split put together.
        kept, place = own.places["heater_current"], stack.places["heater_current"]
        if not set(kept.edges) <= joint:
            continue
        group = np.searchsorted(kept.edges, [*place.edges, np.inf], side="left")
        summed = np.zeros((len(own.given), len(kept.edges) + 1))
        for column, into in enumerate(group.tolist()):
            summed[:, into] += stack.given[:, place.start + column]
        assert summed == pytest.approx(own.given[:, kept.columns], abs=1e-12)
    assert shared_stacks([small, small], 0.01)[0] is small.stack(0.01, supply_known=False)


def test_a_known_supply_sharpens_what_follows_it():
    tables = tables_of(warmer())
    place = tables.stack(0.0).places["heater_current"]
    loose, sharp = tables.stack(0.0), tables.stack(0.0, supply_known=True)
    assert sharp.places["heater_current"] == place
    assert sharp.given[0, place.columns].max() >= loose.given[0, place.columns].max()
