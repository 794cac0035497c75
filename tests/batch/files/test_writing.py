"""Outputs: whole or not at all, always the same bytes, nothing replaced unasked."""

from __future__ import annotations

import csv
import gzip
import io
import json
import os
import random
import resource
import signal
import subprocess
import sys
import time
from types import SimpleNamespace

import pyarrow.parquet
import pytest

from probewright.batch.files import (
    BadLines,
    JobLine,
    Origin,
    bad_line,
    check_output,
    sweep,
    write_jobs,
    write_results,
)

ENDINGS = ("ndjson", "ndjson.gz", "ndjson.zst", "csv", "csv.gz", "csv.zst", "parquet")
EVERY = pytest.mark.parametrize("ending", ENDINGS)
RESULT = {
    "reference": "=invented job 1", "family": "gas_range", "status": "changed", "why": "It read low; now it does not.",
    "shift": 0.88, "before": {"fault": "bake_igniter_weak", "probability": 0.93},
    "after": {"fault": "no_fault", "probability": 0.7},
    "changes": [
        {"kind": "verdict", "of": "bake_igniter_current", "reading": 0, "before": "within", "after": "outside",
         "probability_before": 0.97, "probability_after": 0.02},
        {"kind": "next_step", "before": "repair:replace_bake_igniter", "after": "done:"},
    ],
    "corrected": [{"reading": 0, "test": "bake_igniter_current", "meter": "clamp-07", "as_read": 2.45,
                   "value": 2.6068, "unit": "A"}],
    "notes": ["reading 1 has no day; left", "another"],
    "pack": {"family": "gas_range", "version": "1.0.0", "digest": "sha256:9f"}, "computation": "sha256:51",
}  # fmt: skip
PROBLEM = {"status": 422, "code": "invalid_case", "title": "The case breaks the contract", "detail": "1 fault",
           "errors": []}  # fmt: skip
SUMMARY = {"lines": 3, "answered": 2, "refused": 1, "by_status": {"changed": 1, "new": 1}, "by_change": {"verdict": 1}}
NEW = {"family": "gas_range", "status": "new", "why": "There was no earlier answer.", "changes": [], "corrected": [],
       "after": {"fault": "unknown", "probability": 0.4}, "notes": [], "pack": RESULT["pack"],
       "computation": "sha256:52"}  # fmt: skip
LINES = [
    {"line": 1, "result": RESULT}, {"line": 2, "problem": PROBLEM}, {"line": 4, "result": NEW}, {"summary": SUMMARY},
]  # fmt: skip


def left(folder):
    return sorted(path.name for path in folder.iterdir())


@EVERY
def test_the_same_results_give_the_same_bytes(tmp_path, ending, monkeypatch):
    first, second = tmp_path / f"a.{ending}", tmp_path / f"b.{ending}"
    assert write_results(iter(LINES), str(first)) == 4
    monkeypatch.setattr(time, "time", lambda: 2e9)
    assert write_results([json.dumps(line, separators=(",", ":")).encode() for line in LINES], str(second)) == 4
    assert first.read_bytes() == second.read_bytes()
    assert left(tmp_path) == [first.name, second.name]


@EVERY
def test_the_same_jobs_give_the_same_bytes(tmp_path, full, ending):
    first, second = tmp_path / f"a.{ending}", tmp_path / f"b.{ending}"
    for path in (first, second):
        assert write_jobs((full for _ in range(500)), str(path)) == 500
    assert first.read_bytes() == second.read_bytes()


def test_gzip_holds_neither_name_nor_time(tmp_path):
    """RFC 1952: flags are the fourth byte, the time the four after it."""
    write_results(LINES, str(tmp_path / "a.ndjson.gz"))
    assert (tmp_path / "a.ndjson.gz").read_bytes()[3:8] == bytes(5)


def test_results_in_ndjson_are_the_lines_themselves(tmp_path):
    write_results(LINES, str(tmp_path / "a.jsonl"))
    assert [json.loads(line) for line in (tmp_path / "a.jsonl").read_bytes().splitlines()] == LINES


def test_results_in_csv_are_one_row_a_case_and_one_for_each_change_and_reading(tmp_path):
    write_results(LINES, str(tmp_path / "a.csv"))
    with (tmp_path / "a.csv").open(newline="") as file:
        rows = [{name: cell for name, cell in row.items() if cell} for row in csv.DictReader(file)]
    shared = {"line": "1", "reference": "'=invented job 1", "family": "gas_range"}
    assert rows == [
        {**shared, "row": "case", "status": "changed", "shift": "0.88", "why": "It read low; now it does not.",
         "before_fault": "bake_igniter_weak", "before_probability": "0.93", "after_fault": "no_fault",
         "after_probability": "0.7", "pack_version": "1.0.0", "pack_digest": "sha256:9f", "computation": "sha256:51",
         "notes": '["reading 1 has no day; left","another"]'},
        {**shared, "row": "change", "change": "verdict", "of": "bake_igniter_current", "reading": "0",
         "before": "within", "after": "outside", "probability_before": "0.97", "probability_after": "0.02"},
        {**shared, "row": "change", "change": "next_step", "before": "repair:replace_bake_igniter", "after": "done:"},
        {**shared, "row": "corrected", "reading": "0", "test": "bake_igniter_current", "meter": "clamp-07",
         "as_read": "2.45", "value": "2.6068", "unit": "A"},
        {"line": "2", "row": "problem", "code": "invalid_case", "title": PROBLEM["title"], "detail": "1 fault"},
        {"line": "4", "family": "gas_range", "row": "case", "status": "new", "why": NEW["why"],
         "after_fault": "unknown", "after_probability": "0.4", "pack_version": "1.0.0", "pack_digest": "sha256:9f",
         "computation": "sha256:52"},
    ]  # fmt: skip


def test_results_in_parquet_are_the_same_rows_and_the_summary_is_in_the_metadata(tmp_path):
    write_results(LINES, str(tmp_path / "a.parquet"))
    file = pyarrow.parquet.ParquetFile(tmp_path / "a.parquet")
    rows = file.read().to_pylist()
    assert [row["row"] for row in rows] == ["case", "change", "change", "corrected", "problem", "case"]
    assert rows[0]["notes"] == RESULT["notes"]
    assert rows[0]["reference"] == "=invented job 1"
    assert rows[1]["probability_before"] == 0.97
    assert json.loads(file.metadata.metadata[b"probewright.summary"]) == SUMMARY
    assert file.metadata.metadata[b"probewright.table"] == b"results 1"


@EVERY
@pytest.mark.parametrize("stop", [RuntimeError, KeyboardInterrupt])
def test_what_ends_early_leaves_nothing_and_replaces_nothing(tmp_path, ending, stop):
    path = tmp_path / f"a.{ending}"
    path.write_bytes(b"before")

    def lines():
        yield LINES[0]
        raise stop

    with pytest.raises(stop):
        write_results(lines(), str(path), overwrite=True)
    assert path.read_bytes() == b"before"
    assert left(tmp_path) == [path.name]


@EVERY
def test_nothing_of_the_name_is_there_before_the_last_line(tmp_path, ending):
    path = tmp_path / f"a.{ending}"
    during = []

    def lines():
        yield from LINES
        during.append(path.exists())

    write_results(lines(), str(path))
    assert during == [False]
    assert left(tmp_path) == [path.name]


def test_what_is_there_is_replaced_only_when_that_is_asked_for(tmp_path, refusal):
    path = tmp_path / "a.ndjson"
    path.write_bytes(b"before")
    assert "is there already" in refusal(lambda: write_results(LINES, str(path)))
    assert path.read_bytes() == b"before"
    assert write_results(LINES, str(path), overwrite=True) == 4
    assert path.read_bytes() != b"before"


def test_a_file_that_came_meanwhile_is_not_replaced(tmp_path, refusal):
    path = tmp_path / "a.ndjson"

    def lines():
        yield from LINES
        path.write_bytes(b"meanwhile")

    assert "is there already" in refusal(lambda: write_results(lines(), str(path)))
    assert path.read_bytes() == b"meanwhile"
    assert left(tmp_path) == ["a.ndjson"]


def test_a_link_stays_a_link(tmp_path):
    (tmp_path / "real.ndjson").write_bytes(b"before")
    (tmp_path / "a.ndjson").symlink_to("real.ndjson")
    write_results(LINES, str(tmp_path / "a.ndjson"), overwrite=True)
    assert (tmp_path / "a.ndjson").is_symlink()
    assert (tmp_path / "real.ndjson").read_bytes().count(b"\n") == 4


def test_files_are_made_with_the_usual_permissions(tmp_path):
    before = os.umask(0o027)
    try:
        write_results(LINES, str(tmp_path / "a.ndjson"))
    finally:
        os.umask(before)
    assert (tmp_path / "a.ndjson").stat().st_mode & 0o777 == 0o640


@pytest.mark.parametrize(
    ("name", "asked", "told"),
    [
        ("a.txt", None, "cannot tell the format"), ("nowhere/a.csv", None, "its folder does not exist"),
        ("", None, "is a folder"), ("a.parquet.gz", None, "compressed inside"), ("a.csv", "xlsx", "unknown format"),
        ("p.csv", None, "it is not a regular file"),
    ],
)  # fmt: skip
def test_what_cannot_be_written_is_refused_before_the_work(tmp_path, refusal, name, asked, told):
    os.mkfifo(tmp_path / "p.csv")
    asked_for = []

    def lines():
        asked_for.append(1)
        yield from LINES

    path = f"{tmp_path}/{name}"
    assert told in refusal(lambda: check_output(path, asked))
    assert told in refusal(lambda: write_results(lines(), path, format=asked))
    assert asked_for == []


def test_parquet_is_not_written_to_standard_output(refusal):
    assert "name a file" in refusal(lambda: write_results(LINES, "-", format="parquet"))


def test_a_full_disk_is_told_in_one_line_and_leaves_nothing(tmp_path, refusal, monkeypatch):
    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    assert refusal(lambda: write_results(LINES, str(tmp_path / "a.csv"))).endswith("a.csv: no space left on device")
    assert left(tmp_path) == []


@EVERY
def test_a_disk_that_fills_while_writing_is_told_too(tmp_path, refusal, ending):
    """Files may grow no further than this, as on a full disk; the limit is this process's own, and put back."""
    noise = random.Random(3)
    result = {"line": 1, "result": {**RESULT, "computation": ""}}

    def lines():
        for _ in range(70_000 if ending == "parquet" else 4000):
            result["result"]["computation"] = f"{noise.getrandbits(4000 if ending != 'parquet' else 400):x}"
            yield json.loads(json.dumps(result))

    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    handler = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (500_000, before[1]))
    try:
        assert "cannot write" in refusal(lambda: write_results(lines(), str(tmp_path / f"a.{ending}")))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, handler)
    assert left(tmp_path) == []


@EVERY
def test_an_error_of_the_work_is_not_taken_for_one_of_the_file(tmp_path, ending):
    def lines():
        yield LINES[0]
        raise ConnectionResetError("a worker went away")

    with pytest.raises(ConnectionResetError, match="a worker went away"):
        write_results(lines(), str(tmp_path / f"a.{ending}"))
    assert left(tmp_path) == []


@pytest.mark.parametrize(("asked", "begins"), [(None, b'{"line":1'), ("csv", b"line,reference,family,row")])
def test_standard_output_takes_lines(monkeypatch, asked, begins):
    out = io.BytesIO()
    monkeypatch.setattr("sys.stdout", SimpleNamespace(buffer=out))
    write_results(LINES, "-", format=asked)
    assert out.getvalue().startswith(begins)
    assert not out.closed


def test_without_pyarrow_nothing_is_left(tmp_path, refusal, monkeypatch):
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    assert "probewright[parquet]" in refusal(lambda: write_results(LINES, str(tmp_path / "a.parquet")))
    assert left(tmp_path) == []


WRITER = """
import sys, time
from probewright.batch.files import write_results
def lines():
    yield {"line": 1}
    print("begun", flush=True)
    time.sleep(60)
write_results(lines(), sys.argv[1])
"""


def test_an_interrupt_from_outside_leaves_nothing(tmp_path):
    path = tmp_path / "a.ndjson"
    command, pipe = [sys.executable, "-c", WRITER, str(path)], subprocess.PIPE
    with subprocess.Popen(command, stdout=pipe, stderr=pipe) as run:
        assert run.stdout.readline() == b"begun\n"
        assert len(left(tmp_path)) == 1  # under another name
        assert not path.exists()
        run.send_signal(signal.SIGINT)
        run.communicate(timeout=30)
    assert run.returncode != 0
    assert left(tmp_path) == []


def test_rejected_lines_say_where_they_stood_and_why(tmp_path):
    path = tmp_path / "bad.ndjson.gz"
    unreadable = JobLine(3, Origin("a.ndjson", 3, 3), None, "is not UTF-8 (byte 1)", b"\xff{}")
    refused = JobLine(9, Origin("b.csv", 5, 9, "row"), b'{"case":{}}' + b" " * 5000)
    with BadLines(str(path)) as bad:
        bad.add(unreadable)
        bad.add(refused, PROBLEM)
        assert not path.exists()
    assert bad.count == 2
    first, second = (json.loads(line) for line in gzip.decompress(path.read_bytes()).splitlines())
    assert first == {"file": "a.ndjson", "line": 3, "reason": "is not UTF-8 (byte 1)", "text": "\ufffd{}"}
    text = '{"case":{}}' + " " * 1989
    assert second == {"file": "b.csv", "row": 5, "problem": PROBLEM, "text": text}
    assert bad_line(unreadable).endswith(b"\n")


def test_rejected_lines_are_ndjson_alone_and_come_whole_or_not_at_all(tmp_path, refusal):
    assert "as NDJSON" in refusal(lambda: BadLines(str(tmp_path / "bad.csv")).__enter__())
    with pytest.raises(RuntimeError), BadLines(str(tmp_path / "bad.ndjson")):
        raise RuntimeError
    assert left(tmp_path) == []
    with BadLines(str(tmp_path / "bad.ndjson")):
        pass
    assert (tmp_path / "bad.ndjson").read_bytes() == b""


def test_what_killed_processes_left_is_swept_and_nothing_else(tmp_path):
    output = tmp_path / "out.ndjson"
    ended = subprocess.Popen(["true"])
    ended.wait()
    gone = f".out.ndjson.{ended.pid}-0123abcd.part"
    kept = sorted([
        f".out.ndjson.{os.getpid()}-0123abcd.part", f".out.csv.{ended.pid}-0123abcd.part", f".out.ndjson.{ended.pid}",
        ".out.ndjson.x-0123abcd.part", f".out.ndjson.{10**20}-0123abcd.part", "out.ndjson",
    ])  # fmt: skip
    for name in (gone, *kept):
        (tmp_path / name).write_bytes(b"")
    sweep(str(output))
    assert left(tmp_path) == kept
    sweep(str(tmp_path / "missing" / "out.ndjson"))


def test_a_killed_writer_leaves_what_is_swept(tmp_path):
    code = (
        "import os, signal, sys\n"
        "from probewright.batch.files.outputs import whole_file\n"
        "with whole_file(sys.argv[1]) as file:\n"
        "    file.write(b'half')\n"
        "    os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    output = tmp_path / "out.ndjson"
    assert subprocess.run([sys.executable, "-c", code, str(output)], check=False).returncode == -signal.SIGKILL
    assert len(left(tmp_path)) == 1
    sweep(str(output))
    assert left(tmp_path) == []
