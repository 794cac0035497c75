"""The image's health check, as the container engine runs it, and the files that make the image."""

from __future__ import annotations

import http.server
import re
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
SCRIPT = ROOT / "docker" / "healthcheck.py"
DOCKERFILE = (ROOT / "docker" / "Dockerfile").read_text(encoding="utf-8")


class Answers(http.server.BaseHTTPRequestHandler):
    """200 for /ready, 503 for anything else."""

    def do_GET(self) -> None:
        self.send_response(200 if self.path == "/ready" else 503)
        self.end_headers()

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - the base class's name
        """Stay quiet."""


@pytest.fixture
def server() -> Iterator[str]:
    with http.server.HTTPServer(("127.0.0.1", 0), Answers) as listening:
        thread = threading.Thread(target=listening.serve_forever)
        thread.start()
        yield f"http://127.0.0.1:{listening.server_port}"
        listening.shutdown()
        thread.join()


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    # -I: as in the image, where nothing but the standard library may be needed.
    command = [sys.executable, "-I", str(SCRIPT), *arguments]
    return subprocess.run(command, capture_output=True, text=True, timeout=60, check=False)


def test_ready(server: str) -> None:
    assert run(f"{server}/ready").returncode == 0


def test_not_ready(server: str) -> None:
    done = run(f"{server}/other")
    assert done.returncode == 1
    assert "HTTP 503" in done.stderr


def test_nobody_there() -> None:
    with socket.socket() as bound:
        bound.bind(("127.0.0.1", 0))
        done = run(f"http://127.0.0.1:{bound.getsockname()[1]}/ready")
    assert done.returncode == 1
    assert "not ready" in done.stderr


@pytest.mark.parametrize("arguments", [("file:///etc/passwd",), ("a", "b")])
def test_misuse(arguments: tuple[str, ...]) -> None:
    assert run(*arguments).returncode == 1


def test_copied_files_exist() -> None:
    copied = [line.split()[1:-1] for line in DOCKERFILE.splitlines() if re.match(r"COPY (?!--from)", line)]
    names = [name for names in copied for name in names]
    assert len(names) > 5
    assert [name for name in names if not (ROOT / name).exists()] == []


def test_copied_files_reach_the_builder() -> None:
    let_in = {line[1:] for line in (ROOT / ".dockerignore").read_text().splitlines() if line.startswith("!")}
    copied = [line.split()[1:-1] for line in DOCKERFILE.splitlines() if re.match(r"COPY (?!--from)", line)]
    assert {name for names in copied for name in names} == let_in


def test_runs_as_nobody_in_particular() -> None:
    last_stage = DOCKERFILE.rpartition("\nFROM ")[2]
    users = re.findall(r"^USER (\d+)", last_stage, re.MULTILINE)
    assert users
    assert int(users[-1]) > 0


def test_pins_are_names_and_versions_alone() -> None:
    pins = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    assert len(pins) > 50
    assert [pin for pin in pins if not re.fullmatch(r"[A-Za-z0-9._-]+==[A-Za-z0-9.+!]+", pin)] == []
