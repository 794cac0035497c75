"""Requests a second of ``POST /v1/diagnoses``, as a share of what a bare web application answers, and start-up time.

Both run under gunicorn with the same settings, take turns, and send as many bytes; wrk asks.  The ratio says what the
diagnosis costs over and above HTTP itself, and depends little on the machine.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Mapping

from running import free_port, running
from servers import WORKLOADS, Servers, asked, service_command
from table import Figure

START_GOAL_S = 1.5
#: Long enough for each worker to have met every combination of the cases.
WARM_UP_S = 4

Rates = Mapping[str, list[float]]


def measure(servers: Servers, rounds: int, seconds: int) -> list[Figure]:
    """Turn by turn, so that whatever else the machine does falls on all alike."""
    targets = {
        **{f"service {name}": (f"{servers.service}/v1/diagnoses", servers.bodies[name]) for name in WORKLOADS},
        **{f"bare {name}": (f"{servers.bare}/answer/{name}", servers.bodies[name]) for name in WORKLOADS},
    }
    for url, bodies in targets.values():
        asked(url, bodies, WARM_UP_S)
    rates: dict[str, list[float]] = {name: [] for name in targets}
    for _ in range(rounds):
        for name, (url, bodies) in targets.items():
            answered, took = asked(url, bodies, seconds)
            rates[name].append(answered / took)
    return [_figure(name, rates, servers.sizes[name]) for name in WORKLOADS]


def _figure(name: str, rates: Rates, size: int) -> Figure:
    """Ratios within a round, then their median."""
    work, ours, bare = WORKLOADS[name], rates[f"service {name}"], rates[f"bare {name}"]
    ratio = statistics.median(a / b for a, b in zip(ours, bare, strict=True))
    digits = 2 if ratio > 0.1 else 3
    value = f"{ratio:.{digits}f} ({statistics.median(ours):.0f} to {statistics.median(bare):.0f} requests/s)"
    return Figure(
        f"diagnoses a second, {work.words}, over a bare application's {size} bytes", value,
        f"at least {work.goal}" if work.goal else "", ratio >= work.goal if work.goal else None,
    )  # fmt: skip


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
