"""What a test shows with two faults at once, made of what it shows with each."""

from __future__ import annotations

import numpy as np
import pytest

from probewright.planning.belief import OutcomeTable
from probewright.planning.pairs import pair_rows

HEALTHY = np.array([0.97, 0.02, 0.01])
MILD, SEVERE = np.array([0.1, 0.8, 0.1]), np.array([0.1, 0.1, 0.8])
SEEN = OutcomeTable(("good", "fair", "bad"), np.stack([HEALTHY, MILD, SEVERE]))
MEASURED = OutcomeTable(
    ("under 1 A", "1 to 2 A", "over 2 A"), np.stack([HEALTHY[[1, 0, 2]], MILD, SEVERE]), (1.0, 2.0), "A"
)
GONE, FEW, MANY = np.array([0.99, 0.005, 0.005]), np.array([0.6, 0.35, 0.05]), np.array([0.05, 0.35, 0.6])


def test_of_what_is_seen_the_later_outcome_is():
    # By hand: good 0.1 x 0.1, at most fair 0.9 x 0.2.
    assert pair_rows(SEEN, MILD, SEVERE) == pytest.approx([0.01, 0.17, 0.82])


@pytest.mark.parametrize("table", [SEEN, MEASURED])
def test_a_fault_that_the_test_does_not_see_leaves_the_other_as_it_is(table):
    healthy = table.given[0]
    assert pair_rows(table, healthy, MILD) == pytest.approx(MILD)
    assert pair_rows(table, MILD, healthy + np.array([0.005, -0.005, 0.0])) == pytest.approx(MILD)
    assert pair_rows(table, healthy, healthy) == pytest.approx(healthy)


def test_a_fault_that_surely_shows_governs_a_measured_value():
    assert pair_rows(MEASURED, GONE, FEW) == pytest.approx(GONE)
    assert pair_rows(MEASURED, MANY, GONE) == pytest.approx(GONE)


def test_otherwise_a_measured_value_follows_either():
    assert pair_rows(MEASURED, FEW, MANY) == pytest.approx((FEW + MANY) / 2)
    assert pair_rows(MEASURED, GONE, GONE) == pytest.approx(GONE)


def test_rows_are_combined_side_by_side():
    a, b = np.stack([GONE, FEW, MEASURED.given[0]]), np.stack([FEW, MANY, FEW])
    found = pair_rows(MEASURED, a, b)
    assert found == pytest.approx(np.stack([pair_rows(MEASURED, x, y) for x, y in zip(a, b, strict=True)]))
    assert found.sum(axis=1) == pytest.approx(1.0)
