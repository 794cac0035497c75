"""Scores of what was believed in simulated jobs; what is scored stands in :mod:`probewright.simulation.believed`."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import numpy as np

from probewright.calibration import Bin, scores, top_share
from probewright.simulation.believed import Held, kept
from probewright.simulation.play import Foreseen, Played
from probewright.simulation.statistics import Estimate, mean, share

Document = dict[str, Any]
_DIGITS = 6


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
    all_kept = kept(jobs, "decided")
    double = [found for found in all_kept if len(found.wrong.faults) > 1]
    ranked = [_ranked(found) for found in double]
    leads = sum(bool(likeliest) and likeliest[0] in f.wrong.faults for likeliest, f in zip(ranked, double, strict=True))
    both = sum(set(f.wrong.faults) <= set(likeliest) for likeliest, f in zip(ranked, double, strict=True))
    return {
        "jobs": len(double),
        "share": estimate(share(len(double), len(all_kept))),
        "forecast": _rounded(sum(found.forecast.two for found in all_kept) / len(all_kept)) if all_kept else 0.0,
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
