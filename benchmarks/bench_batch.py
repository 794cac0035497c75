"""Posteriors of many cases at once, against a general-purpose library and against bare NumPy, on the same network.

The networks are those of ``bench_posterior.py``: a cause of many values, and eight readings that are independent given
it.  Here each reading is a record of evidence in which every cause is a class of its own.  Bare NumPy does the same for
the whole batch: it looks the readings up, adds, takes the greatest off, raises and divides.  The library is asked case
by case, for it has nothing else.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

import numpy as np
from networks import N_READINGS, Array, Tables, in_pyagrum, random_tables
from numpy.typing import NDArray
from table import Figure

from probewright.inference.posterior import posteriors

N_CASES, N_ASKED = 1000, 60
#: Causes, and how many times the library's speed is the goal.
NETWORKS = {50: 100, 1276: None}
AGREEMENT = 1e-9
MOST_OVER_NUMPY = 2.0

Cases = NDArray[np.int64]
Batch = Callable[[Cases], Array]


def in_probewright(tables: Tables) -> Batch:
    """From outcomes of shape (n_cases, n_readings) to posteriors of shape (n_cases, n_causes)."""
    readings, outcomes, causes = tables.outcomes.shape
    logs = np.ascontiguousarray(np.log(tables.outcomes)).ravel()
    classes = np.tile(np.arange(causes, dtype=np.int32), (readings, 1))
    # Which faults a hypothesis has makes no difference here: each is one.
    faults = np.arange(1, causes + 1, dtype=np.int32), np.zeros(causes, dtype=np.int32)
    log_prior, record = np.log(tables.prior), np.arange(readings)

    def solve(cases: Cases) -> Array:
        starts = (record * outcomes + cases) * causes
        pieces = np.stack([np.broadcast_to(record, cases.shape), starts], axis=-1)
        return posteriors(log_prior, faults, classes, logs, list(pieces)).probabilities

    return solve


def in_numpy(tables: Tables) -> Batch:
    """The same by array operations alone."""
    logs, log_prior = np.log(tables.outcomes), np.log(tables.prior)
    every = np.arange(len(logs))

    def solve(cases: Cases) -> Array:
        weights = logs[every, cases].sum(axis=1) + log_prior
        weights -= weights.max(axis=1, keepdims=True)
        np.exp(weights, out=weights)
        weights /= weights.sum(axis=1, keepdims=True)
        return weights

    return solve


def compare(causes: int, goal: int | None, rounds: int) -> list[Figure]:
    """One network, all taking turns."""
    tables = random_tables(causes)
    ours, bare, library = in_probewright(tables), in_numpy(tables), in_pyagrum(tables)
    must_agree(tables, ours, bare)
    times = []
    for seed in range(rounds):
        drawn = tables.cases(N_CASES, seed)
        cases = np.array(drawn)
        times.append((
            _seconds(lambda: ours(cases)) / N_CASES,  # noqa: B023  called at once
            _seconds(lambda: bare(cases)) / N_CASES,  # noqa: B023  likewise
            _seconds(lambda: [library(case) for case in drawn[:N_ASKED]]) / N_ASKED,  # noqa: B023  likewise
        ))  # fmt: skip
    mine, numpys, librarys = (1e6 * statistics.median(column) for column in zip(*times, strict=True))
    faster = statistics.median(theirs / own for own, _, theirs in times)
    slower = statistics.median(own / theirs for own, theirs, _ in times)
    words = f"of {causes} causes, {N_READINGS} readings, {N_CASES} cases at once"
    return [
        Figure(f"posteriors {words}: times pyAgrum's speed", f"{faster:.0f} ({mine:.2f} to {librarys:.0f} µs a case)",
               "" if goal is None else f"at least {goal}", None if goal is None else faster >= goal),
        Figure(f"posteriors {words}: time over bare NumPy's", f"{slower:.2f} ({mine:.2f} to {numpys:.2f} µs a case)",
               f"at most {MOST_OVER_NUMPY:g}", slower <= MOST_OVER_NUMPY),
    ]  # fmt: skip


def must_agree(tables: Tables, ours: Batch, others: Batch) -> None:
    """No use in being fast and wrong; NumPy stands in for the library, which `bench_posterior.py` compares."""
    cases = np.array(tables.cases(50, seed=1))
    worst = float(np.abs(ours(cases) - others(cases)).max())
    if worst > AGREEMENT:
        raise ArithmeticError(f"Probewright and NumPy differ by {worst:.2g}")


def _seconds(work: Callable[[], object]) -> float:
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


def measure(rounds: int) -> list[Figure]:
    """Both networks."""
    return [figure for causes, goal in NETWORKS.items() for figure in compare(causes, goal, rounds)]
