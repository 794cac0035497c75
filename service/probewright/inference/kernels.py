"""The inner loops of Bayes' rule over thousands of hypotheses, compiled.

Each case is worked out by itself, one addition after another, so it has the same bits whatever else is worked out
beside it.  No function is compiled with relaxed floating-point rules.  All that is compiled here stands in this one
module, for the compiler keeps it by the file that it is in.
"""

from __future__ import annotations

from math import isfinite

import numpy as np
from numpy.typing import NDArray

from probewright.decision.compiling import compiled

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Classes = NDArray[np.int32]


@compiled
def add_up(
    log_prior: Array, classes: Classes, tables: Array, pieces: Index, ends: Index, weights: Array, peaks: Array,
) -> None:  # fmt: skip
    """Logarithms of the weights of all hypotheses, less the greatest of each case.

    Parameters
    ----------
    log_prior : ndarray of shape (n_columns,), in nats
    classes : ndarray of int32, shape (n_records, n_columns)
        The class of each hypothesis in each record of evidence.
    tables : ndarray of shape (n_entries,)
        Log-likelihoods by class of all pieces of evidence, end to end.
    pieces : ndarray of int, shape (n_pieces, 2)
        Of each piece its record, and where its table begins; those of one case stand together.
    ends : ndarray of int, shape (n_cases,)
        Where the pieces of each case end.
    weights : ndarray of shape (n_cases, n_columns)
        Filled in; zeros where no hypothesis is left.
    peaks : ndarray of shape (n_cases,)
        Filled in with the greatest, which is taken off.
    """
    begin = 0
    for case in range(len(ends)):
        row = weights[case]
        for h in range(len(row)):
            row[h] = log_prior[h]
        for p in range(begin, ends[case]):
            of, table = classes[pieces[p, 0]], tables[pieces[p, 1] :]
            for h in range(len(row)):
                row[h] += table[of[h]]
        begin = ends[case]
        peak = row[0]
        for h in range(len(row)):
            peak = max(peak, row[h])
        peaks[case] = peak
        for h in range(len(row)):
            row[h] = row[h] - peak if isfinite(peak) else 0.0


@compiled
def share_out(weights: Array, first: Classes, second: Classes, masses: Array, present: Array) -> None:
    """Make weights probabilities, and add up those of each fault.

    Parameters
    ----------
    weights : ndarray of shape (n_rows, n_columns)
        Each row is divided by its sum.
    first, second : ndarray of int32, shape (n_columns,)
        The faults of each hypothesis, counted from 1; 0 for none.
    masses : ndarray of shape (n_rows,)
        Filled in with the sums.
    present : ndarray of shape (n_rows, n_faults + 1)
        Filled in; the first column has no meaning.
    """
    for i in range(len(weights)):
        row, found = weights[i], present[i]
        mass = 0.0
        for h in range(len(row)):
            mass += row[h]
        masses[i] = mass
        for f in range(len(found)):
            found[f] = 0.0
        for h in range(len(row)):
            row[h] /= mass
            found[first[h]] += row[h]
            found[second[h]] += row[h]
