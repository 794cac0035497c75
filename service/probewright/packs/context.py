"""What a pack's own validators and scorers are given."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.packs.model import Family, Test
from probewright_schemas.records import Case, CheckedReading, Reading


@dataclass(frozen=True, slots=True)
class ReadingContext:
    """One reading, as given and as checked by the engine.

    Attributes
    ----------
    family : Family
    test : Test
        The test that was done.
    case : Case
        The whole case, as given.
    reading : Reading
        As given, in the unit that was given.
    checked : CheckedReading
        In the test's own unit, with its uncertainty, limits and verdict.
    configuration : mapping of option to value
        The likeliest build that the case's options leave open.
    supply_voltage : float
        V: what the engine took for this reading.
    ambient : float or None
        degC at the part, None where nobody gave it.

    Examples
    --------
    >>> def volts(context: ReadingContext) -> float | None:
    ...     return context.checked.value if context.test.unit == "V" else None
    """

    family: Family
    test: Test
    case: Case
    reading: Reading
    checked: CheckedReading
    configuration: Mapping[str, str]
    supply_voltage: float
    ambient: float | None


@dataclass(frozen=True, slots=True)
class ScoringContext:
    """One reading to score, with the declared model's own answer.

    Attributes
    ----------
    reading : ReadingContext
    hypotheses : sequence of tuple of str, length n_hypotheses
        The fault ids present in each; empty for no fault.
    declared : ndarray of shape (n_hypotheses,)
        Log-likelihoods of the declared model, in nats.  A copy: yours to change.

    Examples
    --------
    A look that one in five gets wrong, whatever there is to be seen:

    >>> def hard_to_see(context: ScoringContext) -> np.ndarray:
    ...     outcomes = len(context.reading.test.outcomes)
    ...     return np.logaddexp(np.log(0.8) + context.declared, np.log(0.2 / outcomes))
    """

    reading: ReadingContext
    hypotheses: Sequence[tuple[str, ...]]
    declared: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ScoringBatch:
    """Many readings to score at once, under the same hypotheses.

    Rows may be readings of one case or of several, of one test or of several; no row depends on another.

    Attributes
    ----------
    readings : sequence of ReadingContext, length n_cases
    hypotheses : sequence of tuple of str, length n_hypotheses
        The fault ids present in each; empty for no fault.
    declared : ndarray of shape (n_cases, n_hypotheses)
        Log-likelihoods of the declared model, in nats.  A copy: yours to change.

    Examples
    --------
    >>> def hard_to_see(batch: ScoringBatch, test: str) -> np.ndarray:
    ...     mine = np.array([reading.test.id == test for reading in batch.readings])
    ...     outcomes = np.array([max(1, len(reading.test.outcomes)) for reading in batch.readings])
    ...     own = np.logaddexp(np.log(0.8) + batch.declared, np.log(0.2 / outcomes)[:, None])
    ...     return np.where(mine[:, None], own, batch.declared)
    """

    readings: Sequence[ReadingContext]
    hypotheses: Sequence[tuple[str, ...]]
    declared: NDArray[np.float64]

    def row(self, index: int) -> ScoringContext:
        """One reading alone."""
        return ScoringContext(self.readings[index], self.hypotheses, self.declared[index])
