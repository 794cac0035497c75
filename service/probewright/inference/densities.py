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
    found: dict[int, ByClass] = {}
    for (_, valued), places in alike.items():
        readings, of = [prepared[i] for i in places], [predictions[i] for i in places]
        fits, errors = _values(readings, of) if valued else _events(readings, of)
        found.update(zip(places, _mixed(fits, errors, of, misread), strict=True))
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


def _values(prepared: Sequence[Prepared], predictions: Sequence[Predicted]) -> tuple[Array, Array]:
    """Density of values under each class, and when misread: shapes (n_readings, n_classes) and (n_readings,)."""
    first = predictions[0]
    # What was read, and its own deviation, over the supply's scale; and that scale.
    own = [
        (p.value / q.scale, hypot(p.uncertainty, q.floor) / q.scale, q.scale)
        for p, q in zip(prepared, predictions, strict=True)
    ]
    read, deviation, scale = np.array(own).T[:, :, None]
    low, high, widest = first.reach
    margin = _FAR * np.sqrt(widest * widest + deviation * deviation)
    # Most classes are far from what was read: their kernels add nothing, and are not computed.
    rows, classes = np.nonzero((read > low - margin) & (read < high + margin))
    density = np.zeros((len(prepared), len(first.values)))
    for start in range(0, len(rows), _MOST_ROWS):
        some = slice(start, start + _MOST_ROWS)
        row, of = rows[some], classes[some]
        heights = _kernels(first.values[of], first.width[of], read[row], deviation[row])
        density[row, of] = heights / (scale[row, 0] * _ROOT_TWO_PI)
    return density, np.array([misread_density(p.test.kind, p.value) for p in prepared])


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
