"""The benchmarks of batches measure what they say: the same posteriors, and jobs that are asked anew or not."""

from __future__ import annotations

import bench_batch
import bench_command
import numpy as np
import orjson
import pytest
from networks import random_tables

from probewright.batch.jobs import load_job
from probewright.batch.reevaluating import Reevaluator
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright_schemas.batch_records import Changes


@pytest.fixture(scope="module")
def answered():
    return bench_command.answered()


@pytest.mark.parametrize("causes", [50, 1276])
def test_the_batch_gives_what_numpy_gives(causes):
    tables = random_tables(causes)
    cases = np.array(tables.cases(40, seed=3))
    ours = bench_batch.in_probewright(tables)(cases)
    np.testing.assert_allclose(ours, bench_batch.in_numpy(tables)(cases), rtol=1e-9, atol=1e-15)
    np.testing.assert_allclose(ours.sum(axis=1), 1.0, rtol=1e-12)


def test_a_difference_is_noticed():
    tables, others = random_tables(50), random_tables(50, seed=1)
    with pytest.raises(ArithmeticError, match="differ"):
        bench_batch.must_agree(tables, bench_batch.in_probewright(tables), bench_batch.in_numpy(others))


def statuses(jobs):
    reevaluator = Reevaluator(Changes(), load_packs(), Settings())
    return {result.status for result in reevaluator.results([load_job(job) for job in jobs])}


def test_jobs_are_asked_anew_or_not_at_all(answered):
    assert len(answered) == 2000
    assert statuses(answered[:60]) == {"same"}
    assert statuses(bench_command.of_another_pack(answered[:60])) <= {"changed", "unchanged"}


def test_files_hold_as_many_jobs_as_they_should(answered, tmp_path):
    path = bench_command.write(tmp_path / "jobs.ndjson", answered[:7], 20)
    lines = [orjson.loads(line) for line in path.read_bytes().splitlines()]
    assert len({line["case"]["reference"] for line in lines}) == 20


def test_every_part_of_a_job_is_in_the_table(answered):
    some = answered[:40]
    table = bench_command.shares(bench_command.of_another_pack(some), some)
    parts = [line.split("|")[1].strip() for line in table.splitlines()]
    assert parts[2:-1] == [
        "JSON and schema: the line as it is read", "the case as a record", "digest of what the answer depends on",
        "validation of readings: ids, units, meters", "engine: verdicts, likelihoods, posterior",
        "comparison, and why", "the result as a document", "JSON out",
    ]  # fmt: skip
