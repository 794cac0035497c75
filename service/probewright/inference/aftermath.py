"""What is believed after repairs that made the complaint go away.

The readings told what was wrong *before*; a repair then removed each fault it cures with its probability, and the
appliance now does what it did not do.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from probewright.figures import common_practice
from probewright.inference.builds import Build
from probewright.inference.compiled import Compiled
from probewright.packs.model import Repair
from probewright_schemas.records import Case

Array = NDArray[np.float64]

#: How often an appliance is tried before a symptom is called gone.
TRIES = common_practice(3.0)


def after_repairs(case: Case, builds: Sequence[Build], supply: float | None, weights: Array) -> Array:
    """Move probability from hypotheses to what successful repairs leave of them.

    Parameters
    ----------
    weights : ndarray of shape (n_columns,)
        Over the builds one after another, before the repairs.

    Returns
    -------
    ndarray of shape (n_columns,), adding up to 1.
    """
    cured = [done.repair for done in case.repairs_done if not done.complaint_remains]
    blocks, start = [], 0
    for build in builds:
        compiled = build.compiled
        block = weights[start : start + len(compiled.hypotheses)]
        start += len(block)
        for repair in cured:
            if repair in compiled.repairs:
                block = _repaired(block, compiled, compiled.repairs[repair])
        blocks.append(block * _quiet_now(case, compiled, supply))
    now = np.concatenate(blocks)
    return np.asarray(now / now.sum())


def _repaired(block: Array, compiled: Compiled, repair: Repair) -> Array:
    hypotheses = compiled.hypotheses
    first, second = hypotheses.first, hypotheses.second
    cure = hypotheses.per_fault(repair.cures)
    gone_first, gone_second = cure[first], np.where(second > 0, cure[second], 0.0)
    singles = np.arange(len(hypotheses.faults) + 1)  # the single fault i stands at position i, none at 0
    known, after = block[:-1], np.zeros(len(block))
    after[-1] = block[-1]
    after[:-1] += known * (1 - gone_first) * (1 - gone_second)
    np.add.at(after, singles[second], known * gone_first * (1 - gone_second))
    np.add.at(after, singles[first], known * (1 - gone_first) * gone_second)
    after[0] += (known * gone_first * gone_second).sum()
    return after


def _quiet_now(case: Case, compiled: Compiled, supply: float | None) -> Array:
    """Likelihood that nothing complained of shows any more: shape (n_hypotheses,).

    A function was tried and works; a symptom without one stayed away as often as it was tried.
    """
    likelihood = np.ones(len(compiled.hypotheses))
    for complaint in case.complaints:
        record = compiled.complaints.get(complaint)
        if record is not None and record.function in compiled.functions:
            likelihood = likelihood * compiled.reported_working(record.function, supply)
        elif record is not None:
            likelihood = likelihood * (1 - compiled.complained(complaint, supply)) ** float(TRIES)
    return likelihood
