from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from importlib.metadata import entry_points

import pytest

from probewright import engine
from probewright.cli import main
from probewright.cli.common import Exit
from probewright.errors import EngineError
from probewright.packs import loader
from probewright_schemas.packs import FamilyListSchema, PackListSchema
from probewright_schemas.results import DiagnosisSchema, ReadingsReportSchema


def test_a_case_is_diagnosed_for_a_person(run, weak):
    result = run("diagnose", weak)
    assert result.code == Exit.OK
    assert result.err == ""
    assert "Diagnosis for job-1042, by gas range" in result.out
    likeliest = json.loads(run("diagnose", "--json", weak).out)["faults"][0]
    assert f" {likeliest['title']}\n" in result.out
    assert re.search(r" for it: bake igniter current \(odds x \d", result.out)
    assert "NEXT STEP" in result.out


def test_a_case_is_diagnosed_for_a_script(run, weak):
    result = run("diagnose", "--json", weak)
    answer = json.loads(result.out)
    DiagnosisSchema().load(answer)
    assert result.out.count("\n") == 1
    assert answer["faults"][0]["fault"] == "bake_igniter_weak"


def test_a_case_may_come_in_on_standard_input(run, weak):
    from_file = run("diagnose", "--json", weak)
    from_stdin = run("diagnose", "--json", "-", stdin=json.dumps(weak).encode())
    assert from_stdin.code == Exit.OK
    assert from_stdin.out == from_file.out


def test_readings_are_checked(run, weak):
    result = run("check", weak)
    assert result.code == Exit.OK
    assert "OUTSIDE    bake igniter current: 2.6" in result.out
    assert "WHAT IS WRONG" not in result.out
    ReadingsReportSchema().load(json.loads(run("check", weak, "--json").out))


def test_a_hazard_is_told_by_the_exit_code(run, weak):
    weak["complaints"].append("gas_smell")
    result = run("diagnose", weak)
    assert result.code == Exit.ATTENTION
    assert result.out.index("STOP: ") < result.out.index("READINGS")


def test_a_rejected_reading_is_told_by_the_exit_code(run, weak):
    weak["readings"] = [{"test": "bake_igniter_resistance", "value": 80, "unit": "ohm", "state": "live_gas_off"}]
    result = run("check", weak)
    assert result.code == Exit.ATTENTION
    assert "REJECTED" in result.out


FAMILIES = ["clothes_dryer", "electric_range", "gas_range"]


def test_families_and_packs_are_listed(run):
    assert [line.split()[0] for line in run("families").out.splitlines()] == FAMILIES
    FamilyListSchema().load(json.loads(run("families", "--json").out))
    result = run("packs")
    assert result.code == Exit.OK
    assert [line.split()[:2] for line in result.out.splitlines()] == [["loaded", family] for family in FAMILIES]
    PackListSchema().load(json.loads(run("packs", "--json").out))


# Mistakes


def test_an_invalid_case_gets_one_line_with_every_place(run, weak, one_line):
    weak["redings"] = []
    weak["readings"][0]["value"] = "2.6"
    result = run("diagnose", weak)
    assert result.code == Exit.INVALID_CASE
    assert one_line(result) == (
        "probewright: the case has 2 faults: /readings/0/value: must be a number, without quotes, not a string; "
        "/redings: unknown field; did you mean 'readings'?"
    )


def test_what_the_family_does_not_know(run, weak, one_line):
    weak["readings"][0]["test"] = "bake_ignitor_current"
    result = run("check", weak)
    assert result.code == Exit.INVALID_CASE
    assert "/readings/0/test: " in one_line(result)
    assert "bake_igniter_current" in result.err


def test_an_unknown_family(run, one_line):
    result = run("diagnose", {"family": "gas_rnge"})
    assert result.code == Exit.INVALID_CASE
    assert one_line(result).endswith("/family: no loaded pack has this family; did you mean 'gas_range'?")


def test_what_is_not_json(run, one_line, tmp_path):
    result = run("diagnose", b'{"family": }')
    assert result.code == Exit.USAGE
    assert "case1.json is not JSON: line 1, column 12: " in one_line(result)
    result = run("check", "-", stdin=b"")
    assert one_line(result).startswith("probewright: standard input is not JSON: line 1, column 1: ")


def test_a_file_that_cannot_be_read(run, one_line, tmp_path):
    result = run("diagnose", str(tmp_path / "absent.json"))
    assert result.code == Exit.USAGE
    assert one_line(result).endswith("absent.json: No such file or directory")
    assert "Is a directory" in one_line(run("diagnose", str(tmp_path)))


def test_a_file_that_is_too_large(run, one_line, monkeypatch):
    monkeypatch.setenv("PROBEWRIGHT_MAX_BODY_BYTES", "1024")
    result = run("diagnose", b" " * 1025)
    assert result.code == Exit.USAGE
    assert "has more than 1024 bytes; PROBEWRIGHT_MAX_BODY_BYTES sets the limit" in one_line(result)


def test_control_characters_never_reach_the_terminal(run, one_line):
    result = run("diagnose", {"family": "gas_range", "\x1b[2J": 1})
    assert "\x1b" not in one_line(result)


def test_a_bad_setting(run, weak, one_line, monkeypatch):
    monkeypatch.setenv("PROBEWRIGHT_VERDICT_WITHIN", "often")
    result = run("diagnose", weak)
    assert result.code == Exit.USAGE
    assert one_line(result) == "probewright: PROBEWRIGHT_VERDICT_WITHIN must be a number, not 'often'"


@pytest.mark.parametrize("arguments", [[], ["diagnos"], ["diagnose"], ["diagnose", "a", "b"], ["families", "--jsn"],
                                       ["serve", "--port", "70000"], ["serve", "--workers", "0"],
                                       ["serve", "--port", "٣"], ["serve", "--workers", "two"]])  # fmt: skip
def test_usage(run, arguments):
    result = run(*arguments)
    assert result.code == Exit.USAGE
    assert result.err.startswith("usage: probewright")
    assert result.out == ""


def test_help_names_the_exit_codes(run):
    result = run("--help")
    assert result.code == 0
    for code in Exit:
        assert f"{code.value} " in result.out


def test_version(run):
    assert run("--version").out.startswith("probewright ")


# Packs


def only(monkeypatch, *points):
    monkeypatch.setattr(loader, "installed_entry_points", lambda group: list(points))


def absent(name):
    return loader.EntryPoint(name, "pw_test_absent", loader.GROUP)


def sound():
    return loader.EntryPoint("gas_range", "probewright_packs.gas_range", loader.GROUP)


def test_no_pack(run, weak, one_line, monkeypatch, caplog):
    only(monkeypatch, absent("kettle"))
    result = run("diagnose", weak)
    assert result.code == Exit.NO_PACK
    assert "no pack could be loaded: kettle " in result.err.splitlines()[-1]


def test_a_refused_pack_is_told_and_the_rest_goes_on(run, weak, monkeypatch):
    only(monkeypatch, sound(), absent("kettle"))
    assert run("diagnose", weak).code == Exit.OK
    result = run("packs")
    assert result.code == Exit.ATTENTION
    assert "refused  entry point kettle of (unknown) (unknown)\n         cannot be imported" in result.out
    (refused,) = json.loads(run("packs", "--json").out)["refused"]
    assert refused["entry_point"] == "kettle"


@pytest.mark.parametrize("way", ["option", "setting"])
def test_strict_refuses(run, weak, monkeypatch, way):
    only(monkeypatch, sound(), absent("kettle"))
    if way == "setting":
        monkeypatch.setenv("PROBEWRIGHT_STRICT_PACKS", "true")
    result = run("diagnose", weak, *(["--strict"] if way == "option" else []))
    assert result.code == Exit.NO_PACK
    assert "packs were refused: kettle" in result.err.splitlines()[-1]


# Failures


@pytest.mark.parametrize(
    ("error", "code", "said"),
    [
        (RuntimeError("odd\nthing"), Exit.FAILED, "internal error: RuntimeError: odd thing (--traceback shows where)"),
        (EngineError("odd"), Exit.FAILED, "odd"),
        (KeyboardInterrupt(), Exit.INTERRUPTED, "interrupted"),
    ],
)
def test_failures_are_one_line(run, weak, one_line, monkeypatch, error, code, said):
    def fail(*_):
        raise error

    monkeypatch.setattr(engine, "diagnose", fail)
    result = run("diagnose", weak)
    assert result.code == code
    assert one_line(result) == f"probewright: {said}"


def test_a_traceback_is_shown_when_asked_for(run, weak, monkeypatch):
    def fail(*_):
        raise RuntimeError("odd")

    monkeypatch.setattr(engine, "diagnose", fail)
    with pytest.raises(RuntimeError, match="odd"):
        run("--traceback", "diagnose", weak)


# As a program


def program(*arguments, **more):
    return subprocess.run(
        [sys.executable, "-m", "probewright.cli", *arguments], capture_output=True, text=True, check=False, **more
    )


def test_it_runs_as_a_module():
    done = program("families")
    assert (done.returncode, done.stderr) == (0, "")
    assert [line.split()[0] for line in done.stdout.splitlines()] == FAMILIES


def test_it_leaves_quietly_when_nobody_reads():
    """As in ``probewright packs | head -0``: the pipe is closed before anything is written."""
    reader, writer = os.pipe()
    os.close(reader)
    command = [sys.executable, "-m", "probewright.cli", "packs"]
    done = subprocess.run(command, stdout=writer, stderr=subprocess.PIPE, text=True, check=False)
    os.close(writer)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.parametrize("command", ["families", "packs", "--version"])
def test_listings_load_neither_the_web_nor_the_engine(command):
    """What makes them quick; asserted by what is imported, not by a clock."""
    script = f"import sys; from probewright.cli import main\ntry: main([{command!r}])\nexcept SystemExit: pass\n"
    script += "heavy = ('flask', 'marshmallow', 'gunicorn', 'apispec', 'probewright.engine', 'probewright.inference')\n"
    script += "print([m for m in heavy if m in sys.modules], file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"


@pytest.mark.parametrize(("given", "wanted"), [({}, "1"), ({"OPENBLAS_NUM_THREADS": "3"}, "3")])
def test_linear_algebra_is_told_to_use_one_thread_before_numpy_is_imported(given, wanted):
    script = "import os, sys\nimport probewright.cli.main\nassert 'numpy' not in sys.modules\n"
    script += "import probewright.cli.cases\nassert 'numpy' in sys.modules\nprint(os.environ['OPENBLAS_NUM_THREADS'])"
    environment = {name: value for name, value in os.environ.items() if name != "OPENBLAS_NUM_THREADS"} | given
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, env=environment)
    assert done.stdout.strip() == wanted


def test_main_is_the_console_command():
    (command,) = entry_points(group="console_scripts", name="probewright")
    assert command.load() is main
