"""Where to cut the axis of a reading into the few outcomes that matter to what is done next.

A cut is worth what it tells, in nats, of the *course of action*: hypotheses that the same repair cures need not be told
apart.  Of all ways to make up to :data:`MOST_OUTCOMES` outcomes the best is found by dynamic programming over the
candidates, the cuts priced so that one which tells little is not made.  A cut that may as well lie elsewhere is then
moved to the roundest number that tells hardly less.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from math import floor, log10, sqrt

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Reached = Callable[[Sequence[float]], Array]
"""Edges to the probability of lying under each, by class: shape (n_classes, n_edges)."""
Masses = Callable[[Sequence[float]], Array]
"""Edges to the probability of lying under each together with each course: shape (n_edges, n_courses)."""

#: More outcomes than this tell a technician no more.
MOST_OUTCOMES = 9
#: Shares of what the finest split tells.  What a cut must tell to be made, unless at a limit that people know, which is
#: made in any case; what may be lost in all before cuts are made that tell less; and what rounding one may cost.
WORTH_A_CUT, KNOWN_LIMIT, ENOUGH_LOST, ROUNDING = 0.02, 0.002, 0.045, 0.005
#: What tells less than this, in nats, tells nothing.
_NOTHING = 1e-6
#: Quantiles of each class between which cuts are looked for.
_LOOKED_AT = (0.01, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99)
_MOST_DIGITS = 4
#: From this ratio on the middle of two numbers is their geometric mean.
_FAR_APART = 3.0


def self_information(masses: Array) -> Array:
    """Of joint probabilities by course, along the last axis: the sum of p ln p, less that of their total, in nats.

    The sum of this over outcomes, less that of all together, is the mutual information of outcome and course.
    """
    total = masses.sum(axis=-1)
    parts = (masses * np.log(np.maximum(masses, 1e-300))).sum(axis=-1)
    return np.asarray(parts - total * np.log(np.maximum(total, 1e-300)))


def information(under: Array, weights: Array) -> float:
    """What a split tells of the course, in nats.

    Parameters
    ----------
    under : ndarray of shape (n_classes, n_edges)
        Probability of lying under each edge, the edges ascending.
    weights : ndarray of shape (n_classes, n_courses)
        Probability of each class together with each course.
    """
    return float(self_information(_bins(under, weights)).sum() - self_information(weights.sum(axis=0)))


def _bins(under: Array, weights: Array) -> Array:
    """Joint probabilities of outcome and course: shape (n_edges + 1, n_courses)."""
    reached = np.concatenate([under, np.ones((len(under), 1))], axis=1)
    return np.maximum(np.diff(reached, axis=1, prepend=0.0).T @ weights, 0.0)


def candidates(values: Array, blur: Callable[[float], float], extra: Sequence[float]) -> list[float]:
    """Places at which a cut may tell something: about and midway between quantiles of the classes.

    Parameters
    ----------
    values : ndarray of shape (n_classes, n_samples)
    blur : callable
        Standard deviation of a reading there: places closer than that are one.
    extra : sequence of float
        Places that are kept as they are.
    """
    points: list[float] = []
    for point in np.unique(np.quantile(values, _LOOKED_AT, axis=1)).tolist():
        if not points or point - points[-1] > blur(point):
            points.append(point)
    spaced = [*points, *(middle(a, b) for a, b in pairwise(points))]
    spaced += [x for a in points for x in (a - 3 * blur(a), a + 3 * blur(a))]
    kept = sorted(set(extra))
    for point in sorted(spaced):
        at, apart = bisect_left(kept, point), 0.5 * blur(point)
        if all(abs(point - other) > apart for other in kept[max(at - 1, 0) : at + 1]):
            kept.insert(at, point)
    return kept


def middle(a: float, b: float) -> float:
    """The middle of two numbers; of positive ones far apart their geometric mean."""
    return sqrt(a * b) if a > 0 and b > _FAR_APART * a else (a + b) / 2


def choose(
    places: Sequence[float], reached: Reached, weights: Array, known: Sequence[float],
) -> tuple[float, ...]:  # fmt: skip
    """The cuts that are worth making, ascending.

    Parameters
    ----------
    places : sequence of float
        Candidates, ascending; those of ``known`` among them.
    reached : callable
        Probability of lying under edges, by class.
    weights : ndarray of shape (n_classes, n_courses)
    known : sequence of float
        Limits that people know: preferred, and never rounded.
    """
    under = reached(places)
    finest = information(under, weights)
    if finest < _NOTHING:
        return ()
    price = [finest * (-KNOWN_LIMIT if place in known else WORTH_A_CUT) for place in places]
    masses = under.T @ weights

    def at(others: Sequence[float]) -> Array:
        return np.asarray(reached(others).T @ weights)

    edges: list[float] = []
    for best in _best(under, weights, price):
        edges = [places[i] for i in best]
        for i, edge in enumerate(edges):
            if edge not in known:
                edges[i] = _rounded(i, edges, places, masses, at, ROUNDING * finest)
        if information(reached(edges), weights) >= (1 - ENOUGH_LOST) * finest:
            break
    return tuple(edges)


def _best(under: Array, weights: Array, price: Sequence[float]) -> Iterator[list[int]]:
    """The candidates that together tell most, less their prices; then, one more each time, those that tell next most.

    Of equals the fewest, and the lowest.
    """
    masses = np.concatenate([np.zeros((1, weights.shape[1])), under.T @ weights, weights.sum(axis=0)[None]])
    # tells[i, j]: of the outcome between boundaries i and j, which are all candidates and the two ends.
    tells = self_information(np.maximum(masses[None] - masses[:, None], 0.0))
    tells[np.tril_indices(len(masses))] = -np.inf
    cost = np.array([0.0, *price, 0.0])
    reach, back = tells[0], []
    scores = [float(reach[-1])]
    for _ in range(min(MOST_OUTCOMES - 1, len(price))):
        options = (reach - cost)[:, None] + tells
        options[[0, -1]] = -np.inf
        back.append(options.argmax(axis=0))
        reach = options.max(axis=0)
        scores.append(float(reach[-1]))
    most = max(scores) - _NOTHING
    fewest = next(cuts for cuts, score in enumerate(scores) if score >= most)
    for cuts in range(fewest, len(scores)):
        path, at = [], len(masses) - 1
        for step in reversed(back[:cuts]):
            at = int(step[at])
            path.append(at - 1)
        yield path[::-1]


def _rounded(
    which: int, edges: Sequence[float], places: Sequence[float], masses: Array, at: Masses, allowed: float,
) -> float:  # fmt: skip
    """The roundest number that may stand in for a cut, next to the middle of all that may.

    ``masses`` are the joint probabilities of lying under each place and of each course, ``at`` those of any edges.
    """
    edge = edges[which]
    low = edges[which - 1] if which else -np.inf
    high = edges[which + 1] if which + 1 < len(edges) else np.inf
    ends = at([low, high])

    def tells(between: Array) -> Array:
        return self_information(np.maximum([between - ends[0], ends[1] - between], 0.0)).sum(axis=0)

    start = places.index(edge)
    told = tells(masses)
    least = float(told[start]) - allowed
    good = [low < place < high and bool(one >= least) for place, one in zip(places, told.tolist(), strict=True)]
    first = last = start
    while first > 0 and good[first - 1]:
        first -= 1
    while last + 1 < len(places) and good[last + 1]:
        last += 1
    options = [x for x in _round_numbers(middle(places[first], places[last])) if low < x < high]
    fits = (tells(at(options)) >= least).tolist() if options else []
    return next((x for x, fit in zip(options, fits, strict=True) if fit), edge)


def _round_numbers(wanted: float) -> list[float]:
    """Numbers about another one, those of the fewest digits first, of them the nearest."""
    if wanted == 0:
        return [0.0]
    found = []
    for digits in range(1, _MOST_DIGITS + 1):
        step = 10.0 ** (floor(log10(abs(wanted))) + 1 - digits)
        about = floor(wanted / step)
        near = (float(f"{k * step:.{_MOST_DIGITS}g}") for k in range(about - 1, about + 3))
        found += sorted(near, key=lambda x: (abs(x - wanted), x))[:3]
    return found
