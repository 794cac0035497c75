"""What following a policy costs: by everything that may happen, and in single jobs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from probewright.decision.policy import Option
from probewright.decision.problem import ANY, Decision, failed

Policy = Callable[[Decision], Option]
#: Chances under this are not followed.
SLIGHTEST = 1e-14


@dataclass(frozen=True, slots=True)
class Realised:
    """What following a policy comes to on average, as :class:`~probewright.decision.policy.Option` has it."""

    cost: float
    minutes: float
    fixed: float


def way(decision: Decision, target: int, zones: int) -> float:
    """Minutes from the present state to where a step is done, its zones opened."""
    there, state, closed = decision.state if target == ANY else target, decision.state, zones & ~decision.opened
    minutes = sum(float(m) for z, m in enumerate(decision.zone_minutes) if closed >> z & 1)
    if closed and not decision.can_open[there] and not decision.can_open[state]:
        minutes += float(decision.move[state, decision.safe])
        state, there = decision.safe, decision.safe if target == ANY else target
    return minutes + (float(decision.move[state, there]) if state != there else 0.0)


def price(decision: Decision, kind: str, k: int) -> tuple[float, float]:
    """Money and minutes of a test, or of a repair with the check after it, from where one is."""
    if kind == "test":
        minutes = way(decision, int(decision.test_state[k]), int(decision.test_zones[k])) + decision.test_minutes[k]
        return float(minutes * decision.rate + decision.test_extra[k]), float(minutes)
    there = int(decision.repair_state[k])
    minutes = way(decision, there, int(decision.repair_zones[k])) + decision.repair_minutes[k] + decision.check_minutes
    minutes += decision.move[there, decision.running] if there != decision.running else 0.0
    return float(minutes * decision.rate + decision.repair_extra[k]), float(minutes)


def stops(decision: Decision, test: int, outcome: int) -> bool:
    """Whether nothing is left after an outcome but the way out."""
    return decision.stops is not None and bool(decision.stops[decision.starts[test] + outcome])


def realised(truth: Decision, policy: Policy, believed: Decision | None = None) -> Realised:
    """What a policy comes to, over everything that may happen.

    The policy decides by what is believed; ``truth`` says what happens and what it costs.
    """
    truth = replace(truth, weights=truth.weights / truth.weights.sum())
    return Realised(*_realised(truth, policy, truth if believed is None else believed, later=False).tolist())


def _realised(truth: Decision, policy: Policy, believed: Decision, *, later: bool) -> NDArray[np.float64]:
    option, mass = policy(believed), float(truth.weights.sum())
    kind, k = option.kind, option.index
    if kind == "way_out":
        return np.array([truth.weights @ truth.way_out, 0.0, 0.0])
    total = np.array([*price(truth, kind, k), 0.0]) * mass
    if kind == "test":
        for o, row in enumerate(truth.outcome[truth.starts[k] : truth.starts[k + 1]]):
            if stops(truth, k, o):
                total[0] += truth.weights * row @ truth.way_out
            elif truth.weights @ row > SLIGHTEST:
                total += _realised(truth.after_outcome(k, o), policy, believed.after_outcome(k, o), later=later)
        return total
    later = later or bool(truth.away[k])
    left = float(failed(truth.weights, truth.pair, truth.cures[k]).sum())
    total[2] += 0.0 if later else mass - left
    if left > SLIGHTEST:
        total += _realised(truth.after_failed(k), policy, believed.after_failed(k), later=later)
    return total


class Chance:
    """What happens in one job, drawn beforehand: every policy that plays it meets the same."""

    def __init__(self, job: Decision, rng: np.random.Generator) -> None:
        self.fault = int(rng.choice(len(job.weights), p=job.weights / job.weights.sum()))
        self.tests = rng.random(len(job.test_minutes))
        self.repairs = rng.random(len(job.repair_minutes))


def play(job: Decision, policy: Policy, chance: Chance, seen: list[Decision] | None = None) -> float:
    """What one job of a single fault costs; decisions that were met are added to ``seen``."""
    fault, cost = chance.fault, 0.0
    tests, repairs = chance.tests, chance.repairs
    while True:
        if seen is not None:
            seen.append(job)
        option = policy(job)
        kind, k = option.kind, option.index
        if kind == "way_out":
            return cost + float(job.way_out[fault])
        cost += price(job, kind, k)[0]
        if kind == "repair":
            if repairs[k] < job.cures[k, fault]:
                return cost
            job, repairs = job.after_failed(k), np.delete(repairs, k)
        else:
            rows = job.outcome[job.starts[k] : job.starts[k + 1], fault]
            outcome = min(int(np.searchsorted(np.cumsum(rows), tests[k], side="right")), len(rows) - 1)
            if stops(job, k, outcome):
                return cost + float(job.way_out[fault])
            job, tests = job.after_outcome(k, outcome), np.delete(tests, k)
