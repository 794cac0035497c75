"""Fixed low-discrepancy points: the same tolerances are sampled the same way in every process.

A rank-1 lattice with a Korobov generator: every coordinate takes each of the values (i + 1/2) / N exactly once, so a
single tolerance is covered evenly from end to end.  ``MULTIPLIER`` is the least primitive root modulo ``POINTS`` whose
worst projection onto two coordinates at most ``NEAR`` apart has the longest shortest vector (the spectral test; Knuth,
The Art of Computer Programming, vol. 2, 3.3.4).  Coordinates past ``LINEAR`` would repeat the first ones but for their
sign, so they are scrambled by inversion modulo ``POINTS``.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from probewright.errors import EngineError

POINTS = 127
MULTIPLIER = 6
NEAR = 12
LINEAR = (POINTS - 1) // 2


@lru_cache(maxsize=2 * LINEAR)
def coordinate(index: int) -> NDArray[np.float64]:
    """One coordinate of all points.

    Returns
    -------
    ndarray of shape (POINTS,), in (0, 1), read-only.

    Raises
    ------
    EngineError
        When a network has more than ``2 * LINEAR`` uncertain parameters.
    """
    if index >= 2 * LINEAR:
        raise EngineError(f"more than {2 * LINEAR} uncertain parameters in one network")
    steps = np.arange(POINTS) * pow(MULTIPLIER, index % LINEAR, POINTS) % POINTS
    if index >= LINEAR:
        steps = np.array([pow(int(s) + 1, POINTS - 2, POINTS) for s in steps])
    points: NDArray[np.float64] = (steps + 0.5) / POINTS
    points.setflags(write=False)
    return points
