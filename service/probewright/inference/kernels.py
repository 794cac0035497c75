"""The inner loops of Bayes' rule over thousands of hypotheses, compiled.

Each case is worked out by itself, one addition after another, so it has the same bits whatever else is worked out
beside it.  No function is compiled with relaxed floating-point rules.  All that is compiled here stands in this one
module, for the compiler keeps it by the file that it is in.
"""

from __future__ import annotations

from math import exp, isfinite

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


@compiled
def add_up_by_stage(log_prior: Array, classes: Classes, tables: Array, pieces: Index, weights: Array) -> None:
    """Logarithms of the weights of all hypotheses of one case as its evidence comes in, less the greatest.

    Parameters are as of :func:`add_up`, but ``weights`` is of shape (1 + n_evidence, n_columns).
    """
    for h in range(len(log_prior)):
        weights[0, h] = log_prior[h]
    for p in range(len(pieces)):
        of, table = classes[pieces[p, 0]], tables[pieces[p, 1] :]
        before, row = weights[p], weights[p + 1]
        for h in range(len(row)):
            row[h] = before[h] + table[of[h]]
    for stage in range(len(weights)):
        row = weights[stage]
        peak = row[0]
        for h in range(len(row)):
            peak = max(peak, row[h])
        for h in range(len(row)):
            row[h] -= peak


@compiled
def left_out_by_class(
    weights: Array, prior: Array, classes: Classes, tables: Array, pieces: Index, surprise: Array, predictive: Array,
) -> None:  # fmt: skip
    """What each piece of evidence of one case was to be expected, by class of hypotheses.

    Parameters
    ----------
    weights, prior : ndarray of shape (n_columns,)
        Probabilities given all evidence, and before any.
    classes, tables, pieces
        As of :func:`add_up`.
    surprise : ndarray of shape (n_evidence,)
        Filled in: one over the probability of each piece given all the others.
    predictive : ndarray of shape (n_evidence,)
        Filled in: the probability of each piece before any other.
    """
    for p in range(len(pieces)):
        of, table = classes[pieces[p, 0]], tables[pieces[p, 1] :]
        count = 0
        for h in range(len(of)):
            count = max(count, of[h] + 1)
        after, before = np.zeros(count), np.zeros(count)
        for h in range(len(of)):
            after[of[h]] += weights[h]
            before[of[h]] += prior[h]
        told, foretold = 0.0, 0.0
        for c in range(count):
            likelihood = exp(table[c])
            if likelihood > 0.0:
                told += after[c] / likelihood
                foretold += before[c] * likelihood
        surprise[p], predictive[p] = told, foretold
