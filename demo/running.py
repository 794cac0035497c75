"""Run a web service as a child process for as long as a block lasts.  The benchmarks use it too."""

from __future__ import annotations

import socket
import subprocess
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager

import requests

START_TIMEOUT_S = 30.0
STOP_TIMEOUT_S = 10.0


class NotRunningError(Exception):
    """The service did not start; the message says what to look at."""


def free_port() -> int:
    """A loopback port that nothing listens on now."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def wait_until_ready(process: subprocess.Popen[bytes], url: str, poll_s: float = 0.02) -> None:
    """Ask ``url`` until it answers well."""
    deadline = time.monotonic() + START_TIMEOUT_S
    while time.monotonic() < deadline:
        if process.poll() is not None:
            raise NotRunningError(f"it stopped at once, with exit code {process.returncode}; its log is above")
        try:
            if requests.get(url, timeout=1).ok:
                return
        except (requests.ConnectionError, requests.Timeout):
            pass
        time.sleep(poll_s)
    raise NotRunningError(f"{url} did not answer well within {START_TIMEOUT_S:.0f} s")


def stop(process: subprocess.Popen[bytes]) -> None:
    """End this one process, gently first; gunicorn ends its own workers."""
    if process.poll() is not None:
        return
    process.terminate()
    try:
        process.wait(STOP_TIMEOUT_S)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait()


@contextmanager
def running(
    command: Sequence[str], ready: str, environment: Mapping[str, str] | None = None, *, quiet: bool = False
) -> Iterator[subprocess.Popen[bytes]]:
    """Run ``command`` until the block ends, however it ends; the block starts once ``ready`` answers.

    ``quiet`` drops what it says, but not what it complains about.
    """
    output = subprocess.DEVNULL if quiet else None
    process = subprocess.Popen(  # noqa: S603 - our own commands, no shell
        command, stdin=subprocess.DEVNULL, stdout=output, env=environment
    )
    try:
        wait_until_ready(process, ready)
        yield process
    finally:
        stop(process)
