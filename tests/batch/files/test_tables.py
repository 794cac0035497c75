"""Jobs to a table and back: nothing is lost."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import cases as benchmark
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from marshmallow import Schema

from probewright.batch.files import open_jobs, write_jobs
from probewright.batch.files.case_table import CASES
from probewright.batch.files.result_table import RESULTS
from probewright_schemas.batch import ReevaluationSchema, StoredJobSchema
from probewright_schemas.fields import Item, Keyed, Listing
from probewright_schemas.load import loader
from support.stored_jobs import jobs

LOAD = loader(StoredJobSchema())
#: Large documents shrink slowly: a failure shows the one that was drawn.
PHASES = (Phase.explicit, Phase.generate)
ENDINGS = ("csv", "csv.gz", "csv.zst", "parquet")
TABLES = pytest.mark.parametrize("ending", ENDINGS)
DEMO = Path(__file__).parents[3] / "demo"


def back(written, path):
    """What comes back of jobs that were written into a table."""
    assert write_jobs(iter(written), str(path), overwrite=True) == len(written)
    items = list(open_jobs([str(path)]))
    assert [item.reason for item in items] == [None] * len(written)
    assert [item.line for item in items] == list(range(1, len(written) + 1))
    return [json.loads(item.job) for item in items]


def same(written, got):
    assert len(written) == len(got)
    for one, other in zip(written, got, strict=True):
        assert repr(LOAD(one)) == repr(LOAD(other))  # that of -0.0 is its own
        assert rest(one) == rest(other)


def rest(job):
    return {name: value for name, value in job.items() if name not in ("case", "answer")}


@TABLES
def test_a_job_with_something_of_everything_comes_back(tmp_path, full, ending):
    got = back([full, full], tmp_path / f"a.{ending}")
    same([full, full], got)
    assert got[0]["case"]["readings"][3]["conditions"] == {}
    assert got[0]["case"]["readings"][4]["correction"] == {}
    assert got[0]["answer"] == full["answer"]


@settings(max_examples=60, deadline=None, derandomize=True, phases=PHASES)
@given(st.lists(jobs(), min_size=1, max_size=3))
def test_any_jobs_come_back_from_csv(tmp_path_factory, written):
    same(written, back(written, tmp_path_factory.getbasetemp() / "drawn.csv"))


@settings(max_examples=60, deadline=None, derandomize=True, phases=PHASES)
@given(st.lists(jobs(), min_size=1, max_size=3))
def test_any_jobs_come_back_from_parquet(tmp_path_factory, written):
    same(written, back(written, tmp_path_factory.getbasetemp() / "drawn.parquet"))


@TABLES
def test_the_demo_jobs_and_the_benchmarks_cases_come_back(tmp_path, ending):
    sound = [case for path in sorted((DEMO / "cases").glob("*.json")) if (case := sound_job(path.read_text()))]
    closed = [json.loads(line) for line in (DEMO / "closed_jobs.ndjson").read_text().splitlines()[:200]]
    benched = [{"case": case} for case in benchmark.cases("quick")[:200]]
    written = [*sound, *closed, *benched]
    assert len(sound) >= 8
    same(written, back(written, tmp_path / f"a.{ending}"))


def sound_job(text):
    """The demo has one case that is wrong on purpose."""
    job = {"case": json.loads(text)}
    try:
        LOAD(job)
    except ValueError:
        return None
    return job


def members(schema: Schema, path=()):
    """The paths of all that a document of a schema may hold; of arrays and objects of any names, of one item."""
    for name, field in schema.fields.items():
        here = (*path, field.data_key or name)
        inner = field.inner if isinstance(field, Listing) else field.value_field if isinstance(field, Keyed) else field
        yield from members(inner.schema, here) if isinstance(inner, Item) else [here]


def columns(table, drop=0):
    return {(*kind.at, *path)[drop:] for kind in table.kinds for path in kind.columns.values()}


def test_every_member_of_a_case_and_of_an_answer_has_its_column():
    shared = {("case", "reference"), ("case", "family")}
    wanted = set(members(StoredJobSchema()))
    assert wanted - columns(CASES) == shared
    assert columns(CASES) - wanted == {("other",)}


def test_every_member_of_a_result_has_its_column():
    """But for the whole new answer, where one was asked for: NDJSON has that."""
    shared = {("reference",), ("family",), ("pack", "family")}
    wanted = {path for path in members(ReevaluationSchema()) if path[0] != "answer"}
    of_result = {path[1:] for path in columns(RESULTS) if path[0] == "result"}
    assert wanted - of_result == shared
    assert of_result <= wanted


@pytest.mark.parametrize("table", [CASES, RESULTS], ids=["cases", "results"])
def test_columns_and_rows_are_declared_once_and_belong_together(table):
    names = [column.name for column in table.columns]
    used = {name for kind in table.kinds for name in (*kind.columns, kind.key, *(["empty"] if kind.empty else []))}
    assert len(set(names)) == len(names)
    assert used - {None} | set(table.shared) == set(names)
    assert len({kind.name for kind in table.kinds}) == len(table.kinds)


def test_no_text_is_a_formula_and_every_number_is_a_number(tmp_path, full):
    full["case"]["reference"] = "=HYPERLINK(1)"
    full["case"]["complaints"] = ["@x", "+y", "-z", "'=w", "'plain"]
    full["case"]["readings"][0]["value"] = -2.5
    got = back([full], tmp_path / "a.csv")
    same([full], got)
    with (tmp_path / "a.csv").open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert {row["reference"] for row in rows} == {"'=HYPERLINK(1)"}
    assert [row["complaint"] for row in rows if row["row"] == "complaint"] == ["'@x", "'+y", "'-z", "''=w", "'plain"]
    assert next(row["value"] for row in rows if row["row"] == "reading") == "-2.5"
    for row in rows:
        for name, cell in row.items():
            if cell[:1] in "=+@-" and cell:
                assert CASES.by_name[name].kind in ("number", "numbers")
                float(cell)


@pytest.mark.parametrize(
    "broken", [{"case": {"family": "x", "readings": [{"test": "t"}]}}, {"answer": {}}, b"{", b"[1]"]
)
@TABLES
def test_a_job_that_breaks_its_schema_is_no_table_and_leaves_no_file(tmp_path, broken, ending, refusal):
    path = tmp_path / f"a.{ending}"
    said = refusal(lambda: write_jobs([{"case": {"family": "x"}}, broken], str(path)))
    assert said.startswith("job 2 cannot be written as a table: ")
    assert list(tmp_path.iterdir()) == []
