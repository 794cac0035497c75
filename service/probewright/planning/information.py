"""How much a test tells, in nats: the mutual information between its outcome and what has to be done.

Two faults that the same repair cures need not be told apart, so hypotheses are taken together by their best repair.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]


def entropy(weights: Array) -> Array:
    """Minus the sum of p ln p over the last axis, in nats; zeros count as zero."""
    return np.asarray(-(weights * np.log(np.maximum(weights, 1e-300))).sum(axis=-1))


def information_gain(joint: Array, starts: Index, before: Array) -> Array:
    """Expected drop of entropy by each test.

    Parameters
    ----------
    joint : ndarray of shape (n_outcomes, n_classes)
        Probability of each outcome together with each class; the outcomes of one test lie together and add up to
        the belief.
    starts : ndarray of int, shape (n_tests,)
        Row at which each test begins.
    before : ndarray of shape (n_classes,)
        The belief.

    Returns
    -------
    ndarray of shape (n_tests,), in nats
    """
    if not len(starts):
        return np.zeros(0)
    outcomes = joint.sum(axis=1)
    after = entropy(joint) + outcomes * np.log(np.maximum(outcomes, 1e-300))
    return np.asarray(entropy(before) - np.add.reduceat(after, starts))
