"""Memory does not grow with the size of a file."""

from __future__ import annotations

import tracemalloc

import pyarrow
import pyarrow.parquet
import pytest

from probewright.batch.files import open_jobs, write_jobs

ROWS = 200_000
#: Of text, a hundred bytes a row would be 20 MB, and as Python's objects several times that.
MOST = 16 * 2**20


def jobs():
    for number in range(ROWS // 5):
        readings = [{"test": f"invented_test_{n}", "value": number + n / 8, "unit": "V"} for n in range(3)]
        yield {"case": {"family": "gas_range", "reference": f"invented job {number}", "complaints": ["no_heat"],
                        "readings": readings}}  # fmt: skip


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("large")

    def write(ending):
        path = folder / f"a.{ending}"
        if not path.exists():
            assert write_jobs(jobs(), str(path)) == ROWS // 5
        return str(path)

    return write


@pytest.mark.parametrize("ending", ["ndjson", "ndjson.gz", "ndjson.zst", "csv", "parquet"])
def test_reading_two_hundred_thousand_rows_takes_bounded_memory(written, ending):
    """Five rows a case: the case itself, its complaint, three readings.  Arrow's own memory is counted beside."""
    path = written(ending)
    arrow = count = 0
    tracemalloc.start()
    try:
        for item in open_jobs([path]):
            count += item.job is not None
            if count % 500 == 0:
                arrow = max(arrow, pyarrow.total_allocated_bytes())
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert count == ROWS // 5
    assert peak < MOST
    assert arrow < MOST
    assert (arrow > 0) == (ending == "parquet")


def test_holding_them_all_would_break_the_bound(written):
    path = written("ndjson")
    tracemalloc.start()
    try:
        held = list(open_jobs([path]))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert len(held) == ROWS // 5
    assert peak > MOST


def test_holding_a_whole_parquet_file_would_break_the_bound(written):
    table = pyarrow.parquet.read_table(written("parquet"))
    assert table.nbytes > MOST
