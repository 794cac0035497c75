"""From the posterior to what planning is told: one belief over the faults of all open builds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from probewright.inference.compiled import Compiled
from probewright.inference.evaluate import Evaluation
from probewright.planning.belief import Belief, OutcomeTable

Array = NDArray[np.float64]
Rows = Mapping[str, tuple[tuple[str, ...], Array]]

#: Builds less likely than this are left out of the predictions of tests.
_LEAST_SHARE = 0.02


def belief(evaluation: Evaluation, tables: Sequence[Rows]) -> Belief:
    """What planning needs.

    Parameters
    ----------
    evaluation : Evaluation
    tables : list of mappings, one for each open build
        Outcome tables by test id, as :func:`probewright.inference.outcomes.outcome_table` gives them.
    """
    outcomes = {test: OutcomeTable(labels, rows) for test, (labels, rows) in _mixed(evaluation, tables).items()}
    return Belief(evaluation.faults, evaluation.present, evaluation.none, evaluation.unknown, outcomes)


def likely(evaluation: Evaluation) -> list[int]:
    """The builds whose predictions count."""
    found = [i for i, share in enumerate(evaluation.shares.tolist()) if share >= _LEAST_SHARE]
    return found or [int(np.argmax(evaluation.shares))]


def _mixed(evaluation: Evaluation, tables: Sequence[Rows]) -> Rows:
    chosen = likely(evaluation)
    if len(evaluation.readings.builds) == 1:
        return tables[0]
    sums: dict[str, tuple[tuple[str, ...], Array, Array]] = {}
    for i, table in zip(chosen, tables, strict=True):
        share = float(evaluation.shares[i])
        rows_of = _rows(evaluation.readings.builds[i].compiled, evaluation.faults)
        for test, (labels, rows) in table.items():
            if test not in sums:
                shape = (len(evaluation.faults) + 2, len(labels))
                sums[test] = (labels, np.zeros(shape), np.zeros((shape[0], 1)))
            sums[test][1][rows_of] += share * rows
            sums[test][2][rows_of] += share
    return {test: (labels, _normalised(rows, weight)) for test, (labels, rows, weight) in sums.items()}


def _rows(compiled: Compiled, faults: tuple[str, ...]) -> NDArray[np.intp]:
    """Where a build's rows (no fault, its faults, unknown) stand among those of all faults."""
    place = {fault: i for i, fault in enumerate(faults, start=1)}
    return np.array([0, *(place[f] for f in compiled.hypotheses.faults), len(faults) + 1], dtype=np.intp)


def _normalised(rows: Array, weight: Array) -> Array:
    """Rows of faults that no build with this test has look like those of a healthy appliance."""
    return np.where(weight > 0, rows / np.where(weight > 0, weight, 1.0), rows[0] / weight[0])
