"""Shares, means and ratios of simulated jobs with their intervals of 95 %."""

from __future__ import annotations

from math import sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Quantile of the standard normal distribution for a two-sided interval of 95 %.
Z = 1.959964
_RESAMPLES = 2000


class Estimate(NamedTuple):
    """A number and the interval that it lies in with a confidence of 95 %."""

    value: float
    low: float
    high: float


def share(hits: int, of: int) -> Estimate:
    """A share with its Wilson score interval (Wilson, Journal of the American Statistical Association 22, 1927)."""
    if not of:
        return Estimate(0.0, 0.0, 1.0)
    p, n, z2 = hits / of, float(of), Z * Z
    middle = (p + z2 / (2 * n)) / (1 + z2 / n)
    half = Z * sqrt(p * (1 - p) / n + z2 / (4 * n * n)) / (1 + z2 / n)
    return Estimate(p, max(0.0, middle - half), min(1.0, middle + half))


def mean(values: Array) -> Estimate:
    """A mean with its normal interval.

    Parameters
    ----------
    values : ndarray of shape (n,)
    """
    if not len(values):
        return Estimate(0.0, 0.0, 0.0)
    middle = float(values.mean())
    half = Z * float(values.std(ddof=1)) / sqrt(len(values)) if len(values) > 1 else 0.0
    return Estimate(middle, middle - half, middle + half)


def ratio(above: Array, below: Array, seed: int) -> Estimate:
    """The ratio of two means over the same jobs, with a percentile interval of jobs drawn again in pairs.

    Parameters
    ----------
    above, below : ndarray of shape (n,)
        Of the same jobs in the same order.
    """
    value = float(above.sum() / below.sum())
    chance = np.random.default_rng(seed)
    rows = chance.integers(0, len(above), size=(_RESAMPLES, len(above)))
    again = above[rows].sum(axis=1) / below[rows].sum(axis=1)
    low, high = np.quantile(again, [0.025, 0.975])
    return Estimate(value, float(low), float(high))
