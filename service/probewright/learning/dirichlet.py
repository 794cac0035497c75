"""Counts and what was believed before, put together: the Dirichlet distribution and its mean.

Shares of a whole have the prior distribution ``Dir(alpha)`` with ``alpha = n_0 * p``: what was believed, ``p``, counts
as much as ``n_0`` cases.  After ``n`` counts it is ``Dir(alpha + n)``, and the mean of that is
``(n_0 * p + n) / (n_0 + N)`` with ``N`` the sum of the counts (Gelman, Carlin, Stern, Dunson, Vehtari and Rubin,
*Bayesian Data Analysis*, 3rd edition, section 3.4).  Shares that are added up add up their ``alpha`` as well, so the
same holds for any of them against all the others.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def posterior_mean(believed: Array, counts: Array, weight: float) -> Array:
    """The mean share of each outcome after counting.

    Parameters
    ----------
    believed : ndarray of shape (..., n_outcomes)
        Shares before, adding up to 1.
    counts : ndarray of shape (..., n_outcomes)
    weight : float
        How many cases the shares before are worth; more than 0.

    Returns
    -------
    ndarray of shape (..., n_outcomes)
        Adding up to 1.

    Raises
    ------
    ValueError
        When the weight is not positive, a count is negative, or shares do not add up to 1.
    """
    if not weight > 0:
        raise ValueError(f"a prior weight is more than 0, not {weight}")
    if (counts < 0).any() or not np.allclose(believed.sum(axis=-1), 1.0, atol=1e-6):
        raise ValueError("counts are not negative, and shares add up to 1")
    return np.asarray((weight * believed + counts) / (weight + counts.sum(axis=-1, keepdims=True)))
