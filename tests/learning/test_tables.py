from __future__ import annotations

import pytest

from probewright.inference.store import ModelStore
from probewright.learning.tables import LEAST_LOOKS, ROW_WEIGHT, learn_rows
from probewright.packs.model import Table
from support.families import DOOR, DOOR_LOOSE, HEATS, a_test, chances, door_table, with_test


def looks(make_job, *outcomes, proven=("door_loose",), test="door", **more):
    """Jobs in which something was seen."""
    return [make_job(*proven, seen=((test, outcome),), **more) for outcome in outcomes]


def found(rows):
    return {(row.test, row.fault): row for row in rows.learned}


def test_a_row_becomes_the_posterior_mean_of_what_was_seen(store, make_job):
    seen = ["ajar"] * 9 + ["shut"] * 5 + ["gone"] * 6
    (row,) = learn_rows(looks(make_job, *seen), store).learned
    assert (row.test, row.fault, row.outcomes, row.looks) == ("door", "door_loose", ("shut", "ajar", "gone"), (5, 9, 6))
    wanted = [(ROW_WEIGHT * DOOR_LOOSE[o] + seen.count(o)) / (ROW_WEIGHT + 20) for o in row.outcomes]
    assert row.after == pytest.approx(wanted)
    assert row.before == pytest.approx(tuple(DOOR_LOOSE.values()))


def test_jobs_with_nothing_wrong_count_for_the_sound_row(store, make_job):
    (row,) = learn_rows(looks(make_job, *["shut"] * 12, proven=()), store).learned
    assert row.fault is None
    assert row.after[0] == pytest.approx((ROW_WEIGHT * DOOR["shut"] + 12) / (ROW_WEIGHT + 12))


@pytest.mark.parametrize("proven", [("door_loose", "link_open"), ("unknown",), ("heater_open",)])
def test_two_faults_something_unknown_and_faults_without_a_row_teach_nothing(store, make_job, proven):
    rows = learn_rows(looks(make_job, *["ajar"] * 30, proven=proven), store)
    assert (rows.learned, rows.few) == ((), ())


def test_a_row_with_few_looks_stays_as_it_is(store, make_job):
    rows = learn_rows(looks(make_job, *["ajar"] * (LEAST_LOOKS - 1)), store)
    assert not rows.learned
    assert [(row.test, row.fault, sum(row.looks)) for row in rows.few] == [("door", "door_loose", LEAST_LOOKS - 1)]


def test_a_row_whose_needs_are_met_is_learned(store, make_job):
    dark = looks(make_job, *["dark"] * 20, proven=("lamp_dirty",), test="lamp")
    assert ("lamp", "lamp_dirty") in found(learn_rows(dark, store))


def test_a_row_under_a_fault_that_cuts_what_the_test_needs_is_left_alone(make_job):
    by_fault = {"heater_open": chances(lit=0.5, dark=0.5), "lamp_dirty": chances(lit=0.3, dark=0.7)}
    lamp = Table(chances(lit=0.99, dark=0.01), by_fault, ((HEATS, "dark"),))
    family = with_test(a_test("lamp", "seen", lamp, states=("live",), command="heat", outcomes=("lit", "dark")))
    jobs = [
        job for fault in by_fault for job in looks(make_job, *["dark"] * 20, proven=(fault,), test="lamp")
    ]
    assert set(found(learn_rows(jobs, ModelStore(family)))) == {("lamp", "lamp_dirty")}


def test_each_table_learns_from_the_builds_that_it_is_for(make_job):
    own = {"style": "large"}
    family = with_test(a_test("door", "seen", door_table(when=own), door_table(), outcomes=("shut", "ajar", "gone")))
    store = ModelStore(family)
    large = looks(make_job, *["gone"] * 20, options=(("style", "large"),))
    small = looks(make_job, *["shut"] * 20, options=(("style", "small"),))
    unsure = looks(make_job, *["ajar"] * 20, options=())
    rows = {tuple(row.when.items()): row.looks for row in learn_rows(large + small + unsure, store).learned}
    assert rows == {(("style", "large"),): (0, 0, 20), (): (20, 0, 0)}
