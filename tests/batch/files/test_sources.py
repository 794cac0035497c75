"""Which files are meant."""

from __future__ import annotations

import json
import os

import pytest

from probewright.batch.files import find_sources, open_jobs


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "deeper.csv").mkdir()
    for name in ("b.ndjson", "a.csv.gz", "c.JSONL.ZST", "d.parquet", "note.txt", "e.csv", "no_ending", ".h.csv"):
        (tmp_path / "in" / name).write_bytes(b"x")
    return tmp_path


def names(paths, asked=None):
    return [source.path for source in find_sources(paths, asked)]


def test_a_folder_is_all_its_files_with_a_known_ending_in_the_order_of_their_names(folder):
    assert names(["in"]) == ["in/a.csv.gz", "in/b.ndjson", "in/c.JSONL.ZST", "in/d.parquet", "in/e.csv"]
    assert names(["in/"], "csv") == ["in/a.csv.gz", "in/e.csv"]


def test_format_and_compression_go_by_the_ending(folder):
    found = [(s.format, s.compression) for s in find_sources(["in"])]
    assert found == [("csv", "gzip"), ("ndjson", None), ("ndjson", "zstd"), ("parquet", None), ("csv", None)]
    assert [s.size for s in find_sources(["in"])] == [1] * 5
    (one,) = find_sources(["in/note.txt"], "csv")
    assert (one.format, one.compression) == ("csv", None)


def test_a_pattern_is_its_files_in_order_and_a_name_is_itself_first(folder):
    assert names(["in/[ab].*", "in/e.csv"]) == ["in/a.csv.gz", "in/b.ndjson", "in/e.csv"]
    assert names(["**/[ab].*"]) == ["in/a.csv.gz", "in/b.ndjson"]
    (folder / "x[1].ndjson").write_bytes(b"")
    (folder / "x1.ndjson").write_bytes(b"")
    assert names(["x[1].ndjson"]) == ["x[1].ndjson"]


@pytest.mark.parametrize(
    ("paths", "asked", "told"),
    [
        (["nowhere.ndjson"], None, "nowhere.ndjson: no such file"), (["in/*.zip"], None, "no file matches in/*.zip"),
        (["in/note.txt"], None, "cannot tell the format of in/note.txt"),
        (["in/no_ending"], None, "cannot tell the format of in/no_ending"),
        (["in/e.csv"], "cvs", "did you mean 'csv'"), (["in/e.csv", "in"], None, "in/e.csv is named twice"),
        (["-", "-"], None, "standard input is named twice"), (["-"], "parquet", "Parquet cannot be read from standard"),
        (["in/deeper.csv"], None, "in/deeper.csv has no known file"), ([], None, "no file to read"), ([""], None, "''"),
        (["in/e.csv/x.csv"], None, "not a directory"), (["a\0b.csv"], None, "no file has such a name"),
        (["in/a.csv.gz"], "parquet", "compressed inside"), (["in/b.ndjson/"], None, "in/b.ndjson/"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_by_name_before_anything_is_read(folder, refusal, paths, asked, told):
    assert told in refusal(lambda: open_jobs(paths, asked))


def test_the_same_file_by_another_name_is_named_twice(folder, refusal):
    os.link(folder / "in" / "e.csv", folder / "f.csv")
    assert "named twice" in refusal(lambda: open_jobs(["in/e.csv", "f.csv"]))


def test_a_fifo_is_refused_and_not_waited_for(folder, refusal):
    os.mkfifo(folder / "p.ndjson")
    assert "p.ndjson: it is not a regular file" in refusal(lambda: open_jobs(["p.ndjson"]))


def test_a_file_that_may_not_be_read_is_told(folder, refusal, monkeypatch):
    monkeypatch.setattr("os.access", lambda *_: False)  # root may read everything
    assert "in/e.csv: permission denied" in refusal(lambda: open_jobs(["in/e.csv"]))


def test_a_file_that_goes_away_before_its_turn_is_told(folder, refusal):
    (folder / "g.ndjson").write_text(json.dumps({"family": "x"}))
    items = open_jobs(["g.ndjson"])
    (folder / "g.ndjson").unlink()
    assert "g.ndjson: no such file" in refusal(lambda: list(items))
