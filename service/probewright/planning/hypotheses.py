"""What explains a job: hypotheses to plan on, from what is believed about faults alone and two at a time.

A fault may be present as a bystander, with no part in what is wrong, as it might have been before anybody called.  It
needs no repair that anybody asked for, so it is left out: what two faults have together beyond what one of them and a
bystander would have, is two faults to repair; the rest belongs to the one that the evidence is about.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Pairs of faults that are less likely are planned on as either of the two.
LEAST_PAIR: Final = 0.01
#: The most pairs that are planned on.
MOST_PAIRS: Final = 8


@dataclass(frozen=True, slots=True, eq=False)
class Explanation:
    """What explains a job.

    Attributes
    ----------
    weights : ndarray of shape (n_faults + 2,)
        No fault, each fault alone, something unknown; with the pairs they add up to 1.
    pairs : tuple of (int, int, float)
        Positions of two faults (from 0), and how likely both explain it; the likeliest first.
    """

    weights: Array
    pairs: tuple[tuple[int, int, float], ...] = ()


def explanation(together: Array, none: float, unknown: float, prior: Array) -> Explanation:
    """Take bystanders out of what is believed.

    Parameters
    ----------
    together : ndarray of shape (n_faults, n_faults)
        Probability of each fault alone (on the diagonal), and of each two at once (above it).
    none, unknown : float
    prior : ndarray of shape (n_faults,)
        Probability of each fault without any evidence.
    """
    odds = prior / (1.0 - prior)
    alone, both = np.diag(together), np.triu(together, 1)
    # By[a, b]: one is a, and b stands by; for a < b both orders count.
    by = np.outer(alone, odds)
    beside = np.triu(by, 1) + np.tril(by, -1).T
    excess = np.maximum(both - beside, 0.0)
    first, second = _likeliest(excess)
    chosen = excess[first, second]
    rest = both.copy()
    rest[first, second] -= chosen
    share = np.divide(np.triu(by, 1), beside, out=np.full_like(by, 0.5), where=beside > 0)
    explains = alone + (rest * share).sum(axis=1) + (rest * (1.0 - share)).sum(axis=0)
    standing_by = np.minimum(none * odds, explains)
    weights = np.concatenate(([none + standing_by.sum()], explains - standing_by, [unknown]))
    total = weights.sum() + chosen.sum()
    pairs = zip(first.tolist(), second.tolist(), (chosen / total).tolist(), strict=True)
    return Explanation(weights / total, tuple(pairs))


def _likeliest(excess: Array) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    first, second = np.nonzero(excess >= LEAST_PAIR)
    order = np.argsort(-excess[first, second], kind="stable")[:MOST_PAIRS]
    return first[order], second[order]
