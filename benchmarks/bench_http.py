"""Requests a second of ``POST /v1/diagnoses``, as a share of what a bare web application answers, and start-up time.

Both run under gunicorn with the same settings, take turns, and send as many bytes; wrk asks.  The ratio says what the
diagnosis costs over and above HTTP itself, and depends little on the machine.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import requests
from cases import cases
from running import free_port, running
from table import Figure

HERE = Path(__file__).parent
WORKERS = 2
CONNECTIONS = 8
EFFORTS = ("none", "quick")
N_SIZED = 51
GOALS = {"none": 0.4, "quick": 0.2}
START_GOAL_S = 1.5


class FailedRequestsError(Exception):
    """A measured server answered something else than 2xx."""


def service_command(port: int) -> list[str]:
    return [sys.executable, "-m", "probewright.cli", "serve", "--host", "127.0.0.1", "--port", str(port),
            "--workers", str(WORKERS)]  # fmt: skip


def echo_command(port: int) -> list[str]:
    return [sys.executable, "-m", "gunicorn", "--chdir", str(HERE), "--bind", f"127.0.0.1:{port}",
            "--workers", str(WORKERS), "--preload", "--log-level", "warning", "--no-control-socket",
            "--worker-tmp-dir", "/dev/shm", "echo_app:app"]  # fmt: skip


def write_cases(folder: Path) -> dict[str, Path]:
    """One file of cases a line, for each effort."""
    files = {effort: folder / f"cases-{effort}.ndjson" for effort in EFFORTS}
    for effort, path in files.items():
        path.write_text("".join(json.dumps(case) + "\n" for case in cases(effort)), encoding="utf-8")
    return files


def write_answers(url: str, folder: Path) -> None:
    """The service's answer of median length, for the bare application to give back."""
    for effort in EFFORTS:
        replies = [requests.post(f"{url}/v1/diagnoses", json=case, timeout=60) for case in cases(effort)[:N_SIZED]]
        for reply in replies:
            reply.raise_for_status()
        answers = sorted((reply.content for reply in replies), key=len)
        (folder / effort).write_bytes(answers[len(answers) // 2])


def requests_a_second(url: str, bodies: Path, seconds: int) -> float:
    """What wrk counts in that time."""
    command = ["wrk", "--threads", "1", "--connections", str(CONNECTIONS), "--duration", f"{seconds}s",
               "--timeout", "10s", "--script", str(HERE / "rotate.lua"), url, "--", str(bodies)]  # fmt: skip
    output = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    result = next(line for line in output.splitlines() if line.startswith("RESULT "))
    answered, microseconds, failed = (int(word) for word in result.split()[1:])
    if failed or not answered:
        raise FailedRequestsError(f"{url}: {failed} of {answered} requests failed\n{output}")
    return answered / (microseconds / 1e6)


@contextmanager
def both(answers: Path) -> Iterator[tuple[str, str]]:
    """The service and the bare application, side by side; only one is asked at a time."""
    ours, bare = free_port(), free_port()
    service, echo = f"http://127.0.0.1:{ours}", f"http://127.0.0.1:{bare}"
    with running(service_command(ours), f"{service}/health/ready", quiet=True):
        write_answers(service, answers)
        environment: Mapping[str, str] = {**os.environ, "ECHO_ANSWERS": str(answers)}
        with running(echo_command(bare), f"{echo}/ready", environment, quiet=True):
            yield service, echo


def measure(rounds: int, seconds: int) -> list[Figure]:
    """Turn by turn, so that whatever else the machine does falls on all alike."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        answers = folder / "answers"
        answers.mkdir()
        bodies = write_cases(folder)
        with both(answers) as (service, echo):
            targets = {
                **{f"service {effort}": (f"{service}/v1/diagnoses", bodies[effort]) for effort in EFFORTS},
                **{f"answer {effort}": (f"{echo}/answer/{effort}", bodies[effort]) for effort in EFFORTS},
                "request": (f"{echo}/request", bodies["quick"]),
            }
            for url, path in targets.values():
                requests_a_second(url, path, 1)
            rates: dict[str, list[float]] = {name: [] for name in targets}
            for _ in range(rounds):
                for target, (url, path) in targets.items():
                    rates[target].append(requests_a_second(url, path, seconds))
            sizes = {effort: len((answers / effort).read_bytes()) for effort in EFFORTS}
    return figures(rates, sizes)


def figures(rates: Mapping[str, list[float]], sizes: Mapping[str, int]) -> list[Figure]:
    """Ratios within a round, then their median."""
    found = []
    for effort in EFFORTS:
        ours = rates[f"service {effort}"]
        rate = statistics.median(ours)
        for other, words in ((f"answer {effort}", f"echo of its {sizes[effort]} bytes"),
                             ("request", "echo of the request")):  # fmt: skip
            ratio = statistics.median(a / b for a, b in zip(ours, rates[other], strict=True))
            bare = statistics.median(rates[other])
            goal = GOALS[effort] if other.startswith("answer") else None
            found.append(Figure(
                f"POST /v1/diagnoses, effort {effort}, 8 readings, over a bare {words}",
                f"{ratio:.2f} ({rate:.0f} to {bare:.0f} requests/s)",
                f"at least {goal}" if goal else "", ratio >= goal if goal else None,
            ))  # fmt: skip
    return found


def start_up(rounds: int) -> Figure:
    """From starting the command to the first good answer of /health/ready."""
    times = []
    for _ in range(rounds):
        port = free_port()
        begin = time.perf_counter()
        with running(service_command(port), f"http://127.0.0.1:{port}/health/ready", quiet=True):
            times.append(time.perf_counter() - begin)
    value = statistics.median(times)
    return Figure("start to ready", f"{value:.2f} s", f"at most {START_GOAL_S} s", value <= START_GOAL_S)
