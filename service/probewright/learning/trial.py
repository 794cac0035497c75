"""How the forecasts for held-back jobs change when a pack learns.

Each job is forecast twice: at the call, from options, complaints and what works; and before any repair, with the
readings up to then.  Outcomes that exclude each other are scored: nothing wrong, each fault alone, each two faults that
were proven together in these jobs, any other two, and something unknown.  The same jobs are forecast by both packs, so
the difference of their scores is a mean of differences by job, with the standard error of such a mean.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from probewright.calibration import CLIP, Scores, scores
from probewright.engine.machine import machine_of
from probewright.inference.evaluate import Evaluation, evaluate
from probewright.inference.prepared import repairs_before
from probewright.learning.jobs import Job
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright.simulation.statistics import Estimate, mean
from probewright_schemas.closed import UNKNOWN
from probewright_schemas.records import Case

Array = NDArray[np.float64]
Index = NDArray[np.intp]

#: Of more held-back jobs than this only so many are scored, evenly spread over them.
MOST_SCORED = 2000

Verdict = Literal["better", "worse", "no clear difference"]
Hypothesis = tuple[str, ...]
_OTHER_PAIRS: Hypothesis = ("any other", "two")


@dataclass(frozen=True, slots=True)
class Change:
    """Scores of the same forecasts by the pack as it is and as learned.

    ``log`` and ``brier`` are how much the learned pack's scores are higher (worse), with intervals of 95 %.
    """

    as_is: Scores
    as_learned: Scores
    log: Estimate
    brier: Estimate

    @property
    def verdict(self) -> Verdict:
        """What the log score says: the interval of its change lies under 0, above it, or on both sides."""
        if self.log.high < 0:
            return "better"
        return "worse" if self.log.low > 0 else "no clear difference"


@dataclass(frozen=True, slots=True)
class Trial:
    """How learned numbers did on held-back jobs, at each of :data:`MOMENTS`; ``scored`` of ``held_back`` jobs."""

    held_back: int
    scored: int
    changes: Mapping[str, Change]

    @property
    def verdict(self) -> Verdict:
        """Worse when any of the forecasts is; better when any is, and none worse."""
        verdicts = {change.verdict for change in self.changes.values()}
        if "worse" in verdicts:
            return "worse"
        return "better" if "better" in verdicts else "no clear difference"


def at_the_call(case: Case) -> Case:
    """What is known when somebody has called."""
    return Case(case.family, options=case.options, complaints=case.complaints, working=case.working)


def before_repairs(case: Case) -> Case:
    """What was known before anything was repaired."""
    readings = tuple(reading for reading in case.readings if not repairs_before(case, reading))
    return replace(case, readings=readings, repairs_done=())


MOMENTS: Mapping[str, Callable[[Case], Case]] = {"at_the_call": at_the_call, "before_repairs": before_repairs}


def try_out(
    as_is: LoadedPack, as_learned: LoadedPack, settings: Settings, jobs: Sequence[Job], seed: int = 0,
    most: int = MOST_SCORED,
) -> Trial:  # fmt: skip
    """Score two packs on jobs that neither learned from.

    Parameters
    ----------
    jobs : sequence of Job
        At least one.
    seed : int
        Of the simulated null of the calibration error.
    most : int
        How many jobs are scored at most.
    """
    chosen = _spread(jobs, most)
    columns = _columns(as_is, chosen)
    truth = np.array([columns.get(job.proven, columns[_OTHER_PAIRS]) for job in chosen], dtype=np.intp)
    cases = [job.case for job in chosen]
    changes = {}
    for name, known in MOMENTS.items():
        known_of_each = [known(case) for case in cases]
        before, after = (_forecast(pack, settings, known_of_each, columns) for pack in (as_is, as_learned))
        changes[name] = _change(before, after, truth, seed)
    return Trial(len(jobs), len(chosen), changes)


def _spread(jobs: Sequence[Job], most: int) -> Sequence[Job]:
    """As many jobs as are wanted, evenly spread."""
    if len(jobs) <= most:
        return jobs
    return [jobs[i * len(jobs) // most] for i in range(most)]


def _columns(pack: LoadedPack, jobs: Sequence[Job]) -> dict[Hypothesis, int]:
    """Column of each outcome."""
    singles = [(fault.id,) for fault in pack.family.faults]
    pairs = sorted({job.proven for job in jobs if len(job.proven) > 1})
    return {outcome: i for i, outcome in enumerate([(), *singles, (UNKNOWN,), *pairs, _OTHER_PAIRS])}


def _forecast(
    pack: LoadedPack, settings: Settings, cases: Sequence[Case], columns: Mapping[Hypothesis, int],
) -> Array:  # fmt: skip
    machine = machine_of(pack)
    rules = machine.rules(settings)
    found = np.zeros((len(cases), len(columns)))
    for row, case in zip(found, cases, strict=True):
        _fill(row, evaluate(case, machine.store, rules), columns)
    return np.asarray(found / found.sum(axis=1, keepdims=True))


def _fill(row: Array, evaluation: Evaluation, columns: Mapping[Hypothesis, int]) -> None:
    """Sort a posterior into columns."""
    row[columns[()]], row[columns[(UNKNOWN,)]] = evaluation.none, evaluation.unknown
    place, together = {fault: i for i, fault in enumerate(evaluation.faults)}, evaluation.together
    for fault, i in place.items():
        row[columns[(fault,)]] = together[i, i]
    pairs = float(np.triu(together, 1).sum())
    for outcome, column in columns.items():
        if len(outcome) > 1 and outcome != _OTHER_PAIRS and all(fault in place for fault in outcome):
            low, high = sorted(place[fault] for fault in outcome)
            row[column] = together[low, high]
            pairs -= together[low, high]
    row[columns[_OTHER_PAIRS]] = max(pairs, 0.0)


def _change(before: Array, after: Array, truth: Index, seed: int) -> Change:
    log = log_of_each(after, truth) - log_of_each(before, truth)
    brier = brier_of_each(after, truth) - brier_of_each(before, truth)
    return Change(scores(before, truth, seed), scores(after, truth, seed), mean(log), mean(brier))


def log_of_each(probabilities: Array, truth: Index) -> Array:
    """Log score of each job: one for each job, in nats."""
    return np.asarray(-np.log(np.maximum(probabilities[np.arange(len(truth)), truth], CLIP)))


def brier_of_each(probabilities: Array, truth: Index) -> Array:
    """Brier score of each job: one for each job."""
    return np.asarray((probabilities**2).sum(axis=1) + 1.0 - 2.0 * probabilities[np.arange(len(truth)), truth])
