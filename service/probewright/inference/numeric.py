"""Readings that are numbers: what each class of hypotheses predicts, and the likelihood of what was read.

Axes: class (C), sample (S).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations
from math import inf, log

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.lattice import POINTS, coordinate
from probewright.circuit.measure import Dictionary
from probewright.figures import Basis, Figure, Spread, from_memory, weakest
from probewright.inference.situation import AMBIENT_UNCERTAINTY, Situation, interpolation, supply_scale, temperatures
from probewright.packs.model import Family, Stated

Array = NDArray[np.float64]

#: Every reading carries some stray of its own besides what the meter's data sheet says: pick-up, contact, motion.
FLOOR: Mapping[str, Figure] = {
    "voltage": from_memory(0.3), "current": from_memory(0.02), "resistance": from_memory(0.05),
    "capacitance": from_memory(1e-8), "temperature": from_memory(0.5), "pressure": from_memory(0.05),
    "concentration": from_memory(1.0), "duration": from_memory(0.5),
}  # fmt: skip
#: A misread or mistyped value is equally likely in every ratio between these two, in the kind's own unit: about what
#: meters for such tests show, from memory.
MISREAD_RANGE: Mapping[str, tuple[Figure, Figure]] = {
    kind: (from_memory(least), from_memory(most))
    for kind, least, most in (
        ("voltage", 0.1, 1e3), ("current", 0.01, 1e2), ("resistance", 0.1, 1e8), ("capacitance", 1e-9, 1e-2),
        ("temperature", 1.0, 1e3), ("pressure", 0.01, 1e2), ("concentration", 1.0, 1e5),
        ("duration", 1.0, 1e4),
    )
}  # fmt: skip
#: The share of misreadings that end as "over range" (a probe that touches nothing) or "under range".
MISREAD_OVER, MISREAD_UNDER = from_memory(0.2), from_memory(0.05)
#: Kernel width as a share of the spread of the samples: keeps 127 samples from showing as 127 teeth.
SMOOTHING = 0.18
#: A supply voltage that somebody noted as nothing still needs a scale to divide by.
_LEAST_SCALE = 1e-3
#: In V, A or ohm: less is nothing, and has a logarithm all the same.
_NOTHING = 1e-12


@dataclass(slots=True)  # not frozen: made too often for what freezing costs
class Predicted:
    """What a reading should be under each class.

    Attributes
    ----------
    values : ndarray of shape (n_classes, POINTS)
        In the test's unit, over ``scale``.
    width : ndarray of shape (n_classes, POINTS)
        Standard deviation of the smoothing kernel at each sample, over ``scale``.
    reach : ndarray of shape (3, n_classes)
        Least and greatest value, and greatest width, of each class.
    scale : float
        Supply voltage over the nominal one, where readings are proportional to it and it is known; else 1.  Keeping
        it apart lets one prediction serve every supply voltage.
    floor : float
        Standard deviation of stray, in the test's unit.
    source_impedance : ndarray of shape (n_classes,) or None
        Median ohms behind a voltage.
    low, high : float or None
        The healthy band in the test's unit; None where it is open.
    """

    values: Array
    width: Array
    reach: Array
    scale: float
    floor: float
    source_impedance: Array | None
    low: float | None
    high: float | None


@dataclass(frozen=True, slots=True)
class NumericModel:
    """The prediction of a numeric test in one configuration: from a circuit's dictionary or from stated spreads.

    ``faults`` and ``classes`` are as in :class:`~probewright.circuit.measure.Dictionary`.  A reading
    ``about_the_supply`` comes from the circuit in which the supply is measured and faults change its level: it is
    compared with what the usual supply gives, for to scale it by the measured one would count such a fault twice.
    """

    kind: str
    faults: tuple[str, ...]
    classes: NDArray[np.intp]
    dictionary: Dictionary | None
    stated: Array | None
    relative_to: str | None
    basis: Basis
    source: str
    about_the_supply: bool = False

    @property
    def follows_supply(self) -> bool:
        """Whether readings are proportional to the supply voltage."""
        return self.dictionary is not None and self.kind in ("voltage", "current")

    @property
    def scales_with_supply(self) -> bool:
        """Whether predictions are scaled by a supply voltage that is known."""
        return self.follows_supply and not self.about_the_supply

    @property
    def feels_temperature(self) -> bool:
        """Whether readings depend on the temperature at the part."""
        return self.dictionary is not None and self.dictionary.feels_temperature


def from_dictionary(
    dictionary: Dictionary, bases: Sequence[Basis], *, about_the_supply: bool = False,
) -> NumericModel:  # fmt: skip
    """The model of a test that meters a circuit."""
    kind = dictionary.measurement.kind
    basis = weakest(bases)
    return NumericModel(
        kind, dictionary.faults, dictionary.classes, dictionary, None, None, basis, "the wiring", about_the_supply
    )


def from_stated(kind: str, model: Stated) -> NumericModel:
    """The model of a test whose distribution is stated.

    Two faults at once: every other sample follows one and the other.
    """
    faults = tuple(sorted(model.by_fault))
    base = coordinate(0)
    rows = [model.healthy.quantile(base), *(model.by_fault[f].quantile(base) for f in faults)]
    classes = np.zeros((len(faults) + 1, len(faults) + 1), dtype=np.intp)
    singles = np.arange(1, len(faults) + 1)
    classes[0, singles] = classes[singles, 0] = classes[singles, singles] = singles
    choose = coordinate(1) < 0.5
    for pair in combinations(range(1, len(faults) + 1), 2):
        classes[pair] = classes[pair[::-1]] = len(rows)
        rows.append(np.where(choose, rows[pair[0]], rows[pair[1]]))
    basis = weakest([model.healthy.basis])
    return NumericModel(kind, faults, classes, None, np.array(rows), model.relative_to, basis, model.healthy.source)


class Predictor:
    """Predictions of one numeric model, remembered by conditions and meter input (bounded)."""

    def __init__(self, model: NumericModel, family: Family) -> None:
        self.model = model
        self._family = family
        self._predict = lru_cache(maxsize=128)(self._compute)

    def predict(self, situation: Situation, input_impedance: float, most_ohms: float) -> Predicted:
        """What each class predicts under these conditions.

        Parameters
        ----------
        situation : Situation
        input_impedance : float
            Of the voltmeter, in ohm.
        most_ohms : float
            Above it an ohmmeter shows over range, so a healthy band may be open there.
        """
        model, nominal = self.model, float(self._family.supply.nominal)
        known = model.scales_with_supply and situation.supply is not None
        key = Situation(
            nominal if known else None,
            situation.ambient if model.feels_temperature or model.relative_to == "ambient" else None,
            situation.set_point if model.relative_to == "set_point" else None,
        )
        predicted = self._predict(key, input_impedance if model.kind == "voltage" else 0.0, most_ohms)
        supply = situation.supply
        if not known or supply is None or supply == nominal:
            return predicted
        scale = max(supply / nominal, _LEAST_SCALE)
        low, high = _scaled(predicted.low, scale), _scaled(predicted.high, scale)
        p = predicted
        return Predicted(p.values, p.width, p.reach, scale, p.floor, p.source_impedance, low, high)

    def _compute(self, situation: Situation, input_impedance: float, most_ohms: float) -> Predicted:
        values = self._values(situation, input_impedance)
        width, floor = _widths(values), float(FLOOR[self.model.kind])
        low, high = _band(np.sort(values[0]))
        impedance = self._source_impedance()
        reach = np.stack([values.min(axis=1), values.max(axis=1), width.max(axis=1)])
        if self.model.kind == "resistance" and high > most_ohms:
            return Predicted(values, width, reach, 1.0, floor, impedance, min(low, most_ohms), None)
        return Predicted(values, width, reach, 1.0, floor, impedance, low, high)

    def _values(self, situation: Situation, input_impedance: float) -> Array:
        model, dictionary = self.model, self.model.dictionary
        if model.stated is not None:
            if model.relative_to == "ambient":
                return model.stated + temperatures(situation, self._family.ambient)
            return model.stated + (situation.set_point or 0.0 if model.relative_to else 0.0)
        if dictionary is None:
            raise ValueError("a numeric model needs a dictionary or a stated distribution")
        values = magnitudes(dictionary, input_impedance)
        if dictionary.feels_temperature:
            values = at_temperature(values, situation, self._family.ambient)
        if model.follows_supply:
            return values * supply_scale(situation, self._family.supply)
        return values

    def _source_impedance(self) -> Array | None:
        dictionary = self.model.dictionary
        if dictionary is None or dictionary.impedance is None:
            return None
        size = np.abs(dictionary.impedance)
        return np.median(size.reshape(len(size), -1), axis=1)


def magnitudes(dictionary: Dictionary, input_impedance: float) -> Array:
    """What an ideal meter but for its input shows at the nominal supply, by class: the dictionary's own shape."""
    if dictionary.voltage is not None and dictionary.impedance is not None:
        if input_impedance == inf:
            return np.abs(dictionary.voltage)
        return np.abs(dictionary.voltage * (input_impedance / (input_impedance + dictionary.impedance)))
    if dictionary.value is None:
        raise ValueError("a dictionary holds voltages or values")
    return dictionary.value


def at_temperature(values: Array, situation: Situation, unknown: Spread) -> Array:
    """Values at the temperature of the part, from values at the stations (last axis): shape (n_classes, POINTS).

    Logarithms are interpolated, for resistances of sensors are smooth in them.
    """
    logs = np.log(np.maximum(values, _NOTHING))
    if situation.ambient is None:
        weights = interpolation(temperatures(situation, unknown))
        return np.exp((logs * weights).sum(axis=-1))
    # A known temperature is uncertain by so little that a straight line covers it.
    step = float(AMBIENT_UNCERTAINTY)
    ends = logs @ interpolation(situation.ambient + np.array([0.0, step])).T
    away = (temperatures(situation, unknown) - situation.ambient) / step
    return np.exp(ends[..., 0] + away * (ends[..., 1] - ends[..., 0]))


def _widths(values: Array) -> Array:
    """Kernel width at each sample: a share of the spread, measured in ratios where that is the narrower."""
    linear = SMOOTHING * values.std(axis=1, keepdims=True)
    size = np.abs(values)
    if not (size > _NOTHING).all():
        return np.broadcast_to(linear, values.shape)
    return np.minimum(linear, SMOOTHING * np.log(size).std(axis=1, keepdims=True) * size)


def _scaled(value: float | None, scale: float) -> float | None:
    return None if value is None else value * scale


def _band(ordered: Array) -> tuple[float, float]:
    """The central 99 % of sorted samples; the outermost samples stand half a step inside a uniform spread's ends."""
    step_low, step_high = ordered[1] - ordered[0], ordered[-1] - ordered[-2]
    ends = np.concatenate([[ordered[0] - step_low / 2], ordered, [ordered[-1] + step_high / 2]])
    places = np.concatenate([[0.0], (np.arange(POINTS) + 0.5) / POINTS, [1.0]])
    low, high = np.interp([0.005, 0.995], places, ends)
    return float(low), float(high)


def misread_density(kind: str, value: float) -> float:
    """Density of a misread value: flat in its logarithm over the kind's range, flat below it."""
    least, most = MISREAD_RANGE[kind]
    return 1 / ((abs(value) + float(least)) * log(most / least))

