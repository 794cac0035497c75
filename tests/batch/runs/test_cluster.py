"""A real scheduler and real workers, each a process of its own on the loopback interface."""

from __future__ import annotations

import importlib.util
import json
import os
import sys
import time
from functools import partial

import pytest

from probewright.batch.files import JobLine, Origin
from probewright.batch.runs import BlockFailedError, DaskExecutor, ResumableRun, RunError, in_blocks
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.simulation.sample import Sample, lines
from support import block_work

THERE = importlib.util.find_spec("distributed") is not None
needs_dask = pytest.mark.skipif(
    not THERE and not os.environ.get("PROBEWRIGHT_REQUIRE_DASK") and not os.environ.get("CI"),
    reason="distributed is not installed",
)
COUNT = 400
#: Neither a page to look at nor a port that is known beforehand.
APART = ("--host", "127.0.0.1", "--no-dashboard")
#: Seconds in which a process must have started, or a message must have come; far more than it takes.
LONG = 60


class Cluster:
    """A scheduler, and as many workers as are asked for."""

    def __init__(self, started, folder, **environment):
        from distributed import Client  # noqa: PLC0415  optional

        self._started, self.folder = started, folder
        told = folder / "scheduler.json"
        scheduler = ("distributed.cli.dask_scheduler", *APART, "--port", "0", "--scheduler-file", told)
        self.scheduler = self._start(*scheduler, **environment)
        self.address = awaited(lambda: told.exists() and json.loads(told.read_text() or "{}").get("address"))
        self.client = Client(self.address, set_as_default=False, timeout=LONG)
        self._workers = []

    def _start(self, module, *arguments, **environment):
        with (self.folder / "log").open("ab") as log:
            return self._started(
                "-m", module, *map(str, arguments), cwd=self.folder, stdout=log, stderr=log, environment=environment
            )

    def worker(self, **environment):
        """A worker that has joined; it is not started again when it dies."""
        before = len(self.workers())
        process = self._start(
            "distributed.cli.dask_worker", self.address, *APART, "--no-nanny", "--nthreads", "1", **environment
        )
        self._workers.append(process)
        awaited(lambda: len(self.workers()) > before)
        return process

    def workers(self):
        return self.client.nthreads()

    def executor(self, pause=0.0):
        return DaskExecutor(self.address, partial(block_work.set_up, pause), block_work.set_up().identity)

    def empty(self):
        """End all workers."""
        for process in self._workers:
            process.kill()
            process.wait()
        self._workers.clear()
        awaited(lambda: not self.workers())


def awaited(condition):
    end = time.monotonic() + LONG
    while time.monotonic() < end:
        if found := condition():
            return found
        time.sleep(0.02)
    raise AssertionError("it did not come about")


@pytest.fixture(scope="module")
def scheduled(started_once, tmp_path_factory):
    cluster = Cluster(started_once, tmp_path_factory.mktemp("cluster"))
    yield cluster
    cluster.client.close()


@pytest.fixture
def cluster(scheduled):
    """A cluster without workers as yet."""
    yield scheduled
    scheduled.empty()


def joined(results):
    results = list(results)
    return b"".join(result.output for result in results), b"".join(result.rejected for result in results)


@needs_dask
def test_a_cluster_gives_the_same_bytes_though_a_worker_is_killed_half_way(cluster):
    first = cluster.worker()
    cluster.worker()
    results = cluster.executor(pause=0.02).run(block_work.blocks(COUNT))
    taken = [next(results) for _ in range(10)]
    first.kill()
    first.wait()
    assert joined([*taken, *results]) == block_work.expected(COUNT)
    assert len(cluster.workers()) == 1


@needs_dask
def test_a_worker_that_would_answer_otherwise_is_refused_by_name(cluster):
    cluster.worker()
    good = set(cluster.workers())
    cluster.worker(BLOCK_WORK_DIGEST="sha256:other")
    (other,) = set(cluster.workers()) - good
    told = f"^worker {other} would give other answers: pack gas_range is sha256:other there and sha256:0 here"
    with pytest.raises(RunError, match=told):
        next(cluster.executor().run(block_work.blocks(COUNT)))


@needs_dask
def test_one_that_joins_later_is_looked_at_too(cluster, tmp_path):
    cluster.worker()
    good = set(cluster.workers())
    output, count = tmp_path / "out.ndjson", 5 * COUNT
    joining = []

    def seen(block, _):
        if block.index == 2 and not joining:
            cluster.worker(BLOCK_WORK_DIGEST="sha256:late")
            joining.extend(set(cluster.workers()) - good)

    # Enough of them that some must come to whoever joined.
    with ResumableRun(output, block_work.KEY) as run, pytest.raises(RunError) as told:
        run.work(block_work.blocks(count), cluster.executor(pause=0.05), seen)
    assert str(told.value).startswith(f"worker {joining[0]} would give other answers: pack gas_range is sha256:late")
    # What was done goes on elsewhere, and comes to the same.
    with ResumableRun(output, block_work.KEY) as run:
        assert run.done >= 3
        run.work(block_work.blocks(count), block_work.SerialExecutor(block_work.set_up))
        run.finish(partial(block_work.placed, output))
    assert output.read_bytes() == block_work.expected(count)[0]


@needs_dask
def test_a_good_one_that_joins_later_works_too(cluster):
    # Both have to take part, for one alone is taken away.
    first = cluster.worker()
    results = cluster.executor(pause=0.02).run(block_work.blocks(COUNT))
    taken = [next(results) for _ in range(3)]
    cluster.worker()
    taken += [next(results) for _ in range(3)]
    first.kill()
    first.wait()
    assert joined([*taken, *results]) == block_work.expected(COUNT)


@needs_dask
def test_a_worker_that_cannot_be_set_up_is_named(cluster):
    cluster.worker(PYTHONPATH="")
    (there,) = cluster.workers()
    with pytest.raises(RunError, match=f"^worker {there} cannot be set up: ModuleNotFoundError: No module named"):
        next(cluster.executor().run(block_work.blocks(COUNT)))


@needs_dask
def test_work_that_raises_is_told_with_its_lines(cluster):
    cluster.worker()
    texts = [b"raise" if number == 9 else b"{}" for number in range(1, 20)]
    lines = [JobLine(number, Origin("a", number, number), text) for number, text in enumerate(texts, start=1)]
    results = cluster.executor().run(in_blocks(lines, most_lines=4))
    assert [next(results).tally for _ in range(2)] == [b'{"answered": 4, "refused": 0}'] * 2
    with pytest.raises(BlockFailedError) as told:
        next(results)
    assert str(told.value) == "lines 9 to 12: ValueError: a line that raises"
    assert "in _work" in told.value.__notes__[0]


@needs_dask
def test_no_more_than_a_window_of_blocks_is_on_the_cluster(cluster):
    cluster.worker()
    taken = []

    def blocks():
        for block in block_work.blocks(COUNT):
            taken.append(block.index)
            yield block

    ahead = [len(taken) - place for place, _ in enumerate(cluster.executor().run(blocks()))]
    assert len(taken) > 40
    assert max(ahead) <= 3  # two for a worker of one thread, and the one whose place has just become free


@needs_dask
def test_a_cluster_without_workers_is_told_after_a_while(cluster):
    executor = DaskExecutor(cluster.address, block_work.set_up, block_work.set_up().identity, patience=4)
    with pytest.raises(RunError, match=r"^the cluster had no worker for 4 s; the same command goes on"):
        next(executor.run(block_work.blocks(COUNT)))


@needs_dask
def test_a_scheduler_that_goes_away_is_told(started, tmp_path):
    cluster = Cluster(started, tmp_path)
    cluster.worker()
    cluster.client.close()
    executor = DaskExecutor(cluster.address, partial(block_work.set_up, 0.05), block_work.set_up().identity, patience=5)
    results = executor.run(block_work.blocks(COUNT))
    next(results)
    cluster.scheduler.kill()
    cluster.scheduler.wait()
    with pytest.raises(RunError, match=r"^lost the scheduler; the same command goes on"):
        list(results)


@needs_dask
def test_a_block_that_ends_its_workers_is_told_by_its_lines(started, tmp_path):
    cluster = Cluster(started, tmp_path, DASK_DISTRIBUTED__SCHEDULER__ALLOWED_FAILURES="1")
    for _ in range(3):
        cluster.worker()
    deadly = tmp_path / "deadly"
    deadly.mkdir()
    block = next(block for block in block_work.blocks(COUNT) if block.index == 4)
    for line in list(block.lines())[:2]:
        (deadly / str(line.line)).touch()
    set_up = partial(block_work.set_up, deaths=deadly)
    results = DaskExecutor(cluster.address, set_up, block_work.set_up().identity).run(block_work.blocks(COUNT))
    with pytest.raises(BlockFailedError, match=f"^{block.told}: every worker that had it died; the same command"):
        list(results)
    cluster.client.close()


@needs_dask
def test_a_run_on_a_cluster_that_is_killed_goes_on(cluster, started, tmp_path):
    cluster.worker()
    output = tmp_path / "out.ndjson"
    process = started("-m", "support.block_work", str(output), str(COUNT), "0.02", "dask", cluster.address)
    journal = tmp_path / "out.ndjson.journal"
    awaited(lambda: journal.exists() and journal.read_bytes().count(b"\n") > 8)
    process.kill()
    process.wait()
    done = journal.read_bytes().count(b"\n") - 1
    with ResumableRun(output, block_work.KEY) as run:
        assert run.done == done
        run.work(block_work.blocks(COUNT), cluster.executor())
        run.finish(partial(block_work.placed, output))
    assert output.read_bytes() == block_work.expected(COUNT)[0]


@needs_dask
@pytest.mark.parametrize("address", ["tcp://127.0.0.1:1", "nonsense:::", "127.0.0.1"])
def test_a_scheduler_that_is_not_there_is_told(address):
    executor = DaskExecutor(address, block_work.set_up, {}, patience=0.5)
    with pytest.raises(RunError, match=f"^cannot reach a scheduler at {address}: "):
        next(executor.run(block_work.blocks(COUNT)))


@needs_dask
def test_what_befalls_the_cluster_is_told_by_our_error_alone(cluster, started, tmp_path):
    cluster.worker(BLOCK_WORK_DIGEST="sha256:other")
    command = ("-m", "support.block_work", str(tmp_path / "out"), "40", "0", "dask", cluster.address)
    process = started(*command, stdout=-1, stderr=-1)
    _, said = process.communicate(timeout=LONG)
    assert said.startswith(b"Traceback")  # this script's own, which our command line leaves out
    assert b"would give other answers" in said.splitlines()[-1]
    assert said.count(b"Traceback") == 1
    assert b"distributed" not in said


def test_without_dask_one_line_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(RunError, match=r"^a cluster needs Dask's distributed.*pip install 'probewright\[dask\]'$"):
        DaskExecutor("tcp://127.0.0.1:1", block_work.set_up, {})


@needs_dask
def test_the_command_itself_gives_the_bytes_of_one_process_with_real_packs(cluster, started, tmp_path):
    jobs, told = tmp_path / "jobs.ndjson", []
    pack = load_packs().packs["gas_range"]
    jobs.write_bytes(b"".join(line + b"\n" for line in lines(pack, Settings(), Sample(40, seed=5, answers="brief"))))
    cluster.worker()
    cluster.worker()
    for name, options in (("here", ("--workers", "1")), ("there", ("--dask", cluster.address))):
        output = tmp_path / f"{name}.ndjson"
        command = ("-m", "probewright.cli", "re-evaluate", str(jobs), "--recompute", "--quiet", "--output", str(output))
        assert started(*command, *options).wait(LONG) == 0
        told.append(output.read_bytes())
    assert told[0].count(b'"status":"unchanged"') == 40
    assert told[1] == told[0]
