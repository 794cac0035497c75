"""Tables of ours read by others alone: pyarrow, duckdb, and the csv module."""

from __future__ import annotations

import csv
import json
import math

import cases as benchmark
import duckdb
import pyarrow.parquet
import pytest

from probewright.batch.files import open_jobs, write_jobs
from probewright.batch.files.case_table import CASES

JOBS = [{"case": case} for case in benchmark.cases("none")[:400]]
READINGS = [reading for job in JOBS for reading in job["case"]["readings"]]
VALUES = [reading["value"] for reading in READINGS if "value" in reading]
COMPLAINTS = [complaint for job in JOBS for complaint in job["case"]["complaints"]]
SQL = """select count(distinct job), count(*) filter (row = 'reading'), count(*) filter (row = 'complaint'),
         sum(value), count(value), count(*) filter (over_range) from {}"""


def wanted():
    """Counted from the documents."""
    over = sum(1 for reading in READINGS if reading.get("over_range"))
    return (len(JOBS), len(READINGS), len(COMPLAINTS), math.fsum(VALUES), len(VALUES), over)


def close(got):
    assert got[:3] + got[4:] == wanted()[:3] + wanted()[4:]
    assert got[3] == pytest.approx(wanted()[3], rel=1e-12)


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("tables")
    for ending in ("csv", "csv.gz", "csv.zst", "parquet"):
        write_jobs(iter(JOBS), str(folder / f"a.{ending}"))
    return folder


@pytest.mark.parametrize("ending", ["csv", "csv.gz", "csv.zst", "parquet"])
def test_duckdb_counts_and_sums_what_the_documents_hold(written, ending):
    with duckdb.connect() as base:
        close(base.execute(SQL.format(f"'{written / f'a.{ending}'}'")).fetchone())


def test_duckdb_finds_the_types_of_parquet(written):
    names = {"text": "VARCHAR", "number": "DOUBLE", "whole": "BIGINT", "flag": "BOOLEAN", "day": "DATE",
             "numbers": "DOUBLE[]", "texts": "VARCHAR[]"}  # fmt: skip
    with duckdb.connect() as base:
        found = base.execute(f"describe select * from '{written / 'a.parquet'}'").fetchall()
    assert [(row[0], row[1]) for row in found] == [(c.name, names[c.kind]) for c in CASES.columns]


def test_pyarrow_reads_the_readings_in_order(written):
    rows = pyarrow.parquet.read_table(written / "a.parquet").to_pylist()
    got = [(row["test"], row["value"], row["seen"], row["unit"]) for row in rows if row["row"] == "reading"]
    assert got == [tuple(reading.get(n) for n in ("test", "value", "seen", "unit")) for reading in READINGS]


def test_the_csv_module_reads_the_readings_in_order(written):
    with (written / "a.csv").open(newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["row"] == "reading"]
    got = [(row["test"], float(row["value"]) if row["value"] else None, row["seen"] or None) for row in rows]
    assert got == [tuple(reading.get(name) for name in ("test", "value", "seen")) for reading in READINGS]


@pytest.mark.parametrize("ending", ["csv", "parquet"])
def test_what_duckdb_copies_is_read_as_it_was(written, tmp_path, ending):
    copied = tmp_path / f"copy.{ending}"
    how = "(format parquet)" if ending == "parquet" else "(header, delimiter ';')"
    with duckdb.connect() as base:
        base.execute(f"copy (from '{written / f'a.{ending}'}') to '{copied}' {how}")
    got = [json.loads(item.job) for item in open_jobs([str(copied)])]
    assert got == JOBS
