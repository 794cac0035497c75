from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from probewright.learning.split import HELD_BACK, LEAST_HELD_BACK, LEAST_JOBS, TooFewJobsError, split_by_time


def test_the_last_quarter_is_held_back(make_job):
    split = split_by_time([make_job(day=i) for i in range(200)])
    assert (len(split.earlier), len(split.later)) == (150, 50)
    assert HELD_BACK == 0.25


def test_jobs_of_one_day_stay_together(make_job):
    split = split_by_time([make_job(day=0)] * 100 + [make_job(day=1)] * 70 + [make_job(day=2)] * 30)
    assert (len(split.earlier), len(split.later)) == (170, 30)


@given(st.lists(st.integers(0, 60), min_size=LEAST_JOBS, max_size=300), st.floats(0.2, 0.6))
def test_whatever_is_held_back_was_closed_later(make_job, days, share):
    jobs = [make_job(day=day) for day in sorted(days)]
    try:
        split = split_by_time(jobs, share)
    except TooFewJobsError:
        return
    assert [*split.earlier, *split.later] == jobs
    assert max(job.day for job in split.earlier) < min(job.day for job in split.later)
    assert min(len(split.earlier), len(split.later)) >= LEAST_HELD_BACK


def test_too_few_jobs_are_refused(make_job):
    with pytest.raises(TooFewJobsError, match=f"99 closed jobs are too few to learn from; at least {LEAST_JOBS}"):
        split_by_time([make_job(day=i) for i in range(99)])


def test_jobs_of_one_day_only_cannot_be_split(make_job):
    with pytest.raises(TooFewJobsError, match="all 150 jobs were closed on 2026-01-05"):
        split_by_time([make_job()] * 150)


def test_too_few_to_hold_back_are_refused(make_job):
    with pytest.raises(TooFewJobsError, match="only 5 of 150 jobs would be held back"):
        split_by_time([make_job()] * 145 + [make_job(day=1)] * 5)
