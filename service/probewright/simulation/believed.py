"""Beliefs of simulated jobs beside what was wrong.

What counts are probabilities of *no fault*, each fault and *something unknown*, which exclude each other, on the jobs
in which at most one fault was there.  They are taken given just that: the probabilities of two faults at once are left
out and the rest adds up to 1, so a forecaster that is right about everything is right about these jobs, too.  Jobs with
two faults have two right answers; they are counted by themselves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from probewright.simulation.play import Foreseen, Played
from probewright.simulation.world import Wrong

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Moment = Literal["decided", "left"]

#: Outcomes beside the faults; no id of a fault has a space.
NONE: Final = Wrong().name
UNKNOWN: Final = Wrong(unknown=True).name


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
    single = [found for found in kept(jobs, moment) if len(found.wrong.faults) < 2]
    rows = [found.forecast.single(faults) for found in single]
    truth = [place[found.wrong.name] for found in single]
    probabilities = np.array(rows, dtype=np.float64).reshape(len(rows), len(outcomes))
    return Held(outcomes, probabilities, np.array(truth, dtype=np.intp))


def kept(jobs: Sequence[Played], moment: Moment) -> list[Foreseen]:
    """What was believed at a moment, of every job that kept it."""
    found = [job.decided if moment == "decided" else job.left for job in jobs]
    return [foreseen for foreseen in found if foreseen is not None]
