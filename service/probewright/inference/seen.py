"""What an eye or a beeper tells: probabilities of outcomes from circuit values and from tables.

Axes: class (C), sample (S), outcome (O), hypothesis (H).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.lattice import LINEAR, coordinate
from probewright.circuit.measure import Dictionary
from probewright.figures import Figure, Spread, from_memory
from probewright.packs.model import Table

Array = NDArray[np.float64]

#: Coordinates for thresholds, counted down from those of the conditions.
_THRESHOLD = 2 * LINEAR - 3
#: A beeper's threshold is given as one number but lies within this share of it.
BEEPER_SCATTER = from_memory(0.15)
#: How often "closed" is read off the display, where the beeper stays silent.
READ_OFF_DISPLAY = from_memory(0.15)


def amounts(dictionary: Dictionary, scale: Array) -> Array:
    """Current through, or voltage across, a part under each class: shape (C, S)."""
    if dictionary.voltage is not None:
        return np.abs(dictionary.voltage) * scale
    value = dictionary.value
    if value is None:
        raise ValueError("a dictionary without values")
    return value * scale


def chance_of_at_least(dictionary: Dictionary, scale: Array, at_least: Spread) -> Array:
    """Probability that a circuit value reaches a threshold, by class: shape (C,)."""
    return np.asarray((amounts(dictionary, scale) >= at_least.quantile(coordinate(_THRESHOLD))).mean(axis=1))


def chances_of_bands(dictionary: Dictionary, scale: Array, edges: Sequence[Spread]) -> Array:
    """Probability of each band between edges, by class: shape (C, O), the band under the first edge first."""
    values = amounts(dictionary, scale)
    thresholds = [edge.quantile(coordinate(_THRESHOLD - i)) for i, edge in enumerate(edges)]
    above = np.array([(values >= threshold).mean(axis=1) for threshold in thresholds])
    above = np.minimum.accumulate(above, axis=0)
    cumulative = np.concatenate([np.ones((1, len(values))), above, np.zeros((1, len(values)))])
    return np.asarray((cumulative[:-1] - cumulative[1:]).T)


def chance_of_closed(dictionary: Dictionary, threshold: float, leads: float, most_ohms: float) -> Array:
    """Probability that a path is reported as closed, by class: shape (C,).

    Either the beeper sounds, or somebody reads a resistance off the display.
    """
    value = dictionary.value
    if value is None:
        raise ValueError("continuity needs a resistance")
    ohms = value if value.ndim == 2 else value[:, :, value.shape[2] // 2]
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
