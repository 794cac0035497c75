"""Probabilities over known hypotheses of what is seen and of functions that work, with all that can be prepared.

Axes: hypothesis (H, without the unknown one), outcome (O).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.measure import Dictionary
from probewright.inference.seen import Threshold, chance_of_closed, chances_of_bands
from probewright.inference.situation import Situation
from probewright.packs.model import Family

Array = NDArray[np.float64]
Index = NDArray[np.intp]

Beeper = tuple[float, float, float]
"""Of a continuity test's meter: threshold of the beeper, leads, and most ohms shown; all in ohm."""

NO_METER: Beeper = (0.0, 0.0, 0.0)


class Chances(Protocol):
    """How likely each outcome of one test is."""

    def relevant(self, situation: Situation, meter: Beeper) -> tuple[Situation, Beeper]:
        """What of the conditions and the meter matters: the rest is left out, so that results can be remembered."""

    def known(self, situation: Situation, meter: Beeper) -> Array:
        """Probabilities: shape (H, O)."""


@dataclass(frozen=True, slots=True)
class Need:
    """A circuit value that something needs, with the class of each hypothesis; ``under``: it must stay under it."""

    threshold: Threshold
    index: Index
    under: bool = False

    def met(self, situation: Situation) -> Array:
        """Probability that it is as needed: shape (H,)."""
        reached = np.asarray(self.threshold.chance(situation)[self.index])
        return 1 - reached if self.under else reached


@dataclass(frozen=True, slots=True)
class ByTable:
    """A stated table; where a need is not met, its outcome (as a row of 0 and 1) is certain."""

    rows: Array
    without: Sequence[tuple[Need, Array]]

    def relevant(self, situation: Situation, meter: Beeper) -> tuple[Situation, Beeper]:  # noqa: ARG002 (the protocol asks for it)
        return (Situation(situation.supply) if self.without else Situation()), NO_METER

    def known(self, situation: Situation, meter: Beeper) -> Array:  # noqa: ARG002 (the protocol asks for it)
        chances = self.rows
        for need, certain in self.without:
            met = need.met(situation)[:, None]
            chances = met * chances + (1 - met) * certain
        return chances


@dataclass(frozen=True, slots=True)
class ByBand:
    """Bands of a circuit value; ``order`` sorts them into the test's outcomes."""

    edges: Sequence[Threshold]
    order: Sequence[int]
    index: Index

    def relevant(self, situation: Situation, meter: Beeper) -> tuple[Situation, Beeper]:  # noqa: ARG002 (the protocol asks for it)
        return Situation(situation.supply), NO_METER

    def known(self, situation: Situation, meter: Beeper) -> Array:  # noqa: ARG002 (the protocol asks for it)
        return np.asarray(chances_of_bands(self.edges, situation)[:, self.order][self.index])


@dataclass(frozen=True, slots=True)
class ByBeep:
    """Continuity: ``closed`` and whatever else the test's outcomes are."""

    dictionary: Dictionary
    family: Family
    closed: Sequence[bool]
    index: Index

    def relevant(self, situation: Situation, meter: Beeper) -> tuple[Situation, Beeper]:  # noqa: ARG002 (the protocol asks for it)
        return Situation(), meter

    def known(self, situation: Situation, meter: Beeper) -> Array:  # noqa: ARG002 (the protocol asks for it)
        beeps = chance_of_closed(self.dictionary, self.family, *meter)[self.index]
        return np.stack([beeps if closed else 1 - beeps for closed in self.closed], axis=-1)


@dataclass(frozen=True, slots=True)
class Works:
    """A function: what it needs, and the chance that no fault defeats it by itself."""

    needs: Sequence[Need]
    survives: Array

    def known(self, situation: Situation) -> Array:
        """Probability that it works: shape (H,)."""
        works = self.survives
        for need in self.needs:
            works = works * need.met(situation)
        return works
