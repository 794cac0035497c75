"""Lines of NDJSON, as they may come."""

from __future__ import annotations

import io
import json
import random
import tracemalloc
from types import SimpleNamespace

import pytest

from probewright.batch.files import LONGEST_LINE, open_jobs, write_jobs
from probewright.batch.files.lines import bounded_lines
from probewright.batch.files.ndjson import as_job

JOB = b'{"case":{"family":"gas_range"}}'


def test_lines_count_from_1_over_all_files_and_empty_ones_count_too(read):
    got = read(a_ndjson=JOB + b"\n\n" + JOB + b"\n", b_jsonl=b"  \n" + JOB + b"\n\n", c_ndjson=JOB)
    assert got.lines == [1, 3, 5, 7]
    assert got.origins == ["a.ndjson, line 1", "a.ndjson, line 3", "b.jsonl, line 2", "c.ndjson, line 1"]
    assert got.jobs == [json.loads(JOB)] * 4


@pytest.mark.parametrize(
    "written",
    [JOB + b"\n" + JOB, b"\xef\xbb\xbf" + JOB + b"\n" + JOB + b"\n", JOB + b"\r\n" + JOB + b"\r\n",
     b" " + JOB + b"\t\n" + JOB],
    ids=["no newline at the end", "byte order mark", "CRLF", "blanks around"],
)  # fmt: skip
def test_however_lines_end_the_jobs_are_the_same(read, written):
    got = read(a_ndjson=written)
    assert [item.job for item in got.items] == [JOB, JOB]
    assert got.lines == [1, 2]


def test_a_bare_case_is_a_job_without_an_answer(read):
    got = read(a_ndjson=b'{"reference":"r","family":"x"}\n{"family":"x","options":{"case":"y"}}')
    first, second = got.jobs
    assert first == {"case": {"reference": "r", "family": "x"}}
    assert second == {"case": {"family": "x", "options": {"case": "y"}}}


@pytest.mark.parametrize(
    "line",
    [b'{"answer":{"family":1},"case":{"family":"x"}}', b'{"family":"x","case":{"family":"y"}}', b"[1]", b'{"family":',
     b'{"family" "case"', b'"family"', b"{}", b'{"c\\u0061se":{"family":"x"}}',
     b'{"family":"x"},"answer":{"pack":{}}'],
)  # fmt: skip
def test_anything_else_is_handed_on_as_it_is(line):
    assert as_job(line) == line


def test_a_bare_case_is_one_however_it_is_written():
    assert json.loads(as_job(b'{"f\\u0061mily":"x"}')) == {"case": {"family": "x"}}


def test_a_bad_line_is_told_by_its_number_and_the_others_go_on(read):
    got = read(a_ndjson=JOB + b"\n" + b"\xff\xfe{}\n" + b'{"a":"\0"}\n' + JOB, b_ndjson=b"x" * 1001 + b"\n" + JOB)
    assert got.lines == [1, 2, 3, 4, 5, 6]
    assert got.reasons == [
        None, "is not UTF-8 (byte 1)", "has a NUL byte (byte 7)", None, "is longer than 1000 bytes", None,
    ]  # fmt: skip
    assert got.items[1].text == b"\xff\xfe{}"
    assert got.items[4].text == b"x" * 1000 + b"x"
    assert [item.job is None for item in got.items] == [reason is not None for reason in got.reasons]


def test_a_line_of_just_the_longest_length_is_taken(read):
    line = JOB + b" " * (1000 - len(JOB))
    got = read(a_ndjson=line + b"\n" + line + b" \n")
    assert got.reasons == [None, "is longer than 1000 bytes"]


@pytest.mark.parametrize("size", [1, 2, 3, 7, 50])
def test_how_chunks_are_cut_does_not_matter(size):
    content = b"a\n\nbb\r\n" + b"c" * 20 + b"\nd\n" + b"e" * 30 + b"\n" + b"f" * 10
    chunks = [content[at : at + size] for at in range(0, len(content), size)]
    got = [line if isinstance(line, bytes) else "too long" for line in bounded_lines(chunks, 10)]
    assert got == [b"a", b"", b"bb\r", "too long", b"d", "too long", b"f" * 10]


def test_a_line_without_end_is_never_held_whole():
    """200 MiB come in; what is held stays under a few lines' worth."""
    chunk = b"x" * 262_144
    chunks = (chunk for _ in range(800))
    tracemalloc.start()
    try:
        got = list(bounded_lines(chunks, LONGEST_LINE))
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert len(got) == 1
    assert not isinstance(got[0], bytes)
    assert peak < 4 * LONGEST_LINE


def test_an_empty_file_has_no_jobs(read):
    assert read(a_ndjson=b"", b_ndjson=b"\n\n").items == []


def test_standard_input_is_ndjson_and_stays_open(monkeypatch):
    stream = io.BytesIO(JOB + b"\n" + b"\xff\n")
    monkeypatch.setattr("sys.stdin", SimpleNamespace(buffer=stream))
    items = list(open_jobs(["-"]))
    assert [(str(item.origin), item.reason) for item in items] == [
        ("standard input, line 1", None), ("standard input, line 2", "is not UTF-8 (byte 1)"),
    ]  # fmt: skip
    assert not stream.closed


def test_standard_input_may_be_csv(monkeypatch):
    stream = io.BytesIO(b"reference,family,row,complaint\nr,x,complaint,c\n")
    monkeypatch.setattr("sys.stdin", SimpleNamespace(buffer=stream))
    (item,) = open_jobs(["-"], "csv")
    assert json.loads(item.job) == {"case": {"family": "x", "reference": "r", "complaints": ["c"]}}


@pytest.mark.parametrize("ending", ["ndjson", "ndjson.gz", "ndjson.zst", "csv", "parquet"])
def test_how_much_was_read_is_told(tmp_path, ending):
    path = tmp_path / f"a.{ending}"
    chance = random.Random(1)
    count = write_jobs(({"case": {"family": f"{chance.getrandbits(400):x}"}} for _ in range(6000)), str(path))
    told = []
    assert sum(1 for _ in open_jobs([str(path)], on_read=told.append)) == count == 6000
    assert sum(told) == path.stat().st_size
    assert len(told) > 1
