"""Where a reading falls on its axis under each class of hypotheses, as the usual meter shows it.

Axes: class (C), edge (E), sample (S).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf, isfinite, log, sqrt

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.parts import holds
from probewright.figures import common_practice
from probewright.inference.numeric import FLOOR, MISREAD_OVER, MISREAD_RANGE, Predicted
from probewright.packs.model import Test
from probewright.quantities.instruments import Instrument
from probewright.quantities.units import dimension_of_kind, unit_of

Array = NDArray[np.float64]
Index = NDArray[np.intp]

#: degC: where an appliance that was not used for a while stands.
ROOM = common_practice(21.0)
#: Coefficients of the error function's approximation 7.1.26 (Abramowitz and Stegun, Handbook of Mathematical Functions,
#: 1964); its error is at most 1.5e-7.
_SLOPE = 0.3275911
_TERMS = (0.254829592, -0.284496736, 1.421413741, -1.453152027, 1.061405429)


def limits(test: Test, configuration: Mapping[str, str]) -> tuple[float | None, float | None]:
    """The limits that the pack sets for a test at the nominal supply, in the test's unit."""
    for limit in test.limits:
        if holds(limit.when, configuration):
            low, high = (None if side is None else float(side) for side in (limit.low, limit.high))
            return low, high
    return None, None


def normal_cdf(z: Array) -> Array:
    """The normal distribution function, with an error of at most 1e-7."""
    x = np.abs(z) / sqrt(2.0)
    t = 1.0 / (1.0 + _SLOPE * x)
    tail = np.zeros_like(t)
    for term in reversed(_TERMS):
        tail = (tail + term) * t
    tail *= 0.5 * np.exp(-x * x)
    return np.asarray(np.where(z > 0, 1.0 - tail, tail))


class Axis:
    """One measured test under one set of predictions, for some of its classes.

    Attributes
    ----------
    values, width : ndarray of shape (n_classes, POINTS)
        Samples of the reading and their kernels, in the test's unit.
    over : float
        From where the meter shows over range, infinite where it never does.
    signed : bool
        Whether readings are told as differences, and may be less than nothing.
    """

    def __init__(self, unit: str, predicted: Predicted, classes: Sequence[int], meter: Instrument) -> None:
        kind = meter.test_kind
        rows = np.array(classes, dtype=np.intp)
        self.values, self.width = predicted.values[rows] * predicted.scale, predicted.width[rows] * predicted.scale
        self.low, self.high, self.floor = predicted.low, predicted.high, float(FLOOR[kind])
        self.signed = bool(self.values.min() < 0)
        self.over = meter.maximum_resistance if kind == "resistance" else inf
        self.is_over = (self.values > self.over).mean(axis=1)
        self._kind, self._meter = kind, meter
        self._unit = unit_of(unit, dimension_of_kind(kind))

    def deviation(self, edge: float) -> float:
        """Standard deviation of the meter and of stray at a reading, in the test's unit."""
        if not isfinite(edge):
            return self.floor
        own = self._meter.standard_uncertainty(edge * self._unit.factor + self._unit.offset) / self._unit.factor
        return float(np.hypot(own, self.floor))

    def under(self, edges: Sequence[float]) -> Array:
        """Probability that what is read lies under each edge, by class: shape (C, E).

        Under the edge of over range lies what the meter shows as a number.
        """
        under = np.empty((len(self.values), len(edges)))
        for column, edge in zip(under.T, edges, strict=True):
            if isfinite(edge) and edge >= self.over:
                column[:] = 1 - self.is_over
                continue
            if not isfinite(edge):
                column[:] = float(edge > 0)
                continue
            z = (edge - self.values) / np.hypot(self.width, self.deviation(edge))
            column[:] = np.minimum(normal_cdf(z).mean(axis=1), 1 - self.is_over)
        return under

    def misread_under(self, edges: Sequence[float]) -> Array:
        """Probability that a misread value lies under each edge: shape (E,).

        Flat in the logarithm, as :func:`~probewright.inference.numeric.misread_density` has it; a difference is misread
        either way.  Where the meter knows an over range a share of misreadings ends there.
        """
        least, most = (float(figure) for figure in MISREAD_RANGE[self._kind])
        at = np.asarray(edges, dtype=np.float64)
        share = np.minimum(np.log1p(np.abs(at) / least) / log(most / least), 1.0)
        under = 0.5 + 0.5 * np.sign(at) * share if self.signed else np.where(at > 0, share, 0.0)
        if not isfinite(self.over):
            return np.asarray(under)
        shown = 1 - float(MISREAD_OVER)
        return np.asarray(np.where(at >= self.over, shown, shown * under))
