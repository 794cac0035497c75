"""What each test would show next, in the few outcomes that matter to a decision.

A measured value falls into one of four: ``absent`` (under a tenth of the healthy band), ``below`` it, ``within`` it, or
``above`` it, over range included.  What is seen has its own outcomes.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import hypot

import numpy as np
from numpy.typing import NDArray

from probewright.figures import common_practice
from probewright.inference.compiled import UNKNOWN_LEAVES_READING, Compiled
from probewright.inference.numeric import Predicted
from probewright.inference.situation import Situation
from probewright.packs.model import Test
from probewright.quantities.instruments import resolve

Array = NDArray[np.float64]

LABELS = ("absent", "below", "within", "above")
_ABSENT = 0.1
#: degC: where an appliance that was not used for a while stands.
ROOM = common_practice(21.0)


def single_faults(compiled: Compiled) -> slice:
    """Where *no fault* and the single faults stand among the hypotheses."""
    return slice(0, len(compiled.hypotheses.faults) + 1)


def outcome_table(
    compiled: Compiled, test: Test, situation: Situation, misread: float,
) -> tuple[tuple[str, ...], Array]:  # fmt: skip
    """Probabilities of a test's outcomes with its usual meter.

    Returns
    -------
    tuple of str
        The outcomes.
    ndarray of shape (n_faults + 2, n_outcomes)
        Rows: no fault, each single fault, something unknown; each adds up to 1.
    """
    instrument = resolve(None, test.kind)
    if test.outcomes:
        meter = (instrument.beeper_threshold, instrument.lead_offset, instrument.maximum_resistance)
        chances = compiled.chances(test.id, situation, meter)
        rows = np.vstack([chances[single_faults(compiled)], chances[-1]])
        labels = test.outcomes
    else:
        labels = LABELS
        predicted = compiled.numeric(test.id).predict(
            situation, instrument.input_impedance, instrument.maximum_resistance
        )
        by_class = _by_band(predicted)
        known = by_class[compiled.index(test.id)[single_faults(compiled)]]
        leaves = float(UNKNOWN_LEAVES_READING)
        unknown = leaves * known[0] + (1 - leaves) / len(labels)
        rows = np.vstack([known, unknown])
    return labels, (1 - misread) * rows + misread / len(labels)


def _by_band(predicted: Predicted) -> Array:
    """Share of each class's samples in each outcome: shape (n_classes, 4)."""
    low = -np.inf if predicted.low is None else predicted.low
    high = np.inf if predicted.high is None else predicted.high
    slack = hypot(float(predicted.width[0].max()) * predicted.scale, predicted.floor)
    values = predicted.values * predicted.scale
    # What is less than stray cannot be told from nothing.
    told = low * (1 - _ABSENT) > slack and low > 0
    absent = np.abs(values) < _ABSENT * low if told else np.zeros(values.shape, dtype=bool)
    above = values > high + slack
    below = (values < low - slack) & ~absent
    return np.stack([absent.mean(1), below.mean(1), (~(absent | below | above)).mean(1), above.mean(1)], axis=1)


@dataclass(frozen=True, slots=True)
class Stack:
    """The outcome tables of many tests side by side.

    ``places`` maps a test id to its outcomes and its first column; ``given`` has shape (n_faults + 2, n_columns).
    """

    places: Mapping[str, tuple[tuple[str, ...], int]]
    given: Array


class Tables:
    """The outcome tables of one compiled configuration, made when first asked for."""

    def __init__(self, compiled: Compiled) -> None:
        self._compiled = compiled.singly()
        self.stack = lru_cache(maxsize=16)(self._stack)

    def _stack(self, misread: float) -> Stack:
        """All tests, in a room: whoever takes a reading that needs a temperature notes it."""
        unmeasured = Situation(ambient=float(ROOM), set_point=0.0)
        places, tables, width = {}, [], 0
        for test in self._compiled.tests.values():
            labels, rows = outcome_table(self._compiled, test, unmeasured, misread)
            places[test.id] = (labels, width)
            width += len(labels)
            tables.append(rows)
        return Stack(places, np.concatenate(tables, axis=1))
