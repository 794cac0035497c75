"""How differently a test shows two faults: distances between what it shows under each single fault.

The distance is the total variation: the greatest difference in the probability of any event that the test can show, 0
where it shows both alike and 1 where it never does.  Readings are those of the usual meter with its error, at the
nominal supply and, where it matters, at room temperature.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from probewright.inference.cuts import candidates
from probewright.inference.outcomes import Axes, Tables, single_faults
from probewright.inference.reading_axis import ROOM, Axis
from probewright.inference.situation import Situation
from probewright.packs.model import Test
from probewright.quantities.instruments import resolve

Array = NDArray[np.float64]
Index = NDArray[np.intp]

#: Outcomes whose chances agree to this are shown alike.
_SAME = 1e-9
#: Classes whose readings are compared at all places at which any of them changes; of more, a sample of places will do.
_MOST_PLACES = 512


@dataclass(frozen=True, slots=True, eq=False)
class Predicted:
    """What one test shows under no fault and each single fault.

    Attributes
    ----------
    index : ndarray of int, shape (n_faults + 1,)
        The class of no fault, and of each fault in the build's order.
    distance : ndarray of shape (n_classes, n_classes)
        Total variation between what two classes show.
    finite : bool
        Whether every value that was predicted is a number.
    """

    index: Index
    distance: Array
    finite: bool = True

    def between(self, first: Index, second: Index) -> Array:
        """Distances between hypotheses, 0 standing for no fault."""
        return self.distance[self.index[first], self.index[second]]


class Predictions:
    """Predictions of tests, remembered where builds share them."""

    def __init__(self, axes: Axes) -> None:
        self.axes = axes
        self._distances: dict[Axis, tuple[Array, bool]] = {}  # bounded by the builds and tests that are reviewed

    def of_test(self, tables: Tables, test: str) -> Predicted:
        """What a test shows in a build."""
        record = tables.compiled.tests[test]
        if record.outcomes:
            return _of_seen(tables, record)
        axis, index = tables.axis(record, supply_known=True)
        if axis not in self._distances:
            self._distances[axis] = distances(axis)
        distance, finite = self._distances[axis]
        return Predicted(index, distance, finite)


def distances(axis: Axis) -> tuple[Array, bool]:
    """Total variation between the readings of each two classes, and whether all readings are numbers."""
    if not np.isfinite(axis.values).all():
        count = len(axis.values)
        return np.zeros((count, count)), False
    places = candidates(axis.values, axis.deviation, [axis.over] if isfinite(axis.over) else [])
    if len(places) > _MOST_PLACES:
        places = [places[int(i)] for i in np.linspace(0, len(places) - 1, _MOST_PLACES)]
    under = np.maximum.accumulate(axis.under(places), axis=1)
    return variation(np.diff(under, axis=1, prepend=0.0, append=1.0)), True


def variation(chances: Array) -> Array:
    """Total variation between each two rows of probabilities: shape (n_rows, n_rows)."""
    return np.array([0.5 * np.abs(chances - row).sum(axis=1) for row in chances])


def seen(tables: Tables, test: Test) -> Array:
    """How likely each outcome of a test that is seen is, under no fault and each single one: one row for each."""
    meter = resolve(None, test.kind)
    beeper = (meter.beeper_threshold, meter.lead_offset, meter.maximum_resistance)
    nominal = float(tables.compiled.family.supply.nominal)
    chances = tables.compiled.chances(test.id, Situation(nominal, float(ROOM), 0.0), beeper)
    return chances[single_faults(tables.compiled)]


def _of_seen(tables: Tables, test: Test) -> Predicted:
    chances = seen(tables, test)
    if not np.isfinite(chances).all():
        return Predicted(np.zeros(len(chances), dtype=np.intp), np.zeros((1, 1)), finite=False)
    rows, index = np.unique(np.round(chances / _SAME) * _SAME, axis=0, return_inverse=True)
    return Predicted(index.ravel(), variation(rows))


def best_of(predicted: Sequence[Predicted], first: Index, second: Index, enough: float) -> Array:
    """For each pair of hypotheses the greatest distance that any test shows; once it is ``enough`` none is looked for.

    Parameters
    ----------
    predicted : sequence of Predicted
    first, second : ndarray of int, shape (n_pairs,)
        Hypotheses, 0 standing for no fault.
    enough : float

    Returns
    -------
    ndarray of shape (n_pairs,)
    """
    best = np.zeros(len(first))
    open_ = np.arange(len(first))
    for one in predicted:
        if not len(open_):
            break
        best[open_] = np.maximum(best[open_], one.between(first[open_], second[open_]))
        open_ = open_[best[open_] < enough]
    return best
