from __future__ import annotations

from pathlib import Path

import close_jobs

from probewright.learning.jobs import read_jobs
from probewright.packs.loader import load_packs


def test_closed_jobs_are_made_as_they_are_read():
    made = list(close_jobs.lines(3))
    found = read_jobs(made, load_packs().packs["gas_range"].family)
    assert not found.bad
    assert sorted(job.case.reference for job in found.jobs) == [f"invented job {i}" for i in (1, 2, 3)]
    assert list(close_jobs.lines(3)) == made


def test_the_file_holds_as_many_jobs_as_are_made_and_is_small():
    assert Path(close_jobs.OUT).stat().st_size < 300_000
    lines = Path(close_jobs.OUT).read_bytes().splitlines()
    assert len(lines) == close_jobs.JOBS
    assert all(b'"reference":"invented job ' in line for line in lines)
