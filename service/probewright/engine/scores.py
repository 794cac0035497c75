"""Log-likelihoods by single fault, for systems that reason for themselves."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from probewright.inference.evaluate import Readings
from probewright.inference.evidence import Piece
from probewright.inference.outcomes import single_faults
from probewright_schemas.records import ScoredReading

Array = NDArray[np.float64]


def hypotheses(readings: Readings) -> tuple[str, ...]:
    """``no_fault``, each fault that an open build can have, and ``unknown``."""
    faults = dict.fromkeys(f for build in readings.opened.builds for f in build.compiled.hypotheses.faults)
    return ("no_fault", *faults, "unknown")


def scored(readings: Readings, pieces: Sequence[Piece]) -> tuple[ScoredReading, ...]:
    """Each reading's log-likelihoods in the order of :func:`hypotheses`.

    Where several builds can have a fault, the likelihoods are averaged by the builds' shares.
    """
    place = {name: i for i, name in enumerate(hypotheses(readings))}
    rows, starts = [], np.cumsum([0, *(len(b.compiled.hypotheses) for b in readings.opened.builds)])
    for build, start in zip(readings.opened.builds, starts[:-1].tolist(), strict=True):
        known = build.compiled.hypotheses
        columns = [*range(*single_faults(build.compiled).indices(len(known))), len(known) - 1]
        names = ("no_fault", *known.faults, "unknown")
        rows.append((build.share, start + np.array(columns), np.array([place[name] for name in names])))
    return tuple(ScoredReading(piece.source, _averaged(piece.log_likelihood, rows, len(place))) for piece in pieces)


def _averaged(
    log_likelihood: Array, rows: Sequence[tuple[float, NDArray[np.intp], NDArray[np.intp]]], count: int,
) -> tuple[float, ...]:  # fmt: skip
    if len(rows) == 1:
        return tuple(log_likelihood[rows[0][1]].tolist())
    peak = log_likelihood.max()
    likelihood, weight = np.zeros(count), np.zeros(count)
    for share, columns, places in rows:
        likelihood[places] += share * np.exp(log_likelihood[columns] - peak)
        weight[places] += share
    return tuple((np.log(likelihood / weight) + peak).tolist())
