"""The two servers that are compared, what they are asked, and wrk, which asks."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import requests
from cases import cases
from running import free_port, running

HERE = Path(__file__).parent
WORKERS, THREADS = 2, 4
CONNECTIONS = 8
N_SIZED = 51


@dataclass(frozen=True, slots=True)
class Workload:
    """One kind of question; ``goal`` is the share of the bare application's rate that is to be reached."""

    effort: str
    options_known: bool
    words: str
    goal: float | None


WORKLOADS = {
    "none": Workload("none", True, "effort none, 8 readings", 0.4),
    "quick": Workload("quick", True, "effort quick, 8 readings", 0.2),
    "unknown": Workload("quick", False, "effort quick, 8 readings, no option known", None),
}


@dataclass(frozen=True, slots=True)
class Servers:
    """Addresses and process ids of both, files of cases a line, and the size of the bare application's answers."""

    service: str
    service_pid: int
    bare: str
    bare_pid: int
    bodies: dict[str, Path]
    sizes: dict[str, int]


class FailedRequestsError(Exception):
    """A measured server answered something else than 2xx."""


def service_command(port: int, workers: int = WORKERS) -> list[str]:
    """Start the service."""
    return [sys.executable, "-m", "probewright.cli", "serve", "--host", "127.0.0.1", "--port", str(port),
            "--workers", str(workers)]  # fmt: skip


def bare_command(port: int) -> list[str]:
    """Start the bare application with the settings that the service gives gunicorn."""
    return [sys.executable, "-m", "gunicorn", "--chdir", str(HERE), "--bind", f"127.0.0.1:{port}",
            "--workers", str(WORKERS), "--worker-class", "gthread", "--threads", str(THREADS), "--preload",
            "--log-level", "warning", "--no-control-socket", "--worker-tmp-dir", "/dev/shm",
            "echo_app:app"]  # fmt: skip


@contextmanager
def both(folder: Path) -> Iterator[Servers]:
    """The service and the bare application, side by side; only one is asked at a time."""
    answers = folder / "answers"
    answers.mkdir()
    bodies = {name: _write_cases(folder, name, work) for name, work in WORKLOADS.items()}
    ours, theirs = free_port(), free_port()
    service, bare = f"http://127.0.0.1:{ours}", f"http://127.0.0.1:{theirs}"
    with running(service_command(ours), f"{service}/health/ready", quiet=True) as serving:
        sizes = {name: _write_answer(service, bodies[name], answers / name) for name in WORKLOADS}
        environment = {**os.environ, "ECHO_ANSWERS": str(answers)}
        with running(bare_command(theirs), f"{bare}/ready", environment, quiet=True) as echoing:
            yield Servers(service, serving.pid, bare, echoing.pid, bodies, sizes)


def _write_cases(folder: Path, name: str, work: Workload) -> Path:
    path = folder / f"{name}.ndjson"
    made = cases(work.effort, options_known=work.options_known)
    path.write_text("".join(json.dumps(case) + "\n" for case in made), encoding="utf-8")
    return path


def _write_answer(url: str, bodies: Path, path: Path) -> int:
    """Write the service's answer of median length, for the bare application to give back."""
    replies = [
        requests.post(f"{url}/v1/diagnoses", data=body, headers={"Content-Type": "application/json"}, timeout=60)
        for body in bodies.read_bytes().splitlines()[:N_SIZED]
    ]
    for reply in replies:
        reply.raise_for_status()
    answers = sorted((reply.content for reply in replies), key=len)
    return path.write_bytes(answers[len(answers) // 2])


def asked(url: str, bodies: Path, seconds: int) -> tuple[int, float]:
    """Let wrk ask for that long: the number of answers, and how many seconds it took."""
    command = ["wrk", "--threads", "1", "--connections", str(CONNECTIONS), "--duration", f"{seconds}s",
               "--timeout", "10s", "--script", str(HERE / "rotate.lua"), url, "--", str(bodies)]  # fmt: skip
    output = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    result = next(line for line in output.splitlines() if line.startswith("RESULT "))
    answered, microseconds, failed = (int(word) for word in result.split()[1:])
    if failed or not answered:
        raise FailedRequestsError(f"{url}: {failed} of {answered} requests failed\n{output}")
    return answered, microseconds / 1e6
