"""Stored jobs through ``probewright re-evaluate``: cases a second, workers, memory, and where the time goes.

The jobs are the gas-range cases of ``cases.py`` (effort none, eight readings), each with a brief earlier answer:

- *asked anew*: the earlier answer is of another pack, so every case is worked out and compared;
- *one in twenty*: of twenty cases one is asked anew, as after the recall of one meter of many;
- *nothing touched*: the earlier answer is today's, proven by its digest, so none is.

The command is a process of its own.  What it takes to start, and each worker to compile what these jobs are about, is
measured in the same round over a fifth as many of them, and taken off.
"""

from __future__ import annotations

import gc
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import orjson
from cases import cases
from table import Figure, columns

from probewright import engine
from probewright.batch.jobs import read_job
from probewright.batch.reevaluating import Reevaluator
from probewright.engine.machine import machine_of
from probewright.inference.preparing import prepare
from probewright.intake import load_case
from probewright.packs.loader import load_packs
from probewright.packs.registry import Registry
from probewright.settings import Settings
from probewright_schemas.batch_dump import reevaluation_document
from probewright_schemas.batch_records import Changes
from probewright_schemas.dump import to_document

WORKERS = 2
#: Jobs that warm the workers up, and jobs that are measured beyond these.
N_WARM_UP, N_JOBS = 5000, 20_000
N_FEW, N_MANY, N_FULL = 10_000, 100_000, 1_000_000
BLOCK = 512
ANEW = "every case asked anew"
GOAL_CASES, GOAL_WORKERS, GOAL_DASK, GOAL_MEMORY = 10_000, 1.9, 1.8, 1.2
#: What re-evaluation reads of an earlier answer.
_BRIEF = ("pack", "readings", "faults", "unexplained", "no_fault", "computation")
COMMAND = [sys.executable, "-m", "probewright.cli", "re-evaluate", "--quiet", "--force"]

Document = dict[str, Any]


def answered() -> list[Document]:
    """The jobs, with what the service answers today."""
    pack, settings = load_packs().get("gas_range"), Settings()
    drawn = cases("none")
    answers = engine.diagnose_many([load_case(case) for case in drawn], pack, settings)
    jobs = []
    for case, answer in zip(drawn, answers, strict=True):
        told = to_document(answer)
        jobs.append({"case": case, "answer": {name: told[name] for name in _BRIEF}})
    return jobs


def of_another_pack(jobs: Sequence[Document]) -> list[Document]:
    """The same, answered by a pack that is not there any more."""
    older: Document = {"family": "gas_range", "version": "0.9.0", "digest": "sha256:older"}
    return [
        {**job, "answer": {**{k: v for k, v in job["answer"].items() if k != "computation"}, "pack": older}}
        for job in jobs
    ]


def one_in_twenty(anew: Sequence[Document], same: Sequence[Document]) -> list[Document]:
    """As after the recall of one meter of many: most jobs are not touched."""
    return [other if number % 20 == 0 else one for number, (other, one) in enumerate(zip(anew, same, strict=True))]


def write(path: Path, jobs: Sequence[Document], count: int) -> Path:
    """A file of so many jobs, with references of their own."""
    with path.open("wb") as file:
        for number in range(count):
            job = jobs[number % len(jobs)]
            case = {**job["case"], "reference": f"invented-{number}"}
            file.write(orjson.dumps({**job, "case": case}, option=orjson.OPT_APPEND_NEWLINE))
    return path


def run(source: Path, *options: str) -> tuple[float, int]:
    """Seconds that the command takes, and the most memory that one of its processes had, in bytes."""
    output = source.with_suffix(".out.ndjson")
    begin = time.perf_counter()
    child = subprocess.Popen([*COMMAND, str(source), "--output", str(output), *options])
    _, status, used = os.wait4(child.pid, 0)
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode != 0:
        raise RuntimeError(f"re-evaluate ended with {child.returncode}")
    return time.perf_counter() - begin, used.ru_maxrss * 1024


def both(folder: Path, jobs: Sequence[Document]) -> tuple[Path, Path]:
    """The jobs of the warm-up, and these with those that are measured."""
    few = write(folder / "warm_up.ndjson", jobs, N_WARM_UP)
    return few, write(folder / "many.ndjson", jobs, N_WARM_UP + N_JOBS)


def rates(few: Path, many: Path, rounds: int, *options: str) -> tuple[list[float], list[float]]:
    """Seconds to start and warm up, and cases a second without that, of each round."""
    starts, found = [], []
    for _ in range(rounds):
        start, _ = run(few, *options)
        whole, _ = run(many, *options)
        starts.append(start)
        found.append(N_JOBS / (whole - start))
    return starts, found


def through_the_command(folder: Path, jobs: Sequence[Document], words: str, rounds: int) -> list[Figure]:
    """Cases a second, and what the second worker brings."""
    few, many = both(folder, jobs)
    _, two = rates(few, many, rounds, "--workers", str(WORKERS))
    _, one = rates(few, many, rounds, "--workers", "1")
    rate, ratio = statistics.median(two), statistics.median(a / b for a, b in zip(two, one, strict=True))
    named = f"the same, {WORKERS} workers over one"
    # Where there is little to work out, one process reads for all of them and keeps the journal.
    both_work = Figure(named, f"{ratio:.2f}")
    if words == ANEW:
        both_work = Figure(named, f"{ratio:.2f}", f"at least {GOAL_WORKERS}", ratio >= GOAL_WORKERS)
    return [
        Figure(f"cases a second through the command, {WORKERS} workers, {words}", f"{rate:,.0f}",
               f"at least {GOAL_CASES:,}", rate >= GOAL_CASES),
        both_work,
    ]  # fmt: skip


def memory(folder: Path, jobs: Sequence[Document], *, full: bool) -> Figure:
    """The most that one process has, of few jobs and of many."""
    large = N_FULL if full else N_MANY
    few, many = write(folder / "few.ndjson", jobs, N_FEW), write(folder / "large.ndjson", jobs, large)
    (_, small), (_, big) = (run(path, "--workers", str(WORKERS)) for path in (few, many))
    many.unlink()
    ratio = big / small
    return Figure(f"most memory of a process, {large:,} cases over {N_FEW:,}",
                  f"{ratio:.2f} ({big / 2**20:.0f} to {small / 2**20:.0f} MiB)", f"at most {GOAL_MEMORY}",
                  ratio <= GOAL_MEMORY)  # fmt: skip


def on_a_cluster(folder: Path, jobs: Sequence[Document]) -> Figure:
    """Two workers of a Dask cluster over one."""
    few, many = both(folder, jobs)
    rate = {}
    for workers in (1, 2):
        with cluster(folder, workers) as address:
            _, [rate[workers]] = rates(few, many, 1, "--dask", address)
    ratio = rate[2] / rate[1]
    return Figure("cases a second in a Dask cluster, two workers over one", f"{ratio:.2f} ({rate[2]:,.0f} a second)",
                  f"at least {GOAL_DASK}", ratio >= GOAL_DASK)  # fmt: skip


@contextmanager
def cluster(folder: Path, workers: int) -> Iterator[str]:
    """A scheduler and workers of their own on the loopback interface."""
    note = folder / "scheduler.json"
    note.unlink(missing_ok=True)
    quiet: Any = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    begin = [sys.executable, "-m", "dask"]
    known = ["--host", "127.0.0.1", "--no-dashboard", "--scheduler-file", str(note)]
    scheduler = [*begin, "scheduler", "--port", "0", *known]
    worker = [*begin, "worker", "--nthreads", "1", *known, "--local-directory", str(folder)]
    processes = [subprocess.Popen(scheduler, **quiet)]
    try:
        address = _address(note)
        processes += [subprocess.Popen(worker, **quiet) for _ in range(workers)]
        _await_workers(address, workers)
        yield address
    finally:
        for process in reversed(processes):
            process.terminate()
        for process in processes:
            process.wait(30)


def _address(note: Path) -> str:
    for _ in range(300):
        if note.exists() and note.stat().st_size:
            return str(orjson.loads(note.read_bytes())["address"])
        time.sleep(0.1)
    raise TimeoutError("the scheduler did not come up")


def _await_workers(address: str, count: int) -> None:
    from distributed import Client  # noqa: PLC0415  of the extra `dask`

    with Client(address, set_as_default=False) as client:  # type: ignore[no-untyped-call]
        client.wait_for_workers(count, timeout=60)


def stages(jobs: Sequence[Document], registry: Registry) -> dict[str, float]:
    """Microseconds of processor time for one job, by part, in this process; block after block as a worker does."""
    lines = [orjson.dumps(job) for job in jobs]
    settings = Settings()
    pack, reevaluator = registry.get("gas_range"), Reevaluator(Changes(), registry, settings)
    vocabulary = machine_of(pack).store.vocabulary
    spent: dict[str, float] = defaultdict(float)
    gc.disable()  # as the workers do while they are at a block

    def timed(part: str, work: Callable[[], Any]) -> Any:
        begin = time.process_time()
        done = work()
        spent[part] += 1e6 * (time.process_time() - begin) / len(lines)
        return done

    def one(block: Sequence[bytes]) -> None:
        read = timed("read", lambda: [read_job(line) for line in block])
        timed("digest", lambda: [engine.computation(job.told, pack, settings) for job in read])
        given = timed("records", lambda: [job.case for job in read])
        timed("prepare", lambda: [prepare(case, vocabulary) for case in given])
        timed("brief", lambda: engine.brief_many(given, pack, settings))
        results = timed("results", lambda: reevaluator.results(read))
        told = timed("document", lambda: [reevaluation_document(result) for result in results])
        timed("JSON out", lambda: [orjson.dumps(document) for document in told])

    for start in range(0, len(lines), BLOCK):
        one(lines[start : start + BLOCK])
    gc.enable()
    return spent


def shares(anew: Sequence[Document], same: Sequence[Document]) -> str:
    """A table of what each part takes."""
    registry = load_packs()
    stages(anew, registry)  # what is compiled and kept is there afterwards
    spent = {"asked anew": stages(anew, registry), "nothing touched": stages(same, registry)}
    # Where nothing is touched no record is made, and the engine is not asked.
    spent["nothing touched"] |= {"records": 0.0, "prepare": 0.0, "brief": 0.0}
    parts: dict[str, Callable[[dict[str, float]], float]] = {
        "JSON and schema: the line as it is read": lambda s: s["read"],
        "the case as a record": lambda s: s["records"],
        "digest of what the answer depends on": lambda s: s["digest"],
        "validation of readings: ids, units, meters": lambda s: s["prepare"],
        "engine: verdicts, likelihoods, posterior": lambda s: max(0.0, s["brief"] - s["prepare"]),
        "comparison, and why": lambda s: max(0.0, s["results"] - s["digest"] - s["brief"]),
        "the result as a document": lambda s: s["document"],
        "JSON out": lambda s: s["JSON out"],
    }
    rows = [[name, *(f"{of(s):.0f}" for s in spent.values())] for name, of in parts.items()]
    sums = [f"**{sum(of(s) for of in parts.values()):.0f}**" for s in spent.values()]
    return columns([("µs of processor time a job", *spent), *rows, ("**whole job**", *sums)])


def measure(rounds: int, *, full: bool = False) -> tuple[list[Figure], str]:
    """Everything, and the table of parts."""
    same = answered()
    anew = of_another_pack(same)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        figures = through_the_command(folder, anew, ANEW, rounds)
        figures += through_the_command(folder, one_in_twenty(anew, same), "one in twenty asked anew", rounds)
        figures += through_the_command(folder, same, "nothing touched", rounds)
        figures += [memory(folder, same, full=full), on_a_cluster(folder, anew)]
    return figures, shares(anew, same)
