"""The posterior of one case of 50 faults and 8 readings, against general-purpose libraries on the same network.

The network is a cause of many values and readings that are independent given it: once with one fault at a time (50
causes), and once with the sets of up to two that the service weighs (no fault, 50 single faults, 1225 pairs).  Both
libraries do exact inference the way their documentation shows: in pyAgrum ``setEvidence``, ``makeInference`` and
``posterior`` of a ``LazyPropagation``, in pgmpy ``query`` of a ``VariableElimination``.  Networks and engines are made
beforehand.  Timed is one case, from the outcome of each reading to an array of probabilities: here the look-up of each
reading's likelihoods and Bayes' rule.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterable

import numpy as np
from networks import N_READINGS, Array, Solver, Tables, in_pgmpy, in_pyagrum, random_tables
from table import Figure

from probewright.inference.posterior import posterior

N_FAULTS = 50
NETWORKS = {
    f"{N_FAULTS} faults, one at a time": N_FAULTS,
    f"{N_FAULTS} faults, sets of up to two": 1 + N_FAULTS + N_FAULTS * (N_FAULTS - 1) // 2,
}
LIBRARIES = {"pyAgrum": (in_pyagrum, 10), "pgmpy": (in_pgmpy, 100)}
AGREEMENT = 1e-9
CALLS_OURS, CALLS_THEIRS = 1000, 60


def in_probewright(tables: Tables) -> Solver:
    """Look up each reading's log-likelihoods, as in a compiled pack, and combine them."""
    log_prior = np.log(tables.prior)
    log_outcomes = np.log(tables.outcomes)
    every = np.arange(len(log_outcomes))

    def solve(case: tuple[int, ...]) -> Array:
        return posterior(log_prior, log_outcomes[every, case]).probabilities

    return solve


def seconds_a_call(solve: Callable[[tuple[int, ...]], object], cases: Iterable[tuple[int, ...]], calls: int) -> float:
    """Mean time of solving each of so many cases once."""
    begin = time.perf_counter()
    for case in cases:
        solve(case)
    return (time.perf_counter() - begin) / calls


def must_agree(ours: Solver, theirs: Solver, cases: Iterable[tuple[int, ...]], library: str) -> None:
    """No use in being fast and wrong."""
    for case in cases:
        worst = float(np.abs(ours(case) - theirs(case)).max())
        if worst > AGREEMENT:
            raise ArithmeticError(f"{library} and Probewright differ by {worst:.2g} on {case}")


def compare(tables: Tables, words: str, rounds: int) -> list[Figure]:
    """One network against every library, taking turns."""
    ours = in_probewright(tables)
    found = []
    for library, (make, goal) in LIBRARIES.items():
        theirs = make(tables)
        must_agree(ours, theirs, tables.cases(20, seed=1), library)
        times = []
        for i in range(rounds):
            mine = seconds_a_call(ours, tables.cases(CALLS_OURS, seed=i), CALLS_OURS)
            other = seconds_a_call(theirs, tables.cases(CALLS_THEIRS, seed=i), CALLS_THEIRS)
            times.append((mine, other))
        mine, other = (statistics.median(column) for column in zip(*times, strict=True))
        ratio = statistics.median(b / a for a, b in times)
        value = f"{ratio:.1f} ({1e6 * mine:.1f} to {1e6 * other:.0f} µs)"
        what = f"posterior of {words}, {N_READINGS} readings: times {library}'s speed"
        found.append(Figure(what, value, f"at least {goal}", ratio >= goal))
    return found


def measure(rounds: int) -> list[Figure]:
    """Both networks."""
    return [f for words, n_causes in NETWORKS.items() for f in compare(random_tables(n_causes), words, rounds)]
