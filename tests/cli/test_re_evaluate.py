"""``probewright re-evaluate``, as a shop uses it; all jobs, meters and calibrations are invented."""

from __future__ import annotations

import csv
import gzip
import json
import os
import random
import signal
import subprocess
import sys
from collections import Counter

import pyarrow.parquet
import pytest
import zstandard

from probewright.batch.runs.blocks import MOST_LINES, in_blocks
from probewright.cli.common import Exit
from probewright.packs import loader
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.simulation.sample import Sample, lines
from probewright_schemas.batch import ReevaluationLineSchema

SINCE, UNTIL = "2026-03-01", "2026-10-31"
GAIN, LIMITS = 1.2, {"low": 3.0, "high": 3.6, "unit": "A"}
CHANGES = {
    "corrections": [{"meter": f"clamp-{number}", "kind": "current", "correction": {"gain": GAIN},
                     "from": SINCE, "to": UNTIL} for number in (1, 2, 3, 4)],
    "limits": [{"family": "gas_range", "test": "bake_igniter_current", "limits": LIMITS,
                "when": {"oven_ignition": "hot_surface"}}],
}  # fmt: skip
#: Bytes of a block.
SMALL = 2**20
#: Lines that get no answer, and where each is wrong.
BAD = {
    "{": None,
    '{"case": {"family": "gas_range", "complaint": []}}': "/case/complaint",
    '{"case": {"family": "gas_rnage"}}': "/case/family",
    '{"case": {"family": "gas_range", "complaints": ["sings"]}}': "/case/complaints/0",
}


def drawn(count, answers):
    pack = load_packs().packs["gas_range"]
    return [line.decode() for line in lines(pack, Settings(), Sample(count, seed=1, answers=answers))]


@pytest.fixture(scope="module")
def jobs():
    """Stored jobs, a line each."""
    return drawn(60, "brief")


@pytest.fixture
def there(tmp_path, monkeypatch, jobs):
    """A folder to work in, with the jobs and the changes."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "jobs.ndjson").write_text("".join(f"{line}\n" for line in jobs))
    (tmp_path / "changes.json").write_text(json.dumps(CHANGES))
    return tmp_path


def documents(text):
    return [json.loads(line) for line in text.splitlines()]


@pytest.fixture
def asked(run, there):
    """Runs the command over the jobs with the changes, in one process; gives what it did."""

    def call(output="out.ndjson", *more, inputs=("jobs.ndjson",), changes="changes.json", workers="1", stdin=None):
        with_changes = () if changes is None else ("--changes", changes)
        given = ("re-evaluate", *inputs, "--output", output, *with_changes, "--workers", workers, *more)
        return run(*given, stdin=stdin)

    return call


# -- what goes in and comes out


def test_results_come_in_order_with_a_summary_and_are_told_in_a_few_lines(asked, there):
    result = asked()
    assert result.code == Exit.OK
    assert result.out == ""
    *answered, last = documents((there / "out.ndjson").read_text())
    assert [line["line"] for line in answered] == list(range(1, 61))
    for line in (*answered, last):
        assert not ReevaluationLineSchema().validate(line)
    summary = last["summary"]
    assert summary["by_status"] == Counter(line["result"]["status"] for line in answered)
    assert {"same", "changed"} <= summary["by_status"].keys()
    kinds = Counter(kind for line in answered for kind in {change["kind"] for change in line["result"]["changes"]})
    assert summary["by_change"] == kinds
    counts = summary["by_status"]
    first, *rest = result.err.splitlines()
    assert first == f"60 jobs: {', '.join(f'{counts[name]} {name}' for name in counts)}, 0 rejected"
    assert f"  {kinds['verdict']} with another verdict" in rest
    assert rest[-1] == "results are in out.ndjson"
    assert not os.path.exists("out.ndjson.rejected.ndjson")


def test_corrected_are_exactly_the_readings_of_the_clamps(asked, there, jobs):
    """By hand: numbers of currents read with a clamp, on the days of the correction, times the gain."""
    kinds = {test.id: test.kind for test in load_packs().packs["gas_range"].family.tests}
    expected = {}
    for line, job in enumerate(map(json.loads, jobs), 1):
        for place, reading in enumerate(job["case"]["readings"]):
            meter = job["case"].get("meters", {}).get(reading.get("meter"), {}).get("id", "")
            in_time = SINCE <= reading.get("day", job["case"]["day"]) <= UNTIL
            if in_time and meter.startswith("clamp-") and kinds[reading["test"]] == "current" and "value" in reading:
                expected[line, place] = (meter, reading["value"], pytest.approx(GAIN * reading["value"]))
    asked()
    found = {
        (line["line"], one["reading"]): (one["meter"], one["as_read"], one["value"])
        for line in documents((there / "out.ndjson").read_text())[:-1] for one in line["result"]["corrected"]
    }  # fmt: skip
    assert len(expected) > 10
    assert found == expected


def test_every_ending_holds_the_same_results(asked, there):
    for ending in ("ndjson", "ndjson.gz", "ndjson.zst", "csv", "csv.gz", "parquet"):
        assert asked(f"out.{ending}", "--quiet").code == Exit.OK
    plain = (there / "out.ndjson").read_bytes()
    assert gzip.decompress((there / "out.ndjson.gz").read_bytes()) == plain
    with zstandard.ZstdDecompressor().stream_reader((there / "out.ndjson.zst").open("rb")) as packed:
        assert packed.read() == plain
    assert gzip.decompress((there / "out.csv.gz").read_bytes()) == (there / "out.csv").read_bytes()
    results = [(line["line"], line["result"]["status"], line["result"]["why"]) for line in documents(plain)[:-1]]
    with (there / "out.csv").open(newline="") as stream:
        rows = [row for row in csv.DictReader(stream) if row["row"] == "case"]
    assert [(int(row["line"]), row["status"], row["why"]) for row in rows] == results
    table = pyarrow.parquet.read_table(there / "out.parquet").to_pylist()
    assert [(row["line"], row["status"], row["why"]) for row in table if row["row"] == "case"] == results


def test_standard_output_and_standard_input_do_as_files_do(asked, there):
    asked("out.ndjson", "--quiet")
    file = (there / "out.ndjson").read_text()
    assert asked("-", "--quiet").out == file
    piped = asked("-", inputs=("-",), stdin=(there / "jobs.ndjson").read_bytes())
    assert piped.out == file
    assert "results are in" not in piped.err


def test_folders_and_patterns_are_read_file_after_file(asked, there, jobs):
    asked("out.ndjson", "--quiet")
    (there / "year").mkdir()
    for name, part in (("a.ndjson", jobs[:25]), ("b.ndjson", jobs[25:])):
        (there / "year" / name).write_text("".join(f"{line}\n" for line in part))
    for number, given in enumerate((("year",), ("year/*.ndjson",), ("year/a.ndjson", "year/b.ndjson"))):
        assert asked(f"out{number}.ndjson", "--quiet", inputs=given).code == Exit.OK
        assert (there / f"out{number}.ndjson").read_bytes() == (there / "out.ndjson").read_bytes()


def test_tables_come_in_as_lines_do(run, asked, there):
    asked("out.ndjson", "--quiet")
    drawn_again = ("simulate", "gas_range", "--cases", "60", "--seed", "1", "--answers", "brief", "--output")
    for ending in ("csv", "parquet"):
        assert run(*drawn_again, f"jobs.{ending}").code == Exit.OK
        assert asked(f"{ending}.ndjson", "--quiet", inputs=(f"jobs.{ending}",)).code == Exit.OK
        assert (there / f"{ending}.ndjson").read_bytes() == (there / "out.ndjson").read_bytes()


def test_without_changes_everything_is_the_same(asked, there):
    assert asked(changes=None).err.startswith("60 jobs: 60 same, 0 rejected\n")
    asked("empty.ndjson", changes=None)
    (there / "empty.json").write_text("{}")
    asked("stated.ndjson", changes="empty.json")
    assert (there / "stated.ndjson").read_bytes() == (there / "empty.ndjson").read_bytes()


def test_summary_and_report_are_written_besides(asked, there):
    assert asked("out.ndjson", "--summary", "sum.json", "--report", "page.html").code == Exit.OK
    *_, last = documents((there / "out.ndjson").read_text())
    assert json.loads((there / "sum.json").read_text()) == last["summary"]
    page = (there / "page.html").read_text()
    assert page.lower().startswith("<!doctype html>")
    assert "Gas range" in page
    assert "clamp-1" in page


def test_side_files_are_compressed_as_their_names_say(asked, there):
    (there / "jobs.ndjson").write_text("{\n")
    assert asked("out.ndjson", "--rejected", "bad.ndjson.gz", "--summary", "sum.json.zst").code == Exit.ATTENTION
    (bad,) = documents(gzip.decompress((there / "bad.ndjson.gz").read_bytes()).decode())
    assert bad["line"] == 1
    with zstandard.ZstdDecompressor().stream_reader((there / "sum.json.zst").open("rb")) as packed:
        assert json.loads(packed.read())["refused"] == 1


# -- options


def test_new_answers_are_given_in_whole_and_can_be_stored(asked, there, jobs):
    """Stored with their cases, they are the same when the same changes are asked again."""
    asked("out.ndjson", "--answers", "--quiet")
    results = [line["result"] for line in documents((there / "out.ndjson").read_text())[:-1]]
    assert all(("answer" in result) is (result["status"] != "same") for result in results)
    renewed = [
        json.loads(job) | ({"answer": result["answer"]} if "answer" in result else {})
        for job, result in zip(jobs, results, strict=True)
    ]
    (there / "renewed.ndjson").write_text("".join(f"{json.dumps(job)}\n" for job in renewed))
    again = asked("again.ndjson", inputs=("renewed.ndjson",))
    assert again.err.startswith("60 jobs: 60 same, 0 rejected\n")


def test_effort_comes_in_place_of_the_cases_own(asked, there):
    asked("out.ndjson", "--effort", "quick", "--answers", "--quiet", changes=None)
    results = [line["result"] for line in documents((there / "out.ndjson").read_text())[:-1]]
    assert all("next" in result["answer"] for result in results)
    assert {result["why"].partition(":")[0] for result in results} == {"With effort quick in place of none"}


def test_recompute_works_out_also_what_is_known(asked, there):
    assert asked("out.ndjson", "--recompute", changes=None).err.startswith("60 jobs: 60 unchanged, 0 rejected\n")
    results = [line["result"] for line in documents((there / "out.ndjson").read_text())[:-1]]
    assert {result["shift"] for result in results} == {0.0}


def test_a_shop_s_numbers_are_another_pack(asked, there):
    (there / "shop.toml").write_text("[families.gas_range]\nfault_rates.bake_igniter_weak = 0.06\n")
    asked("out.ndjson", "--shop", "shop.toml", "--quiet", changes=None)
    results = [line["result"] for line in documents((there / "out.ndjson").read_text())[:-1]]
    assert "same" not in {result["status"] for result in results}
    assert all(result["why"].startswith("With pack 1.0.0 (") for result in results)


def test_quiet_tells_nothing_but_mistakes(asked, one_line):
    assert asked("out.ndjson", "--quiet").err == ""
    assert "is there already" in one_line(asked("out.ndjson", "--quiet"))


def test_what_is_there_is_written_over_only_by_force(asked, one_line, there):
    assert asked("out.ndjson", "--quiet").code == Exit.OK
    wanted = (there / "out.ndjson").read_bytes()
    for name in ("out.ndjson", "out.ndjson.rejected.ndjson", "sum.json", "page.html"):
        for path in there.glob("out*"):
            path.unlink()
        (there / name).write_text("mine")
        more = ("--summary", "sum.json", "--report", "page.html")
        refused = asked("out.ndjson", *more)
        assert refused.code == Exit.USAGE
        assert one_line(refused) == f"probewright: cannot write {name}: it is there already; --force writes over it"
        assert (there / name).read_text() == "mine"
        assert asked("out.ndjson", *more, "--force").code == Exit.OK
        assert (there / "out.ndjson").read_bytes() == wanted
        # Of an earlier run, and of none of these jobs.
        assert not (there / "out.ndjson.rejected.ndjson").exists()
        (there / "sum.json").unlink()
        (there / "page.html").unlink()


def test_nothing_that_is_read_is_written_over(asked, one_line, there):
    before = {path.name: path.read_bytes() for path in there.iterdir()}
    for output, more in (
        ("jobs.ndjson", ()), ("./jobs.ndjson", ()), ("out.ndjson", ("--summary", "jobs.ndjson")),
        ("out.ndjson", ("--report", "changes.json")), ("-", ("--rejected", "jobs.ndjson")),
    ):  # fmt: skip
        refused = asked(output, *more, "--force")
        assert refused.code == Exit.USAGE
        assert "is read, so it cannot be written" in one_line(refused)
    assert {path.name: path.read_bytes() for path in there.iterdir()} == before


# -- mistakes


@pytest.mark.parametrize(("changes", "code", "told"), [
    (None, Exit.USAGE, "cannot read changes.json: No such file or directory"),
    ("{", Exit.USAGE, "changes.json is not JSON: line 1, column 2"),
    ("[]", Exit.INVALID_CASE, "changes.json has 1 fault: /: must be an object"),
    ('{"limit": []}', Exit.INVALID_CASE, "changes.json has 1 fault: /limit: unknown field; did you mean 'limits'?"),
    ('{"corrections": [{"meter": "m", "kind": "amps", "correction": {"gain": "x"}}]}', Exit.INVALID_CASE,
     "changes.json has 2 faults: /corrections/0/correction/gain: must be a number"),
    ('{"corrections": [{"meter": "m", "kind": "current", "correction": {}, "from": "2026-05-01", "to": "2026-04-01"}]}',
     Exit.INVALID_CASE, "changes.json has 1 fault: /corrections/0/from: is after to (2026-04-01)"),
    ('{"corrections": [{"meter": "m", "kind": "current", "correction": {"offset": {"value": 1, "unit": "V"}}}]}',
     Exit.INVALID_CASE, "/corrections/0/correction/offset: 'V' is a unit of voltage, not of current"),
    ('{"limits": [{"family": "gas_rnage", "test": "x", "limits": {"low": 1, "unit": "A"}}]}', Exit.INVALID_CASE,
     "/limits/0/family: no loaded pack has this family; did you mean 'gas_range'?"),
    ('{"limits": [{"family": "gas_range", "test": "bake_igniter_curent", "limits": {"low": 1, "unit": "A"}}]}',
     Exit.INVALID_CASE, "/limits/0/test: unknown test 'bake_igniter_curent'; did you mean 'bake_igniter_current'?"),
    ('{"limits": [{"family": "gas_range", "test": "bake_igniter_current", "limits": {"low": 1, "unit": "A"}, '
     '"when": {"fuell": "propane"}}]}',
     Exit.INVALID_CASE, "/limits/0/when: unknown option 'fuell'; did you mean 'fuel'?"),
])  # fmt: skip
def test_changes_that_cannot_be_are_refused_with_their_places(asked, one_line, there, changes, code, told):
    if changes is None:
        (there / "changes.json").unlink()
    else:
        (there / "changes.json").write_text(changes)
    result = asked()
    assert result.code == code
    assert told in one_line(result)
    assert not list(there.glob("out*"))


@pytest.mark.parametrize(("output", "more", "told"), [
    ("out.xlsx", (), "cannot tell the format of out.xlsx by its ending"),
    ("nowhere/out.ndjson", (), "cannot write nowhere/out.ndjson: its folder does not exist"),
    ("out.ndjson", ("--summary", "nowhere/sum.json"), "cannot write nowhere/sum.json: its folder does not exist"),
    (".", (), "cannot write .: it is a folder; name a file in it"),
    ("out.ndjson", ("--summary", "./out.ndjson"), "two outputs have the same name"),
    ("out.ndjson", ("--summary", "out.ndjson.rejected.ndjson"), "two outputs have the same name"),
    ("out.ndjson", ("--summary", "out.ndjson.part"), "two outputs have the same name"),
    ("out.ndjson", ("--report", "-"), "only the results can go to standard output"),
    ("out.ndjson", ("--rejected", "bad.csv"), "cannot write bad.csv: rejected jobs are written as NDJSON"),
    ("-", ("--restart",), "--restart is for an output that is a file"),
    ("out.ndjson", ("--format", "cvs"), "unknown format 'cvs'; did you mean 'csv'?"),
    ("out.ndjson", ("missing.ndjson",), "cannot read missing.ndjson: no such file or directory"),
    ("out.ndjson", ("jobs.ndjson",), "jobs.ndjson is named twice; its cases would count twice"),
    ("out.ndjson", ("*.parquet",), "no file matches *.parquet"),
    ("out.ndjson", ("--shop", "missing.toml"), "missing.toml"),
])  # fmt: skip
def test_what_cannot_be_is_refused_in_one_line_before_the_work(asked, one_line, there, output, more, told):
    inputs = ("jobs.ndjson", *(name for name in more if name.endswith((".ndjson", ".parquet")) and len(more) == 1))
    options = () if len(inputs) > 1 else more
    result = asked(output, *options, inputs=inputs)
    assert result.code == Exit.USAGE
    assert told in one_line(result)
    assert sorted(path.name for path in there.iterdir()) == ["changes.json", "jobs.ndjson"]


def test_bad_lines_are_kept_with_their_places_and_cost_no_other_its_answer(asked, there, jobs):
    (there / "jobs.ndjson").write_text("".join(f"{line}\n" for line in (jobs[0], *BAD, "", jobs[1])))
    result = asked()
    assert result.code == Exit.ATTENTION
    assert result.err.splitlines()[0].endswith(", 4 rejected")
    assert "rejected jobs are in out.ndjson.rejected.ndjson" in result.err
    *answered, last = documents((there / "out.ndjson").read_text())
    assert [line["line"] for line in answered] == [1, 7]
    assert (last["summary"]["lines"], last["summary"]["refused"]) == (6, 4)
    rejected = documents((there / "out.ndjson.rejected.ndjson").read_text())
    for number, (bad, written, pointer) in enumerate(zip(rejected, BAD, BAD.values(), strict=True), 2):
        assert (bad["file"], bad["line"], bad["text"]) == ("jobs.ndjson", number, written)
        if pointer is not None:
            assert [fault["pointer"] for fault in bad["problem"]["errors"]] == [pointer]
    asked("out2.ndjson", "--rejected", "bad.ndjson")
    assert documents((there / "bad.ndjson").read_text()) == rejected
    assert "--rejected FILE keeps what was rejected, and why" in asked("-").err


def test_a_correction_of_some_days_is_noted_for_a_job_without_a_day(asked, there, jobs):
    job = next(job for job in map(json.loads, jobs) if "clamp" in [r.get("meter") for r in job["case"]["readings"]])
    del job["case"]["day"]
    for reading in job["case"]["readings"]:
        reading.pop("day", None)
    (there / "jobs.ndjson").write_text(json.dumps(job))
    assert asked().code == Exit.OK
    result = documents((there / "out.ndjson").read_text())[0]["result"]
    assert result["corrected"] == []
    assert all("has no day" in note for note in result["notes"])
    assert result["notes"]


def test_a_hazard_that_now_shows_asks_for_attention(asked, there):
    case = {"family": "gas_range", "effort": "none", "meters": {"a": {"kind": "gas_analyzer", "id": "analyzer-1"}},
            "readings": [{"test": "carbon_monoxide_air_free", "value": 80, "unit": "ppm", "meter": "a"}]}  # fmt: skip
    answer = {"pack": {"family": "gas_range", "version": "1.0.0", "digest": "sha256:0"}, "no_fault": 0.9}
    correction = {"meter": "analyzer-1", "kind": "concentration", "correction": {"gain": 1.5}}
    (there / "jobs.ndjson").write_text(json.dumps({"case": case, "answer": answer}))
    (there / "changes.json").write_text(json.dumps({"corrections": [correction]}))
    result = asked()
    assert result.code == Exit.ATTENTION
    assert "  1 where a hazard now shows" in result.err.splitlines()


# -- processes, and runs that were killed


@pytest.fixture(scope="module")
def many():
    """Jobs with whole answers and some bad lines, some blocks of them."""
    lines = drawn(200, "full")
    for place, bad in zip((5, 120, 121, 199), BAD, strict=True):
        lines.insert(place, bad)
    return "".join(f"{line}\n" for line in lines)


@pytest.fixture
def all_there(there, many, monkeypatch):
    # Smaller blocks than usual, so that these few jobs make several.
    monkeypatch.setattr(in_blocks, "__defaults__", (MOST_LINES, SMALL))
    (there / "jobs.ndjson").write_text(many)
    return there


SIDE = ("--rejected", "bad.ndjson.gz", "--summary", "sum.json", "--report", "page.html", "--quiet")
#: Sends itself a signal in the place of the sync after so many: at these moments what is on the disk matters.
HIT = f"""
import os, signal, sys
with_, left, sync = int(sys.argv.pop(1)), int(sys.argv.pop(1)), os.fsync
signal.signal(signal.SIGINT, signal.default_int_handler)
def fsync(file):
    global left
    left -= 1
    if left == -1:
        os.kill(os.getpid(), with_)
    sync(file)
os.fsync = fsync
from probewright.batch.runs.blocks import MOST_LINES, in_blocks
from probewright.cli import main
in_blocks.__defaults__ = (MOST_LINES, {SMALL})
sys.exit(main(sys.argv[1:]))
"""


def hit(folder, signal_, syncs, *command):
    """Runs a command that is hit by a signal after so many syncs, if it makes as many."""
    return subprocess.run(
        [sys.executable, "-c", HIT, str(int(signal_)), str(syncs), *command], cwd=folder, capture_output=True,
        timeout=300, check=False,
    )  # fmt: skip


def made(folder, output):
    return {name: (folder / name).read_bytes() for name in (output, "bad.ndjson.gz", "sum.json", "page.html")}


def test_processes_change_no_byte(asked, all_there):
    assert asked("out.ndjson", *SIDE).code == Exit.ATTENTION
    one = made(all_there, "out.ndjson")
    assert asked("out.ndjson", *SIDE, "--force", workers="2").code == Exit.ATTENTION
    assert made(all_there, "out.ndjson") == one


@pytest.mark.parametrize(("output", "workers", "seed"), [
    ("out.ndjson", "2", 1), ("out.csv", "1", 2), ("out.ndjson.gz", "1", 3), ("out.parquet", "1", 4),
])  # fmt: skip
def test_a_run_that_was_killed_goes_on_and_makes_the_same_bytes(asked, all_there, output, workers, seed):
    assert asked(output, *SIDE).code == Exit.ATTENTION
    whole = made(all_there, output)
    for name in whole:
        (all_there / name).unlink()
    command = ("re-evaluate", "jobs.ndjson", "--output", output, "--changes", "changes.json", "--workers", workers)
    chance, kept = random.Random(seed), []
    for syncs in (chance.randint(2, 5), chance.randint(5, 8), chance.randint(6, 9), 10**6):
        done = hit(all_there, signal.SIGKILL, syncs, *command, *SIDE)
        if done.returncode != -signal.SIGKILL:
            break
        assert not (all_there / output).exists()
        kept.append((all_there / f"{output}.journal").read_bytes().count(b"\n"))
    assert (done.returncode, done.stderr) == (Exit.ATTENTION, b"")
    # It was killed, and what it had done was kept from one time to the next.
    assert kept
    assert kept == sorted(kept)
    assert kept[-1] > 1
    assert made(all_there, output) == whole
    left = {path.name for path in all_there.iterdir()}
    assert left == {*whole, "jobs.ndjson", "changes.json"}


def test_a_run_goes_on_only_as_it_was_begun(asked, one_line, all_there):
    command = ("re-evaluate", "jobs.ndjson", "--output", "out.ndjson", "--changes", "changes.json", "--workers", "1")
    assert hit(all_there, signal.SIGKILL, 6, *command, "--quiet").returncode == -signal.SIGKILL
    (all_there / "other.json").write_text("{}")
    for more, name in (({"changes": "other.json"}, "changes"), ({"more": ("--recompute",)}, "options")):
        refused = asked("out.ndjson", *more.pop("more", ()), "--quiet", **more)
        assert refused.code == Exit.USAGE
        told = f"{name} differs from when out.ndjson.journal was begun: go on as it was, or begin anew with --restart"
        assert told in one_line(refused)
    assert asked("out.ndjson", "--quiet", "--restart", changes="other.json").code == Exit.ATTENTION
    summary = documents((all_there / "out.ndjson").read_text())[-1]["summary"]
    assert summary["by_status"] == {"same": 200}
    assert not (all_there / "out.ndjson.journal").exists()


def test_an_interrupt_is_told_in_one_line_and_the_run_goes_on(asked, all_there):
    command = ("re-evaluate", "jobs.ndjson", "--output", "out.ndjson", "--changes", "changes.json", "--workers", "2")
    done = hit(all_there, signal.SIGINT, 3, *command)
    assert (done.returncode, done.stderr) == (Exit.INTERRUPTED, b"probewright: interrupted\n")
    assert (all_there / "out.ndjson.journal").exists()
    assert not (all_there / "out.ndjson").exists()
    assert asked("out.ndjson", "--quiet").code == Exit.ATTENTION
    assert documents((all_there / "out.ndjson").read_text())[-1]["summary"]["lines"] == 204
    assert not (all_there / "out.ndjson.journal").exists()


@pytest.mark.parametrize("way", ["option", "setting", None])
def test_strict_refuses_to_work_without_a_pack_that_was_refused(there, run, monkeypatch, way):
    points = [("gas_range", "probewright_packs.gas_range"), ("kettle", "pw_test_absent")]
    found = [loader.EntryPoint(name, module, loader.GROUP) for name, module in points]
    monkeypatch.setattr(loader, "installed_entry_points", lambda group: found)
    if way == "setting":
        monkeypatch.setenv("PROBEWRIGHT_STRICT_PACKS", "true")
    command = ("re-evaluate", "jobs.ndjson", "--changes", "changes.json", "--output", "out.ndjson", "--workers", "1")
    result = run(*command, *(["--strict"] if way == "option" else []))
    if way is None:
        assert result.code == Exit.OK
        assert (there / "out.ndjson").exists()
    else:
        assert result.code == Exit.NO_PACK
        assert "packs were refused: kettle" in result.err.splitlines()[-1]
        assert not (there / "out.ndjson").exists()
