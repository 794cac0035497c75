"""``probewright simulate``: invented cases as lines and as tables."""

from __future__ import annotations

import csv
import gzip
import json
import os
import signal
import subprocess
import sys

import pyarrow.parquet
import pytest
import zstandard

from probewright.cli.common import Exit
from probewright.engine import diagnose
from probewright.intake import load_case
from probewright.packs.loader import load_packs
from probewright.settings import Settings

COMMAND = ("simulate", "gas_range", "--seed", "5", "--cases")


def documents(text):
    return [json.loads(line) for line in text.splitlines()]


def test_lines_go_to_standard_output_and_say_that_they_are_invented(run):
    result = run(*COMMAND, "30")
    assert result.code == Exit.OK
    assert result.err == "probewright: 30 invented cases of gas_range 1.0.0, seed 5: nothing in them is real\n"
    drawn = documents(result.out)
    assert [document["case"]["reference"] for document in drawn] == [f"invented job {n}" for n in range(30)]
    assert all(document["invented"] is True and list(document) == ["invented", "case", "truth"] for document in drawn)
    pack = load_packs().get("gas_range")
    for document in drawn:
        assert document["case"]["effort"] == "none"
        diagnose(load_case(document["case"]), pack, Settings())


def test_the_same_seed_gives_the_same_bytes_and_fewer_cases_are_a_beginning_of_more(run):
    short, long, other = run(*COMMAND, "100").out, run(*COMMAND, "200").out, run(*COMMAND, "100", "--seed", "6").out
    assert long.startswith(short)
    assert len(long.splitlines()) == 200
    assert other != short


def test_processes_change_no_byte(run):
    assert run(*COMMAND, "250", "--workers", "2").out == run(*COMMAND, "250").out


def test_answers_are_whole_or_brief(run):
    whole, also, brief = (
        documents(run(*COMMAND, "8", "--effort", "quick", *answers).out)
        for answers in (("--answers", "full"), ("--answers",), ("--answers", "brief"))
    )
    assert whole == also
    assert all({"notice", "cautions", "next", "computation"} <= set(document["answer"]) for document in whole)
    members = {"pack", "unexplained", "no_fault", "computation", "readings", "faults", "next"}
    assert all(set(document["answer"]) == members for document in brief)
    # What is taken for granted is not written.
    assert not any("effort" in document["case"] for document in brief)


def test_a_share_of_misread_readings_may_be_asked_for(run):
    none, many = (documents(run(*COMMAND, "150", "--misread", share).out) for share in ("0", "0.4"))
    assert not any(document["truth"]["misread"] for document in none)
    readings = sum(len(document["case"]["readings"]) for document in many)
    misread = sum(len(document["truth"]["misread"]) for document in many)
    # Four standard deviations of a binomial share.
    assert abs(misread / readings - 0.4) < 4 * (0.24 / readings) ** 0.5


def test_files_are_written_as_their_endings_say(run, tmp_path):
    lines = run(*COMMAND, "20", "--answers", "brief").out.encode()
    read = {
        ".ndjson": lambda path: path.read_bytes(),
        ".ndjson.gz": lambda path: gzip.decompress(path.read_bytes()),
        ".ndjson.zst": lambda path: zstandard.ZstdDecompressor().stream_reader(path.open("rb")).read(),
    }
    for ending, whole in read.items():
        result = run(*COMMAND, "20", "--answers", "brief", "--output", str(tmp_path / f"cases{ending}"))
        assert (result.code, result.out) == (Exit.OK, "")
        assert whole(tmp_path / f"cases{ending}") == lines


def test_tables_hold_a_row_of_each_reading(run, tmp_path):
    for ending in (".csv", ".parquet"):
        assert run(*COMMAND, "20", "--output", str(tmp_path / f"cases{ending}")).code == Exit.OK
    readings = [r["test"] for document in documents(run(*COMMAND, "20").out) for r in document["case"]["readings"]]
    with (tmp_path / "cases.csv").open(newline="") as stream:
        assert [row["test"] for row in csv.DictReader(stream) if row["row"] == "reading"] == readings
    table = pyarrow.parquet.read_table(tmp_path / "cases.parquet").to_pylist()
    assert [row["test"] for row in table if row["row"] == "reading"] == readings


def test_a_file_that_is_there_is_replaced_only_when_asked(run, one_line, tmp_path):
    path = tmp_path / "cases.ndjson"
    path.write_text("mine")
    refused = run(*COMMAND, "100000000", "--output", str(path))
    assert refused.code == Exit.USAGE
    assert str(path) in one_line(refused)
    assert path.read_text() == "mine"
    assert run(*COMMAND, "3", "--output", str(path), "--force").code == Exit.OK
    assert len(documents(path.read_text())) == 3


@pytest.mark.parametrize("name", ["nowhere/cases.ndjson", "cases.xlsx"])
def test_a_file_that_cannot_be_is_refused_before_the_work(run, one_line, tmp_path, name):
    result = run(*COMMAND, "100000000", "--output", str(tmp_path / name))
    assert result.code == Exit.USAGE
    assert name.split("/")[-1] in one_line(result)


def test_a_family_that_is_not_there_is_refused(run, one_line):
    result = run("simulate", "gas_rnage")
    assert result.code == Exit.INVALID_CASE
    assert "gas_range" in one_line(result)


@pytest.mark.parametrize(("option", "given"), [
    ("--cases", "0"), ("--cases", "1e3"), ("--cases", "100000001"), ("--seed", "-1"), ("--workers", "0"),
    ("--misread", "0.5"), ("--misread", "-0.1"), ("--misread", "nan"), ("--misread", "few"), ("--answers", "short"),
    ("--effort", "much"),
])  # fmt: skip
def test_bad_values_are_refused(run, option, given):
    result = run("simulate", "gas_range", option, given)
    assert result.code == Exit.USAGE
    assert f"argument {option}" in result.err
    assert result.out == ""


def started(tmp_path, *arguments):
    command = [sys.executable, "-m", "probewright.cli", *COMMAND, *arguments]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=tmp_path)


def test_whoever_reads_only_the_first_lines_ends_it(tmp_path):
    with started(tmp_path, "100000000") as process:
        assert json.loads(process.stdout.readline())["invented"] is True
        process.stdout.close()
        assert process.wait(timeout=60) == Exit.OK
        assert process.stderr.read() == b""


@pytest.mark.parametrize("workers", ["1", "2"])
def test_an_interrupt_leaves_no_file(tmp_path, workers):
    with started(tmp_path, "100000000", "--workers", workers, "--output", "cases.ndjson") as process:
        # It is at work when its file is there under the name that it has until it is whole.
        for _ in range(600):
            if any(name.endswith(".part") for name in os.listdir(tmp_path)):
                break
            with pytest.raises(subprocess.TimeoutExpired):
                process.wait(timeout=0.1)
        process.send_signal(signal.SIGINT)
        assert process.wait(timeout=60) == Exit.INTERRUPTED
        assert process.stderr.read().count(b"\n") == 1
    assert os.listdir(tmp_path) == []
