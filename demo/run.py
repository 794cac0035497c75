"""Start the service on a free loopback port, send it the invented jobs of ``scenario.json``, and stop it again.

Plain HTTP with ``requests``: what a dispatch system would do.  The answers are printed by the same code that the
command line uses, less the cautions and assumptions that an earlier one printed already.
"""

# ruff: noqa: T201 - printing is what this script is for

from __future__ import annotations

import json
import signal
import sys
import textwrap
from pathlib import Path
from typing import Any

import requests
from repeats import without_repeats
from running import NotRunningError, free_port, running

from probewright.render import render_diagnosis, render_problem

HERE = Path(__file__).parent
REQUEST_TIMEOUT_S = 30.0
WIDTH = 100
RULE = "=" * WIDTH


def show_job(url: str, number: int, job: dict[str, str], told: set[str]) -> None:
    """Send one job's case and print what came back, less what was told before."""
    print(f"\n{RULE}\n{number}. {job['title']}\n{RULE}")
    print(textwrap.fill(job["story"], WIDTH))
    body = (HERE / "cases" / f"{job['case']}.json").read_bytes()
    print(f"\nPOST /v1/diagnoses  (demo/cases/{job['case']}.json)")
    headers = {"Content-Type": "application/json"}
    reply = requests.post(f"{url}/v1/diagnoses", data=body, headers=headers, timeout=REQUEST_TIMEOUT_S)
    print(f"HTTP {reply.status_code} {reply.reason}, {reply.headers['Content-Type']}\n")
    answer: dict[str, Any] = reply.json()
    print(without_repeats(render_diagnosis(answer), told) if reply.ok else render_problem(answer))


def interrupt(_signum: int, _frame: object) -> None:
    """Turn a polite request to end into an exception, so that the service is stopped too."""
    raise KeyboardInterrupt


def show_all() -> None:
    """Every job of the scenario, on a service that runs meanwhile."""
    scenario = json.loads((HERE / "scenario.json").read_text(encoding="utf-8"))
    print(f"{scenario['notice']}\n{scenario['setting']}\n{scenario['printing']}")
    port = free_port()
    url = f"http://127.0.0.1:{port}"
    command = [sys.executable, "-m", "probewright.cli", "serve", "--host", "127.0.0.1", "--port", str(port)]
    told: set[str] = set()
    with running(command, ready=f"{url}/health/ready"):
        for number, job in enumerate(scenario["jobs"], start=1):
            show_job(url, number, job, told)
    print(f"\n{RULE}\nThe service is stopped. To send a case of your own: make serve, then see README.md.")


def main() -> int:
    """Run as a command; exit code 0 when every job was answered."""
    signal.signal(signal.SIGTERM, interrupt)
    try:
        show_all()
    except (NotRunningError, requests.RequestException) as error:
        print(f"The demonstration failed: {error}", file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("\nInterrupted; the service is stopped.", file=sys.stderr)
        return 130
    return 0


if __name__ == "__main__":
    sys.exit(main())
