"""Beliefs of simulated jobs, held against what was wrong.

What is scored are probabilities of *no fault*, each fault and *something unknown*, which exclude each other, on the
jobs in which at most one fault was there.  They are taken given just that: the probabilities of two faults at once are
left out and the rest adds up to 1, so a forecaster that is right about everything is right about these jobs, too.  Jobs
with two faults have two right answers; they are counted by themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from probewright.calibration import Bin, scores, top_share
from probewright.simulation.play import Foreseen, Played
from probewright.simulation.statistics import Estimate, mean, share
from probewright.simulation.world import Wrong

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Document = dict[str, Any]
Moment = Literal["decided", "left"]

#: Outcomes beside the faults; no id of a fault has a space.
NONE: Final = Wrong().name
UNKNOWN: Final = Wrong(unknown=True).name
_DIGITS = 6


@dataclass(frozen=True, slots=True, eq=False)
class Held:
    """Beliefs at one moment of the jobs that had at most one fault then.

    Attributes
    ----------
    outcomes : tuple of str
        No fault, each fault in the pack's order, something unknown.
    probabilities : ndarray of shape (n_cases, n_outcomes); each row adds up to 1
    truth : ndarray of int, shape (n_cases,)
        The outcome that was so.
    """

    outcomes: tuple[str, ...]
    probabilities: Array
    truth: Index


def held(jobs: Sequence[Played], moment: Moment, faults: tuple[str, ...]) -> Held:
    """What was believed at a moment; of jobs that kept it."""
    outcomes = (NONE, *faults, UNKNOWN)
    place = {outcome: i for i, outcome in enumerate(outcomes)}
    single = [found for found in _kept(jobs, moment) if len(found.wrong.faults) < 2]
    rows = [found.forecast.single(faults) for found in single]
    truth = [place[found.wrong.name] for found in single]
    probabilities = np.array(rows, dtype=np.float64).reshape(len(rows), len(outcomes))
    return Held(outcomes, probabilities, np.array(truth, dtype=np.intp))


def _kept(jobs: Sequence[Played], moment: Moment) -> list[Foreseen]:
    found = [job.decided if moment == "decided" else job.left for job in jobs]
    return [foreseen for foreseen in found if foreseen is not None]


def stage_document(found: Held, seed: int, goal: float) -> Document:
    """Scores of what was believed at a moment, with what a perfectly calibrated forecaster would score.

    ``jobs`` that count; ``probability`` of what was wrong, and whether it was the likeliest (``top_1``) or among the
    likeliest three (``top_3``), with their intervals; ``calibration_error``, ``brier`` and ``log`` (nats), each with a
    ``value``, the value that a perfectly calibrated forecaster stays under in 95 % of such sets of jobs (``null_95``)
    and whether this one is ``inside``; and the ``reliability`` table of the likeliest outcome: how likely it was held
    to be (``confidence``), how often it was so (``frequency``, with its interval).  ``calibration_error`` has also
    the mean of perfect forecasters (``null_mean``), and whether the ``goal`` was ``reached``.
    """
    told = scores(found.probabilities, found.truth, seed)
    null, count = told.null, told.count
    of_truth = found.probabilities[np.arange(count), found.truth]
    error = _against(told.ece, null.ece_95)
    return {
        "jobs": count,
        "probability": estimate(mean(of_truth)),
        "top_1": estimate(share(round(told.top_1 * count), count)),
        "top_3": estimate(share(round(told.top_3 * count), count)),
        "calibration_error": {
            **error, "null_mean": _rounded(null.ece_mean), "goal": goal, "reached": told.ece <= goal,
        },
        "brier": _against(told.brier, null.brier_95),
        "log": _against(told.log, null.log_95),
        "reliability": [_bin(row) for row in told.bins],
    }  # fmt: skip


def _against(value: float, limit: float) -> Document:
    return {"value": _rounded(value), "null_95": _rounded(limit), "inside": value <= limit}


def _bin(row: Bin) -> Document:
    told = {name: _rounded(value) for name, value in asdict(row).items() if name != "count"}
    known = share(round(row.frequency * row.count), row.count)
    return {**told, "jobs": row.count, "frequency_low": _rounded(known.low), "frequency_high": _rounded(known.high)}


def two_faults(jobs: Sequence[Played]) -> Document:
    """Jobs with two faults at once, when the first repair was decided on.

    ``jobs`` with two faults and their ``share`` of all; ``forecast``, the mean probability that was given to it over
    all jobs; how often one of the two was the likeliest fault (``one_leads``), and how often both were among the
    likeliest three (``both_among_three``).
    """
    kept = _kept(jobs, "decided")
    double = [found for found in kept if len(found.wrong.faults) > 1]
    ranked = [_ranked(found) for found in double]
    leads = sum(bool(likeliest) and likeliest[0] in f.wrong.faults for likeliest, f in zip(ranked, double, strict=True))
    both = sum(set(f.wrong.faults) <= set(likeliest) for likeliest, f in zip(ranked, double, strict=True))
    return {
        "jobs": len(double),
        "share": estimate(share(len(double), len(kept))),
        "forecast": _rounded(sum(found.forecast.two for found in kept) / len(kept)) if kept else 0.0,
        "one_leads": estimate(share(leads, len(double))),
        "both_among_three": estimate(share(both, len(double))),
    }


def _ranked(found: Foreseen) -> list[str]:
    """The three likeliest faults."""
    present = found.forecast.present
    return sorted(present, key=lambda fault: (-present[fault], fault))[:3]


def by_outcome(found: Held) -> list[Document]:
    """For everything that was wrong in some job: in how many, how likely it was held to be, how often it led."""
    told = []
    for place, outcome in enumerate(found.outcomes):
        rows, truth = found.probabilities[found.truth == place], found.truth[found.truth == place]
        if len(rows):
            told.append({
                "outcome": outcome, "jobs": len(rows), "probability": _rounded(float(rows[:, place].mean())),
                "top_1": _rounded(top_share(rows, truth, 1)),
            })  # fmt: skip
    return told


def confusion(found: Held) -> list[Document]:
    """In how many jobs each outcome was so (``truth``) and was held to be likeliest (``leading``); in pack order."""
    if not len(found.truth):
        return []
    pairs = np.stack([found.truth, found.probabilities.argmax(axis=1)], axis=1)
    cells, counts = np.unique(pairs, axis=0, return_counts=True)
    return [
        {"truth": found.outcomes[truth], "leading": found.outcomes[leading], "jobs": count}
        for (truth, leading), count in zip(cells.tolist(), counts.tolist(), strict=True)
    ]


def estimate(found: Estimate) -> Document:
    """An estimate for JSON."""
    return {name: _rounded(value) for name, value in found._asdict().items()}


def _rounded(value: float) -> float:
    return round(value, _DIGITS)
