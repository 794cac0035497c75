"""The search for the next step: what following it costs beyond the exact optimum, and how long a decision takes.

Jobs are those of ``tests/support/random_jobs.py``, all invented: so many faults (the last of which no repair cures), so
many tests, access zones, states, a repair for each fault and modules that take the place of several parts.

- *Regret* is the expected cost of following the advice, by enumeration of all that may happen, over the least that any
  plan could cost (``tests/support/exact.py``), less 1.
- Larger jobs are beyond an exact solution.  There policies play the same jobs with the same luck: ratios of their mean
  costs, over problems, with the standard error of the mean ratio.
- A decision is timed from the record to the choice, in states met while jobs are played by the advice; counted is the
  processor's time, for a decision does nothing but compute.

Run alone: ``python benchmarks/bench_planner.py``, with ``--full`` for ten faults and eight tests, which take an exact
solution minutes each.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Iterator, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray
from table import Figure, figures_table

from probewright.decision.policy import Option, choose, one_step, repairs_only, telling
from probewright.decision.problem import Decision
from support.exact import exact
from support.played import Chance, Policy, play, realised
from support.random_jobs import perturbed, random_job

Array = NDArray[np.float64]
Size = tuple[int, int]

SEED: Final = 20_000
#: Size of job, and how many of them are solved exactly.
SOLVED: Final[dict[Size, int]] = {(6, 5): 200, (8, 6): 100}
FULL: Final[dict[Size, int]] = {(10, 8): 5}
N_WRONG: Final = 150
#: Goals for regret: mean, 95th percentile, worst.
REGRET: Final[dict[Size, tuple[float, ...]]] = {(6, 5): (0.005, 0.02, 0.05), (8, 6): (0.006, 0.025), (10, 8): (0.01,)}
GAP, WRONG_MODEL = 0.04, 0.08
TIMED: Final[Sequence[Size]] = ((12, 10), (20, 15), (40, 25))
N_DECISIONS: Final = 250
#: Goals for the 99th percentile of a thorough decision, in milliseconds.
SLOWEST_MS: Final[dict[Size, float]] = {(12, 10): 5.0, (40, 25): 20.0}
LARGE: Final[Size] = (40, 25)
N_PROBLEMS, N_JOBS = 12, 100
SURE_ENOUGH: Final = 0.8


def thorough(decision: Decision) -> Option:
    """The search, at its best."""
    return choose(decision).best


def quick(decision: Decision) -> Option:
    """The search, at the effort that is usual."""
    return choose(decision, "quick").best


def checklist(decision: Decision) -> Option:
    """Tests as listed, what is open to all first, until a repair is likely enough; then repairs by chance over cost."""
    repairs = repairs_only(decision)
    likely = (decision.cures @ decision.weights).max(initial=0.0) / decision.weights.sum()
    if likely >= SURE_ENOUGH or not len(decision.test_zones):
        return repairs
    return Option("test", int(np.argmin(decision.test_zones)), np.nan, np.nan, np.nan)


RIVALS: Final[dict[str, tuple[Policy, float]]] = {
    "one step of expected value": (one_step, 1.03),
    "information gain for its cost": (telling, 1.03),
    "a checklist": (checklist, 1.2),
}


def jobs(size: Size, count: int) -> Iterator[Decision]:
    """The problems of a size."""
    for k in range(count):
        yield random_job(np.random.default_rng((SEED, *size, k)), *size)


def regrets(size: Size, count: int) -> list[Figure]:
    """Against the exact optimum."""
    efforts = {"thorough": thorough, "quick": quick}
    regret: dict[str, list[float]] = {effort: [] for effort in efforts}
    gap: dict[str, list[float]] = {effort: [] for effort in efforts}
    for job in jobs(size, count):
        least, alone = exact(job), repairs_only(job).cost
        for effort, policy in efforts.items():
            shown, found = policy(job).cost, realised(job, policy).cost
            if not least * (1 - 1e-9) <= found <= shown * (1 + 1e-9) <= alone * (1 + 2e-9):
                raise ArithmeticError(f"{effort}: not in order: {least}, {found}, {shown}, {alone}")
            regret[effort].append(found / least - 1)
            gap[effort].append(shown / found - 1)
    return [_regret(size, effort, np.array(regret[effort]), np.array(gap[effort])) for effort in efforts]


def _regret(size: Size, effort: str, regret: Array, gap: Array) -> Figure:
    found = (regret.mean(), np.quantile(regret, 0.95), regret.max())
    what = f"{effort}, {size[0]} faults, {size[1]} tests, {len(regret)} jobs: cost over the optimum, %"
    value = "mean {:.2f}, 95 % of jobs under {:.1f}, worst {:.1f}".format(*(100 * x for x in found))
    value += f"; shown {100 * gap.mean():.1f} more"
    if effort != "thorough":
        return Figure(what, value)
    goals = REGRET[size]
    words = ", ".join(f"{100 * goal:g}" for goal in goals)
    met = all(x <= goal for x, goal in zip(found, goals, strict=False)) and bool(gap.mean() <= GAP)
    return Figure(what, value, f"at most {words}; {100 * GAP:g} more", met)


def wrong_model(count: int) -> Figure:
    """Planned on a model that is off, and judged by the true one."""
    regret = []
    for k, job in enumerate(jobs((6, 5), count)):
        believed = perturbed(np.random.default_rng((SEED, k)), job, prior=0.5, likelihood=0.5, cost=0.3)
        regret.append(realised(job, thorough, believed).cost / exact(job) - 1)
    mean, error = _mean(np.array(regret))
    return Figure(
        f"thorough by a wrong model (prior and likelihoods off by 0.5, costs by 0.3, in logarithms), {count} jobs, %",
        f"mean {100 * mean:.1f} ± {100 * error:.1f}", f"at most {100 * WRONG_MODEL:g}", mean <= WRONG_MODEL,
    )  # fmt: skip


def remembered(policy: Policy) -> Policy:
    """The same policy, which decides once about each state that it meets."""
    known: dict[tuple[object, ...], Option] = {}

    def decide(decision: Decision) -> Option:
        key = (decision.weights.tobytes(), decision.state, decision.opened, len(decision.test_minutes))
        if key not in known:
            known[key] = policy(decision)
        return known[key]

    return decide


def rivals(size: Size, problems: int, count: int) -> list[Figure]:
    """Mean costs of other policies over those of the search, on the same jobs with the same luck."""
    policies = {"thorough": thorough, "quick": quick, **{name: policy for name, (policy, _) in RIVALS.items()}}
    means = np.array([[_mean_cost(job, policy, k, count) for policy in policies.values()]
                      for k, job in enumerate(jobs(size, problems))])  # fmt: skip
    cost = dict(zip(policies, means.T, strict=True))
    where = f"{size[0]} faults, {size[1]} tests, {problems} jobs {count} times"
    found = []
    for name, (_, goal) in RIVALS.items():
        ratio, error = _mean(cost[name] / cost["thorough"])
        by_quick, error_by_quick = _mean(cost[name] / cost["quick"])
        value = f"{ratio:.3f} ± {error:.3f}; over quick {by_quick:.3f} ± {error_by_quick:.3f}"
        found.append(Figure(f"{name}, cost over thorough's, {where}", value, f"at least {goal}", bool(ratio >= goal)))
    ratio, error = _mean(cost["quick"] / cost["thorough"])
    return [*found, Figure(f"quick, cost over thorough's, {where}", f"{ratio:.3f} ± {error:.3f}")]


def _mean_cost(job: Decision, policy: Policy, problem: int, count: int) -> float:
    decide = remembered(policy)
    chances = (Chance(job, np.random.default_rng((SEED, problem, n))) for n in range(count))
    return float(np.mean([play(job, decide, chance) for chance in chances]))


def _mean(values: Array) -> tuple[float, float]:
    """Mean and its standard error."""
    return float(values.mean()), float(values.std(ddof=1) / np.sqrt(len(values)))


def times(size: Size, count: int) -> list[Figure]:
    """How long one decision takes, absolutely and over one step of expected value."""
    met = _states(size, count)
    timed: dict[str, Callable[[Decision], object]] = {"thorough": thorough, "quick": quick, "one step": one_step}
    spent = {name: np.array([_milliseconds(decide, decision) for decision in met]) for name, decide in timed.items()}
    short = [sum(choose(decision, effort).fell_back for decision in met) for effort in ("thorough", "quick")]
    found = []
    for name, fell_back in zip(("thorough", "quick"), short, strict=True):
        mean, slowest = spent[name].mean(), float(np.quantile(spent[name], 0.99))
        value = f"{mean / spent['one step'].mean():.0f} (mean {mean:.2f}, 99 % within {slowest:.1f} ms)"
        value += f", {fell_back} of {len(met)} cut short" if fell_back else ""
        what = f"a {name} decision, {size[0]} faults, {size[1]} tests: time over one step of expected value"
        goal = SLOWEST_MS.get(size) if name == "thorough" else None
        wanted = "" if goal is None else f"99 % within {goal:g} ms"
        found.append(Figure(what, value, wanted, None if goal is None else slowest <= goal))
    return found


def _states(size: Size, count: int) -> list[Decision]:
    """Decisions met along jobs that are played by the search, a few times each problem."""
    met: list[Decision] = []
    for k, job in enumerate(jobs(size, count)):
        for n in range(3):
            play(job, thorough, Chance(job, np.random.default_rng((SEED, k, n))), met)
        if len(met) >= count:
            break
    return met[:count]


def _milliseconds(decide: Callable[[Decision], object], decision: Decision) -> float:
    begin = time.process_time_ns()
    decide(decision)
    return 1e-6 * (time.process_time_ns() - begin)


def measure(*, full: bool = False) -> list[Figure]:
    """All of it, the compiling done before."""
    found = [figure for size in TIMED for figure in times(size, N_DECISIONS)]
    solved = {**SOLVED, **(FULL if full else {})}
    found += [figure for size, count in solved.items() for figure in regrets(size, count)]
    return [*found, wrong_model(N_WRONG), *rivals(LARGE, N_PROBLEMS, N_JOBS)]


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--full", action="store_true", help="jobs of ten faults and eight tests, too")
    print(figures_table(measure(full=parser.parse_args().full)))
