"""Probabilities over known hypotheses of what is seen and of functions that work, with all that can be prepared.

Axes: supply voltage (V; NaN where nobody knows it), hypothesis (H, without the unknown one), outcome (O).  Nothing here
adds up over hypotheses or supplies, so each entry has the same bits whatever is worked out beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.measure import Dictionary
from probewright.inference.seen import Threshold, chance_of_closed, chances_of_bands
from probewright.packs.model import Family

Array = NDArray[np.float64]
Index = NDArray[np.intp]

Beeper = tuple[float, float, float]
"""Of a continuity test's meter: threshold of the beeper, leads, and most ohms shown; all in ohm."""

NO_METER: Beeper = (0.0, 0.0, 0.0)


Some = slice | NDArray[np.intp]
"""Which hypotheses are asked about."""
EVERY = slice(None)
#: The hypothesis of nothing wrong.
HEALTHY = slice(0, 1)


class Chances(Protocol):
    """How likely each outcome of one test is.

    ``by_supply`` and ``by_meter`` say whether the supply voltage, and the meter, make a difference.
    """

    @property
    def by_supply(self) -> bool:
        """Whether the supply voltage makes a difference."""

    @property
    def by_meter(self) -> bool:
        """Whether the meter makes a difference."""

    def known(self, supplies: Array, meter: Beeper, hypotheses: Some = EVERY) -> Array:
        """Probabilities: shape (V, H, O), or (1, H, O) where the supply makes no difference."""


@dataclass(frozen=True, slots=True)
class Need:
    """A circuit value that something needs, with the class of each hypothesis; ``under``: it must stay under it."""

    threshold: Threshold
    index: Index
    under: bool = False

    def met(self, supplies: Array, hypotheses: Some = EVERY) -> Array:
        """Probability that it is as needed: shape (V, H)."""
        reached = self.threshold.chance(supplies)[:, self.index[hypotheses]]
        return 1 - reached if self.under else reached


@dataclass(frozen=True, slots=True)
class ByTable:
    """A stated table; where a need is not met, its outcome (as a row of 0 and 1) is certain."""

    rows: Array
    without: Sequence[tuple[Need, Array]]
    by_meter = False

    @property
    def by_supply(self) -> bool:
        return bool(self.without)

    def known(self, supplies: Array, meter: Beeper, hypotheses: Some = EVERY) -> Array:  # noqa: ARG002 (the protocol asks for it)
        chances = self.rows[hypotheses][None]
        for need, certain in self.without:
            met = need.met(supplies, hypotheses)[:, :, None]
            chances = met * chances + (1 - met) * certain
        return chances


@dataclass(frozen=True, slots=True)
class ByBand:
    """Bands of a circuit value; ``order`` sorts them into the test's outcomes."""

    edges: Sequence[Threshold]
    order: Sequence[int]
    index: Index
    by_supply = True
    by_meter = False

    def known(self, supplies: Array, meter: Beeper, hypotheses: Some = EVERY) -> Array:  # noqa: ARG002 (the protocol asks for it)
        bands = chances_of_bands(self.edges, supplies)[:, :, self.order]
        return np.asarray(bands[:, self.index[hypotheses]])


@dataclass(frozen=True, slots=True)
class ByBeep:
    """Continuity: ``closed`` and whatever else the test's outcomes are."""

    dictionary: Dictionary
    family: Family
    closed: Sequence[bool]
    index: Index
    by_supply = False
    by_meter = True

    def known(self, supplies: Array, meter: Beeper, hypotheses: Some = EVERY) -> Array:  # noqa: ARG002 (the protocol asks for it)
        beeps = chance_of_closed(self.dictionary, self.family, *meter)[self.index[hypotheses]]
        return np.stack([beeps if closed else 1 - beeps for closed in self.closed], axis=-1)[None]


@dataclass(frozen=True, slots=True)
class Works:
    """A function: what it needs, and the chance that no fault defeats it by itself."""

    needs: Sequence[Need]
    survives: Array

    def known(self, supplies: Array, hypotheses: Some = EVERY) -> Array:
        """Probability that it works: shape (V, H)."""
        survives = self.survives[hypotheses]
        works = np.broadcast_to(survives, (len(supplies), len(survives)))
        for need in self.needs:
            works = works * need.met(supplies, hypotheses)
        return works
