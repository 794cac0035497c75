"""What a case says is there, as a forecast that can be held against what was found."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from probewright.engine.machine import machine_of
from probewright.inference.evaluate import evaluate
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright_schemas.records import Case


@dataclass(frozen=True, slots=True)
class Forecast:
    """How likely each thing is that can be wrong with an appliance now.

    ``alone`` is the probability of each fault that nothing else is wrong, ``two`` that any two faults are there at
    once; with ``none`` and ``unknown`` all add up to 1.  ``present`` is the probability that each fault is there,
    alone or with another: what an answer tells.
    """

    alone: Mapping[str, float]
    none: float
    unknown: float
    two: float
    present: Mapping[str, float]

    def single(self, faults: Iterable[str]) -> tuple[float, ...]:
        """The forecast for an appliance that is known not to have two faults at once.

        No fault, each of ``faults``, and something unknown; they add up to 1.  For cases that turned out not to have
        two faults these are the probabilities to score: of hypotheses that exclude each other, and given what those
        cases were chosen by, so a calibrated forecaster stays calibrated.
        """
        weights = (self.none, *(self.alone.get(fault, 0.0) for fault in faults), self.unknown)
        total = sum(weights)
        return tuple(w / total for w in weights) if total > 0 else (1.0 / len(weights),) * len(weights)


def forecast(case: Case, pack: LoadedPack, settings: Settings) -> Forecast:
    """What the evidence of a case says is there now: after its repairs, if it has any.

    Raises
    ------
    InvalidCase, PackModelError
        As :func:`probewright.engine.diagnose`.
    """
    machine = machine_of(pack)
    found = evaluate(case, machine.store, machine.rules(settings))
    alone = np.diag(found.together).tolist()
    return Forecast(
        dict(zip(found.faults, alone, strict=True)),
        found.none,
        found.unknown,
        float(np.triu(found.together, 1).sum()),
        dict(zip(found.faults, found.present.tolist(), strict=True)),
    )
