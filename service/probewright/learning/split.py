"""Earlier jobs to learn from, and later ones to try what was learned on: the order in which a shop lives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from probewright.errors import RequestError
from probewright.learning.jobs import Job

#: Share of the jobs that is held back, the last ones.
HELD_BACK = 0.25
#: Jobs in all, and jobs held back, without which nothing is learned.
LEAST_JOBS = 100
LEAST_HELD_BACK = 20


class TooFewJobsError(RequestError):
    """Too few closed jobs to learn from, or to say what learning does."""

    code = "too_few_jobs"


@dataclass(frozen=True, slots=True)
class Split:
    """Jobs that were closed earlier, and those that were closed after all of them."""

    earlier: tuple[Job, ...]
    later: tuple[Job, ...]


def split_by_time(jobs: Sequence[Job], share: float = HELD_BACK) -> Split:
    """Hold back the jobs that were closed last.

    Jobs of one day stay together: the first day of the later part is the one in which the share begins, unless leaving
    that day to the earlier part comes nearer to the share.

    Parameters
    ----------
    jobs : sequence of Job
        In the order of their days.
    share : float
        More than 0, less than 1.

    Raises
    ------
    TooFewJobsError
        For fewer than :data:`LEAST_JOBS` jobs, or fewer than :data:`LEAST_HELD_BACK` in either part.
    """
    if len(jobs) < LEAST_JOBS:
        raise TooFewJobsError(f"{len(jobs)} closed jobs are too few to learn from; at least {LEAST_JOBS}")
    days = [job.day for job in jobs]
    wanted = len(jobs) * (1.0 - share)
    begins = [i for i in range(1, len(days)) if days[i] != days[i - 1]]
    if not begins:
        raise TooFewJobsError(f"all {len(jobs)} jobs were closed on {days[0]}: none are later than others")
    cut = min(begins, key=lambda i: (abs(i - wanted), i))
    split = Split(tuple(jobs[:cut]), tuple(jobs[cut:]))
    if min(len(split.earlier), len(split.later)) < LEAST_HELD_BACK:
        raise TooFewJobsError(
            f"only {len(split.later)} of {len(jobs)} jobs would be held back, and {len(split.earlier)} learned from; "
            f"at least {LEAST_HELD_BACK} each are needed (jobs of one day stay together)"
        )
    return split
