"""Likelihoods of numeric readings by class: a kernel at every sample of what each class predicts.

Many readings are worked out at once, of one case or of thousands: those that are compared with the same prediction
share the array operations.  Every sum runs over the samples of one class, so a reading's likelihoods have the same bits
whatever else is worked out beside it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import hypot, isfinite

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.lattice import POINTS
from probewright.inference.compiled import UNKNOWN_LEAVES_READING
from probewright.inference.numeric import MISREAD_OVER, MISREAD_UNDER, Predicted, misread_density
from probewright.inference.prepared import Prepared

Array = NDArray[np.float64]
Index = NDArray[np.intp]

_ROOT_TWO_PI = float(np.sqrt(2 * np.pi))
#: Deviations beyond which a kernel is nothing: under 1e-17 of its height.
_FAR = 9.0
#: Rows of samples that are worked out at once: a few arrays of half a megabyte, which a processor's cache holds.
_MOST_ROWS = 512


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class ByClass:
    """Likelihoods of one reading by class of one build, the unknown hypothesis last: shape (n_classes + 1,).

    ``best`` is the greatest of a known class.
    """

    likelihood: Array
    predicted: Predicted
    best: float


def numeric_by_class(prepared: Sequence[Prepared], predictions: Sequence[Predicted], misread: float) -> list[ByClass]:
    """Likelihoods of numeric readings by class.

    Parameters
    ----------
    prepared : sequence of Prepared
        With event ``value``, ``over`` or ``under``; ``value`` on the scale of the prediction.
    predictions : sequence of Predicted
        One for each.
    misread : float
        Share of misread values.
    """
    alike: dict[tuple[int, bool], list[int]] = {}
    for place, (reading, predicted) in enumerate(zip(prepared, predictions, strict=True)):
        alike.setdefault((id(predicted.values), reading.event == "value"), []).append(place)
    values, events = _Values(), []
    for (_, valued), places in alike.items():
        readings, of = [prepared[i] for i in places], [predictions[i] for i in places]
        if valued:
            values.add(places, readings, of)
        else:
            events.append((places, _events(readings, of)))
    found: dict[int, ByClass] = {}
    for some, (fits, errors) in [*values.found(), *events]:
        found.update(zip(some, _mixed(fits, errors, [predictions[i] for i in some], misread), strict=True))
    return [found[place] for place in range(len(prepared))]


def _mixed(fits: Array, errors: Array, predictions: Iterable[Predicted], misread: float) -> Iterator[ByClass]:
    """Allow for mistakes, and for something unknown, which leaves the reading healthy or makes it anything."""
    leaves = float(UNKNOWN_LEAVES_READING)
    likelihood = np.empty((len(fits), fits.shape[1] + 1))
    likelihood[:, :-1] = (1 - misread) * fits + misread * errors[:, None]
    likelihood[:, -1] = leaves * fits[:, 0] + (1 - leaves) * errors
    best = likelihood[:, :-1].max(axis=1).tolist()
    for row, predicted, most in zip(likelihood, predictions, best, strict=True):
        yield ByClass(row, predicted, most)


@dataclass(slots=True)
class _Alike:
    """Values that are compared with the same prediction, and the classes that are near enough to count."""

    places: Sequence[int]
    predicted: Predicted
    rows: Index
    classes: Index
    density: Array
    errors: Array


class _Values:
    """Values of any tests: the kernels of all are worked out together, so many rows at a time."""

    def __init__(self) -> None:
        self._alike: list[_Alike] = []
        self._own: list[Array] = []

    def add(self, places: Sequence[int], prepared: Sequence[Prepared], predictions: Sequence[Predicted]) -> None:
        """Add values that are compared with the same prediction."""
        first = predictions[0]
        # What was read, and its own deviation, over the supply's scale; and that scale.
        own = np.array([
            (p.value / q.scale, hypot(p.uncertainty, q.floor) / q.scale, q.scale)
            for p, q in zip(prepared, predictions, strict=True)
        ])  # fmt: skip
        read, deviation = own[:, 0, None], own[:, 1, None]
        low, high, widest = first.reach
        margin = _FAR * np.sqrt(widest * widest + deviation * deviation)
        # Most classes are far from what was read: their kernels add nothing, and are not computed.
        rows, classes = np.nonzero((read > low - margin) & (read < high + margin))
        errors = np.array([misread_density(p.test.kind, p.value) for p in prepared])
        density = np.zeros((len(prepared), len(first.values)))
        self._alike.append(_Alike(places, first, rows, classes, density, errors))
        self._own.append(own[rows])

    def found(self) -> Iterator[tuple[Sequence[int], tuple[Array, Array]]]:
        """Density of the values under each class, and when misread: (n_readings, n_classes) and (n_readings,)."""
        heights, start = np.concatenate([np.zeros(0), *self._heights()]), 0
        for one in self._alike:
            end = start + len(one.rows)
            one.density[one.rows, one.classes] = heights[start:end]
            start = end
            yield one.places, (one.density, one.errors)

    def _heights(self) -> Iterator[Array]:
        """Height of every row's kernels, in pieces of some rows."""
        waiting: list[tuple[Array, Array, Array]] = []
        count = 0
        for one, own in zip(self._alike, self._own, strict=True):
            values, width = one.predicted.values, one.predicted.width
            for start in range(0, len(own), _MOST_ROWS):
                some = slice(start, start + _MOST_ROWS)
                classes = one.classes[some]
                waiting.append((values[classes], width[classes], own[some]))
                count += len(classes)
                if count >= _MOST_ROWS:
                    yield _together(waiting)
                    waiting, count = [], 0
        if waiting:
            yield _together(waiting)


def _together(rows: Sequence[tuple[Array, Array, Array]]) -> Array:
    """Heights of rows of samples, widths, and what was read: value, deviation and scale."""
    values, width, own = (np.concatenate(part) if len(rows) > 1 else part[0] for part in zip(*rows, strict=True))
    return np.asarray(_kernels(values, width, own[:, 0, None], own[:, 1, None]) / (own[:, 2] * _ROOT_TWO_PI))


def _kernels(values: Array, width: Array, read: Array, deviation: Array) -> Array:
    """Mean height of normal kernels at the samples, but for the root of two pi: shape (n_rows,)."""
    width = width * width
    width += deviation * deviation
    np.sqrt(width, out=width)
    values = values - read
    values /= width
    np.multiply(values, values, out=values)
    values *= -0.5
    np.exp(values, out=values)
    values /= width
    return np.asarray(np.add.reduce(values, axis=1) / POINTS)


def _events(prepared: Sequence[Prepared], predictions: Sequence[Predicted]) -> tuple[Array, Array]:
    """As :func:`_values`, for over and under range, which have probabilities of their own."""
    known: dict[tuple[bool, float, float], Array] = {}
    fits, errors = [], []
    for reading, predicted in zip(prepared, predictions, strict=True):
        over = reading.event == "over"
        edge = _most(reading, predicted) if over else 3 * (reading.uncertainty + predicted.floor)
        key = over, edge, predicted.scale
        if key not in known:
            sizes = predicted.values * predicted.scale
            known[key] = (sizes > edge if over else np.abs(sizes) < edge).mean(axis=1)
        fits.append(known[key])
        errors.append(float(MISREAD_OVER if over else MISREAD_UNDER))
    return np.array(fits), np.array(errors)


def _most(reading: Prepared, predicted: Predicted) -> float:
    """What a display shows at most; of a meter that has no limit of its own, more than anything healthy."""
    most = reading.instrument.maximum_resistance
    return most if isfinite(most) else float(predicted.values[0].max() * predicted.scale)
