"""What an eye or a beeper tells: probabilities of outcomes from circuit values and from tables.

Axes: class (C), sample (S), outcome (O), hypothesis (H).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations
from math import inf

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.lattice import LINEAR, POINTS, coordinate
from probewright.circuit.measure import Dictionary
from probewright.figures import Figure, Spread, from_memory
from probewright.inference.numeric import at_temperature, magnitudes
from probewright.inference.situation import Situation, supply_scale
from probewright.packs.model import Family, Table

Array = NDArray[np.float64]

#: Coordinates for thresholds, counted down from those of the conditions.
_THRESHOLD = 2 * LINEAR - 3
#: A beeper's threshold is given as one number but lies within this share of it.
BEEPER_SCATTER = from_memory(0.15)
#: How often "closed" is read off the display, where the beeper stays silent.
READ_OFF_DISPLAY = from_memory(0.15)


class Threshold:
    """How often a circuit value reaches a threshold, by class.

    The value is proportional to the supply voltage, so what it takes is a supply: the threshold over the value at the
    nominal supply.  Where the circuit feels the temperature, that of the parts counts as unknown.
    """

    def __init__(self, dictionary: Dictionary, at_least: Spread, family: Family, place: int = 0) -> None:
        supply = family.supply
        thresholds = at_least.quantile(coordinate(_THRESHOLD - place))
        amounts = _at_some_temperature(magnitudes(dictionary, inf), dictionary, family)
        nominal = Situation(float(supply.nominal))
        with np.errstate(divide="ignore"):
            wanted = thresholds / amounts
        self._nominal = float(supply.nominal)
        self._unknown = (wanted / supply_scale(Situation(), supply) <= 1.0).mean(axis=1)
        self._edges, self._reached = _staircase(wanted / supply_scale(nominal, supply))

    def chance(self, supplies: Array) -> Array:
        """Probability that the threshold is reached.

        Parameters
        ----------
        supplies : ndarray of shape (n_supplies,)
            In V on the family's scale; NaN where nobody knows it.

        Returns
        -------
        ndarray of shape (n_supplies, n_classes)
        """
        reached = self._reached[np.searchsorted(self._edges, supplies / self._nominal, "right")] / POINTS
        unknown = np.isnan(supplies)
        if unknown.any():
            reached[unknown] = self._unknown
        return np.asarray(reached)


def _staircase(wanted: Array) -> tuple[Array, NDArray[np.uint8]]:
    """How many samples of each class a supply suffices for.

    Parameters
    ----------
    wanted : ndarray of shape (n_classes, POINTS)
        The supply that each sample takes; infinite, or NaN, where none will do.

    Returns
    -------
    ndarray of shape (n_edges,)
        The supplies at which a number changes, ascending.
    ndarray of uint8, shape (n_edges + 1, n_classes)
        The numbers below the first of these, between each two, and from the last on.
    """
    edges = np.unique(wanted[np.isfinite(wanted)])
    row, column = np.nonzero(np.isfinite(wanted))
    steps = np.zeros((len(edges) + 1, len(wanted)), dtype=np.uint8)
    np.add.at(steps, (1 + np.searchsorted(edges, wanted[row, column]), row), 1)
    return edges, np.cumsum(steps, axis=0, dtype=np.uint8)


def chances_of_bands(edges: Sequence[Threshold], supplies: Array) -> Array:
    """Probability of each band between edges, the band under the first edge first: (n_supplies, C, O)."""
    above = np.minimum.accumulate([edge.chance(supplies) for edge in edges], axis=0)
    ones = np.ones((1, *above.shape[1:]))
    cumulative = np.concatenate([ones, above, 0 * ones])
    return np.moveaxis(cumulative[:-1] - cumulative[1:], 0, -1)


def _at_some_temperature(values: Array, dictionary: Dictionary, family: Family) -> Array:
    return at_temperature(values, Situation(), family.ambient) if dictionary.feels_temperature else values


def chance_of_closed(
    dictionary: Dictionary, family: Family, threshold: float, leads: float, most_ohms: float,
) -> Array:  # fmt: skip
    """Probability that a path is reported as closed, by class: shape (C,).

    Either the beeper sounds, or somebody reads a resistance off the display.
    """
    ohms = _at_some_temperature(magnitudes(dictionary, inf), dictionary, family)
    scatter = 1 + float(BEEPER_SCATTER) * (2 * coordinate(_THRESHOLD) - 1)
    beeps = (ohms + leads <= threshold * scatter).mean(axis=1)
    shown = (ohms + leads <= most_ohms).mean(axis=1)
    return np.asarray(beeps + float(READ_OFF_DISPLAY) * (shown - beeps))


def table_classes(table: Table, outcomes: Sequence[str]) -> tuple[tuple[str, ...], NDArray[np.intp], Array]:
    """Faults, class of each pair of them, and probabilities by class of a stated table: shape (C, O).

    Two faults at once: of two independent draws the one later in ``outcomes`` is seen.
    """
    faults = tuple(sorted(table.by_fault))
    rows = [_row(table.healthy, outcomes), *(_row(table.by_fault[f], outcomes) for f in faults)]
    classes = np.zeros((len(faults) + 1, len(faults) + 1), dtype=np.intp)
    singles = np.arange(1, len(faults) + 1)
    classes[0, singles] = classes[singles, 0] = classes[singles, singles] = singles
    for a, b in combinations(range(1, len(faults) + 1), 2):
        classes[a, b] = classes[b, a] = len(rows)
        rows.append(np.diff(np.cumsum(rows[a]) * np.cumsum(rows[b]), prepend=0.0))
    return faults, classes, np.array(rows)


def _row(chances: Mapping[str, Figure], outcomes: Sequence[str]) -> Array:
    return np.array([float(chances.get(outcome, 0.0)) for outcome in outcomes])
