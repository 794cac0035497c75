"""What the first case of a kind costs: a combination of options, reports and tests that was never asked before.

The service keeps what depends on the combination alone, so every later case of the kind finds it compiled.  A fresh
service with one worker is asked about different combinations one after the other, each first once and then again with
other values.  Circuits that two combinations share are solved with the earlier one, as in a shop's day.
"""

from __future__ import annotations

import http.client
import json
import random
import statistics
import time

from cases import SEED, Combination, Document, case, combinations
from running import free_port, running
from servers import FailedRequestsError, service_command
from table import Figure

N_NEW = 60
N_LATER = 15


def measure() -> list[Figure]:
    """Ask about each combination, first once and then some more."""
    chance = random.Random(SEED)
    port = free_port()
    with running(service_command(port, workers=1), f"http://127.0.0.1:{port}/health/ready", quiet=True):
        pairs = [_first_and_later(port, chance, combination) for combination in combinations(N_NEW, SEED + 1)]
    ratio = statistics.median(first / later for first, later in pairs)
    worst = max(first / later for first, later in pairs)
    first, later = (1e3 * statistics.median(column) for column in zip(*pairs, strict=True))
    slowest = 1e3 * max(first for first, _ in pairs)
    return [
        Figure("a combination never asked before: its first answer over later ones, in time",
               f"{ratio:.0f} ({first:.0f} to {later:.1f} ms)"),
        Figure(f"the same, the worst of {N_NEW} on a fresh service", f"{worst:.0f} ({slowest:.0f} ms)"),
    ]  # fmt: skip


def _first_and_later(port: int, chance: random.Random, combination: Combination) -> tuple[float, float]:
    first, *later = [_seconds(port, case(chance, number, combination)) for number in range(1 + N_LATER)]
    return first, statistics.median(later)


def _seconds(port: int, document: Document) -> float:
    """How long one answer takes, with its connection."""
    body = json.dumps(document).encode()
    begin = time.perf_counter()
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request("POST", "/v1/diagnoses", body, {"Content-Type": "application/json"})
    reply = connection.getresponse()
    reply.read()
    connection.close()
    took = time.perf_counter() - begin
    if reply.status != http.client.OK:
        raise FailedRequestsError(f"the service answered {reply.status}")
    return took
