"""The fixed points at which tolerances are sampled."""

from __future__ import annotations

import math

import numpy as np
import pytest

from probewright.circuit.lattice import LINEAR, MULTIPLIER, NEAR, POINTS, coordinate
from probewright.errors import EngineError

ALL = range(2 * LINEAR)


def order(of: int) -> int:
    """How many different powers a number has modulo the number of points."""
    return len({pow(of, k, POINTS) for k in range(POINTS)})


def shortest(step: int) -> float:
    """Length of the shortest vector of the lattice of points (x, step x) modulo the number of points."""
    signed = ((step * x + POINTS // 2) % POINTS - POINTS // 2 for x in range(1, POINTS))
    return min(math.hypot(min(x, POINTS - x), y) for x, y in zip(range(1, POINTS), signed, strict=True))


def worst(root: int) -> float:
    return min(shortest(pow(root, k, POINTS)) for k in range(1, NEAR + 1))


def test_number_of_points_is_prime():
    assert all(POINTS % k for k in range(2, int(POINTS**0.5) + 1))


def test_multiplier_is_the_least_best_primitive_root():
    # By the spectral test in two dimensions: D. Knuth, The Art of Computer Programming, volume 2, 3.3.4.
    roots = [r for r in range(2, POINTS) if order(r) == POINTS - 1]
    assert max(roots, key=lambda r: (round(worst(r), 9), -r)) == MULTIPLIER


@pytest.mark.parametrize("index", ALL)
def test_every_coordinate_takes_every_value_once(index):
    np.testing.assert_allclose(np.sort(coordinate(index)), (np.arange(POINTS) + 0.5) / POINTS, rtol=0, atol=1e-15)


def test_no_two_coordinates_say_the_same():
    correlations = np.corrcoef([coordinate(i) for i in ALL])
    assert np.abs(correlations - np.eye(len(ALL))).max() < 0.9


def test_neighbours_hardly_correlate():
    correlations = np.corrcoef([coordinate(i) for i in range(LINEAR)])
    for apart in range(1, NEAR + 1):
        assert np.abs(np.diagonal(correlations, apart)).max() < 0.2, apart


def test_pairs_of_neighbours_fill_the_square():
    # Sixteen equal squares, eight points in each on average.
    for i in range(LINEAR - NEAR):
        for j in range(i + 1, i + NEAR + 1):
            cells = np.floor(4 * coordinate(i)) * 4 + np.floor(4 * coordinate(j))
            assert np.bincount(cells.astype(int), minlength=16).min() >= 4, (i, j)


def test_read_only_and_bounded():
    with pytest.raises(ValueError, match="read-only"):
        coordinate(0)[0] = 0.5
    with pytest.raises(EngineError, match="more than 126 uncertain parameters"):
        coordinate(2 * LINEAR)
