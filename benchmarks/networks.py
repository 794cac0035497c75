"""One network, in two general-purpose libraries: a cause of many values and readings that are independent given it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pyagrum as gum
from numpy.typing import NDArray

Array = NDArray[np.float64]
Solver = Callable[[tuple[int, ...]], Array]
"""From the outcome of each reading to the posterior of the causes, shape (n_causes,)."""

SEED = 20_251
N_READINGS, N_OUTCOMES = 8, 5


@dataclass(frozen=True, slots=True)
class Tables:
    """``prior`` of shape (n_causes,); ``outcomes`` of shape (n_readings, n_outcomes, n_causes), P(outcome | cause)."""

    prior: Array
    outcomes: Array

    def cases(self, count: int, seed: int) -> list[tuple[int, ...]]:
        """Readings drawn evenly, so that no case repeats often."""
        random = np.random.default_rng(seed)
        readings, outcomes, _ = self.outcomes.shape
        return [tuple(int(v) for v in row) for row in random.integers(outcomes, size=(count, readings))]


def random_tables(n_causes: int, seed: int = SEED) -> Tables:
    """Invented numbers: only their shape matters here."""
    random = np.random.default_rng(seed)
    prior = random.dirichlet(np.ones(n_causes))
    outcomes = random.dirichlet(np.full(N_OUTCOMES, 0.5), size=(N_READINGS, n_causes)) * (1 - 1e-6 * N_OUTCOMES) + 1e-6
    return Tables(prior, np.ascontiguousarray(outcomes.swapaxes(1, 2)))


def in_pyagrum(tables: Tables) -> Solver:
    """Lazy propagation, the library's default; the engine is made once and only its evidence changes."""
    readings, n_outcomes, n_causes = tables.outcomes.shape
    names = [f"reading_{i}" for i in range(readings)]
    net = gum.BayesNet()
    net.add(gum.LabelizedVariable("cause", "", n_causes))
    net.cpt("cause").fillWith(tables.prior.tolist())
    for name, table in zip(names, tables.outcomes, strict=True):
        net.add(gum.LabelizedVariable(name, "", n_outcomes))
        net.addArc("cause", name)
        for cause in range(n_causes):
            net.cpt(name)[{"cause": cause}] = table[:, cause].tolist()
    inference = gum.LazyPropagation(net)
    inference.addTarget("cause")

    def solve(case: tuple[int, ...]) -> Array:
        inference.setEvidence(dict(zip(names, case, strict=True)))
        inference.makeInference()
        return np.asarray(inference.posterior("cause").toarray())

    return solve


def in_pgmpy(tables: Tables) -> Solver:
    """Variable elimination, the library's usual way; the engine is made once."""
    # Only here: tests use these networks, too, where this library is not installed.
    from pgmpy.factors.discrete import TabularCPD  # noqa: PLC0415
    from pgmpy.inference import VariableElimination  # noqa: PLC0415
    from pgmpy.models import DiscreteBayesianNetwork  # noqa: PLC0415

    readings, n_outcomes, n_causes = tables.outcomes.shape
    names = [f"reading_{i}" for i in range(readings)]
    model = DiscreteBayesianNetwork([("cause", name) for name in names])
    model.add_cpds(TabularCPD("cause", n_causes, tables.prior[:, None]))
    for name, table in zip(names, tables.outcomes, strict=True):
        model.add_cpds(TabularCPD(name, n_outcomes, table, evidence=["cause"], evidence_card=[n_causes]))
    inference = VariableElimination(model)

    def solve(case: tuple[int, ...]) -> Array:
        evidence = dict(zip(names, case, strict=True))
        return np.asarray(inference.query(["cause"], evidence=evidence, show_progress=False).values)

    return solve
