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
    """One reading, as given and as checked by the engine: ``checked`` is in the test's own unit.

    ``supply_voltage`` in V and ``ambient`` in degC are what the engine took for this reading; ``configuration`` is the
    likeliest build that the case's options leave open.
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

    ``hypotheses`` lists the fault ids present in each; ``declared`` has shape (n_hypotheses,), in nats.
    """

    reading: ReadingContext
    hypotheses: Sequence[tuple[str, ...]]
    declared: NDArray[np.float64]
