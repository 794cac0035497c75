"""The demonstration, run as a reader would, and what its answers must say."""

from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from repeats import without_repeats

DEMO = Path(__file__).parents[2] / "demo"
SCENARIO = json.loads((DEMO / "scenario.json").read_text(encoding="utf-8"))
TIMEOUT_S = 120


def start() -> subprocess.Popen[str]:
    command = [sys.executable, str(DEMO / "run.py")]
    environment = {**os.environ, "PYTHONUNBUFFERED": "1"}
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=environment)


def serving(port: int) -> bool:
    """Whether anybody still listens there."""
    with socket.socket() as caller:
        return caller.connect_ex(("127.0.0.1", port)) == 0


def port_of(output: str) -> int:
    found = re.search(r"listens on http://127\.0\.0\.1:(\d+)", output)
    assert found, output
    return int(found[1])


def test_all_jobs_are_answered_and_the_service_stops() -> None:
    with start() as process:
        output, _ = process.communicate(timeout=TIMEOUT_S)
    assert process.returncode == 0, output
    assert "invented" in output
    for job in SCENARIO["jobs"]:
        assert job["title"] in output
    assert output.count("HTTP 200") == len(SCENARIO["jobs"]) - 1
    assert output.count("HTTP 422") == 1
    assert output.count("This answer weighs evidence.") == 2  # for what burns gas, and for what does not
    assert output.count("  ! If you smell gas") == 1
    assert not serving(port_of(output))


@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM])
def test_interrupted_it_stops_the_service_too(how: signal.Signals) -> None:
    with start() as process:
        assert process.stdout is not None
        output = ""
        while "listens on" not in output:
            line = process.stdout.readline()
            assert line, output
            output += line
        port = port_of(output)
        process.send_signal(how)
        rest, _ = process.communicate(timeout=TIMEOUT_S)
    # It may have been done before the signal came.
    assert process.returncode == 130 or "The service is stopped." in rest, output + rest
    assert not serving(port)


def answer(name: str, exit_code: int = 0) -> dict[str, Any]:
    """What the command line makes of a job's case; exit code 1 says that the answer is to stop or refer."""
    command = [sys.executable, "-m", "probewright.cli", "diagnose", "--json", str(DEMO / "cases" / f"{name}.json")]
    done = subprocess.run(command, capture_output=True, text=True, timeout=TIMEOUT_S, check=False)
    assert done.returncode == exit_code, done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found


@pytest.mark.parametrize(
    ("name", "fault"),
    [
        ("weak_igniter", "bake_igniter_weak"),
        ("open_valve_coil", "bake_valve_coil_open"),
        ("harness_not_sensor", "oven_sensor_harness_open"),
        ("module_not_switches", "spark_module_dead"),
    ],
)
def test_the_story_is_told_right(name: str, fault: str) -> None:
    diagnosis = answer(name)
    assert diagnosis["faults"][0]["fault"] == fault
    assert diagnosis["faults"][0]["probability"] > 0.5


def test_the_current_of_the_weak_igniter_tells_what_its_continuity_did_not() -> None:
    evidence = {e["from"]: e["decibans"] for e in answer("weak_igniter")["faults"][0]["evidence"]}
    assert evidence["bake_igniter_current"] > 10
    assert evidence.get("bake_igniter_continuity", 0.0) < 5


def test_cautions_are_told_once_and_anything_new_is_told() -> None:
    told: set[str] = set()
    first = "Job\n\nSTEP\n  - go\n\nALWAYS MIND\n  ! gas, which\n    explodes\n  ! edges\n\nNotice."
    assert without_repeats(first, told) == first
    second = "Job\n\nSTEP\n  - go\n\nALWAYS MIND\n  ! gas, which\n    explodes\n  ! heat\n\nNotice."
    left = "Job\n\nSTEP\n  - go\n\nALWAYS MIND\n  ! heat\n  (1 as in an earlier answer)"
    assert without_repeats(second, told) == left


def test_a_sensor_without_its_temperature_is_asked_for_it() -> None:
    reading = answer("sensor_without_temperature")["readings"][0]
    assert reading["verdict"] == "inconclusive"
    assert any("ambient" in (finding["remedy"] or "") for finding in reading["findings"])


def test_a_smell_of_gas_comes_before_everything() -> None:
    diagnosis = answer("gas_smell", exit_code=1)
    assert diagnosis["next"]["kind"] in ("stop", "refer")
    assert diagnosis["alternatives"] == []
