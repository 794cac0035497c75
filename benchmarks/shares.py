"""Where the time of a diagnosis goes: a sampling profile of the service's own workers while wrk asks.

Processor time of the workers is read from the system, and shared out by the samples of a second run, in which the
workers sample themselves (``sampled.py``).  A sample belongs to the innermost of its calls that :data:`PARTS` knows;
gunicorn, Flask and the standard library count as HTTP where nothing of ours called them.
"""

from __future__ import annotations

import os
import re
import tempfile
from collections import Counter
from collections.abc import Mapping
from pathlib import Path

from bench_http import WARM_UP_S
from running import free_port, running
from servers import HERE, WORKLOADS, Servers, asked, service_command
from table import columns

HTTP, REST = "HTTP: gunicorn, Flask, sockets", "the rest of the engine"
READINGS, LIKELIHOODS = "readings: units, meters, bands, verdicts", "expected readings and likelihoods"
POSTERIOR, EXPLANATION = "posterior", "explanation: decibans, clashes, ranking"
PLANNING = "planning: outlook, costs, wording"
JSON, SCHEMA, ANSWER = "JSON, both ways", "schema: the document as a case", "the answer as a document"
#: Where a call belongs: function (empty for all), end of the file's path, part.  The first that matches counts.
PARTS: tuple[tuple[str, str, str], ...] = (
    ("read_json", r"/probewright/intake\.py", JSON),
    ("reply", r"/probewright/web/replies\.py", JSON),
    ("", r"/probewright/(web|cli)/\w+\.py", HTTP),
    ("", r"/probewright_schemas/dump\.py", ANSWER),
    ("", r"/probewright_schemas/\w+\.py|/probewright/intake\.py", SCHEMA),
    ("posteriors", r"/inference/posterior\.py", POSTERIOR),
    ("posterior", r"/inference/posterior\.py", POSTERIOR),
    ("", r"/inference/(posterior|course|misfits)\.py|/engine/answers\.py", EXPLANATION),
    ("_plan", r"/engine/machine\.py", PLANNING),
    ("", r"/probewright/(planning|decision)/\w+\.py|/engine/beliefs\.py|/inference/outcomes\.py", PLANNING),
    ("", r"/inference/(prepar\w+|gauges|contexts|checking|rulers|remarks|ids)\.py", READINGS),
    ("", r"/probewright/quantities/\w+\.py", READINGS),
    ("", r"/probewright/packs/\w+\.py|/probewright_packs/.*\.py", READINGS),
    ("", r"/probewright/(inference|circuit|physics)/(?!evaluate)\w+\.py", LIKELIHOODS),
    ("", r"/probewright/.*\.py", REST),
)  # fmt: skip
ORDER = (HTTP, JSON, SCHEMA, READINGS, LIKELIHOODS, POSTERIOR, EXPLANATION, PLANNING, REST, ANSWER)


def part_of(stack: str) -> str:
    """The part that a sample belongs to; frames stand outermost first, separated by semicolons."""
    for frame in reversed(stack.split(";")):
        function, _, path = frame.partition(" ")
        for wanted, ending, part in PARTS:
            if wanted in ("", function) and re.search(f"({ending})$", path):
                return part
    return HTTP


def measure(servers: Servers, seconds: int) -> str:
    """A table of microseconds of processor time for one request, by part."""
    spent: dict[str, dict[str, float]] = {}
    bare: dict[str, float] = {}
    for name in ("none", "quick"):
        url, bodies = f"{servers.service}/v1/diagnoses", servers.bodies[name]
        asked(url, bodies, WARM_UP_S)
        whole = _microseconds(servers.service_pid, url, bodies, seconds)
        counts = _samples(bodies, seconds)
        total = counts.total()
        spent[name] = {part: whole * counts[part] / total for part in ORDER}
        bare[name] = _microseconds(servers.bare_pid, f"{servers.bare}/answer/{name}", bodies, seconds)
    return _report(spent, bare)


def _report(spent: Mapping[str, Mapping[str, float]], bare: Mapping[str, float]) -> str:
    rows = [("µs of processor time a request", *(WORKLOADS[name].words for name in spent))]
    for part in ORDER:
        rows.append((part, *(f"{s[part]:.0f} ({s[part] / sum(s.values()):.0%})" for s in spent.values())))
    rows.append(("**whole request**", *(f"**{sum(s.values()):.0f}**" for s in spent.values())))
    rows.append(("the bare application, for comparison", *(f"{bare[name]:.0f}" for name in spent)))
    allowed = {name: bare[name] / (WORKLOADS[name].goal or 1.0) for name in spent}
    rows.append(("what the goal would allow for the whole", *(f"{allowed[name]:.0f}" for name in spent)))
    return columns(rows)


def _microseconds(pid: int, url: str, bodies: Path, seconds: int) -> float:
    """Processor time of all workers, own and the system's, for one request."""
    before = _processor_seconds(pid)
    answered, _ = asked(url, bodies, seconds)
    return 1e6 * (_processor_seconds(pid) - before) / answered


def _processor_seconds(pid: int) -> float:
    """Processor time so far of the children of a process (proc(5): fields 14 and 15 of ``stat``)."""
    ticks = 0
    for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split():
        fields = Path(f"/proc/{child}/stat").read_text().rpartition(")")[2].split()
        ticks += int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def _samples(bodies: Path, seconds: int) -> Counter[str]:
    """Samples by part, from all workers of a service of their own."""
    port = free_port()
    url = f"http://127.0.0.1:{port}"
    counts: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        python, _, _, *arguments = service_command(port)
        command = [python, str(HERE / "sampled.py"), folder, *arguments]
        with running(command, f"{url}/health/ready", quiet=True):
            asked(f"{url}/v1/diagnoses", bodies, WARM_UP_S + seconds)
        for path in Path(folder).iterdir():
            for line in path.read_text(encoding="utf-8").splitlines():
                stack, _, count = line.rpartition("\t")
                counts[part_of(stack)] += int(count)
    return counts
