"""Works on blocks in child processes.

They are forked, for a pack's hooks cannot be sent to a process, and what was set up before is shared.  A child that
dies is replaced, and gets one block after the other as the others do; its block is tried again.
"""

from __future__ import annotations

import gc
import multiprocessing
import os
import queue
import signal
import threading
import traceback
from collections import Counter, deque
from collections.abc import Generator, Iterable, Iterator
from contextlib import suppress
from multiprocessing.connection import Connection, wait
from multiprocessing.process import BaseProcess

from probewright.batch.runs.blocks import Block, BlockResult, SetUp, Work
from probewright.batch.runs.errors import BlockFailedError
from probewright.batch.runs.executors import SerialExecutor
from probewright.errors import said

#: Processes that a block may end before the run gives up.
MOST_DEATHS = 3
#: Blocks that a worker holds, so that one waits while the parent is busy; and blocks under way for each worker, those
#: included whose results wait for an earlier one.
_HELD = 2
_WINDOW = 4
#: A second thread in the linear algebra of a worker would only get in the others' way.
_ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
#: Seconds until a worker that was told to end is killed.
_PATIENCE = 5.0


class ProcessExecutor:
    """Works in child processes, set up once in this one; in this one alone where the operating system cannot fork."""

    def __init__(self, workers: int, set_up: SetUp) -> None:
        # Read when numpy is imported, which as a rule is while setting up.
        for name in _ONE_THREAD:
            os.environ.setdefault(name, "1")
        self._workers, self._set_up = workers, set_up

    def run(self, blocks: Iterable[Block]) -> Generator[BlockResult]:
        if "fork" not in multiprocessing.get_all_start_methods():
            yield from SerialExecutor(self._set_up).run(blocks)
            return
        pool = _Pool(self._workers, self._set_up().work)
        try:
            yield from pool.run(iter(blocks))
        finally:
            pool.end()


class _Worker:
    """A child, and the blocks that it holds; it works on the first."""

    def __init__(self, work: Work, others: Iterable[Connection]) -> None:
        context = multiprocessing.get_context("fork")
        self.pipe, theirs = context.Pipe()
        ours = (self.pipe, *others)
        self.held: deque[Block] = deque()
        self.process: BaseProcess = context.Process(target=_child, args=(work, theirs, ours), daemon=True)
        # A terminal interrupts all of us: the child must not be hit before it has said that it ignores that.
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        try:
            self.process.start()
        finally:
            signal.pthread_sigmask(signal.SIG_UNBLOCK, {signal.SIGINT})
        theirs.close()

    def give(self, block: Block) -> None:
        """Send a block; whether it arrives is seen when the worker is next heard."""
        self.held.append(block)
        with suppress(BrokenPipeError, ConnectionResetError):
            self.pipe.send(block)

    def end(self) -> None:
        """End the child, whatever it does."""
        self.pipe.close()
        self.process.terminate()
        self.process.join(_PATIENCE)
        if self.process.is_alive():
            self.process.kill()
            self.process.join()
        self.process.close()


class _Pool:
    """Deals blocks out, and puts the results in order."""

    def __init__(self, workers: int, work: Work) -> None:
        self._most, self._work = workers, work
        self._workers: list[_Worker] = []
        self._again: deque[Block] = deque()
        self._results: dict[int, BlockResult | BlockFailedError] = {}
        self._deaths: Counter[int] = Counter()

    def run(self, blocks: Iterator[Block]) -> Generator[BlockResult]:
        order: deque[int] = deque()
        self._deal(blocks, order)
        while order:
            self._hear()
            self._deal(blocks, order)
            while order and order[0] in self._results:
                result = self._results.pop(order.popleft())
                if isinstance(result, BlockFailedError):
                    raise result
                yield result
                self._deal(blocks, order)

    def end(self) -> None:
        """End all children."""
        for worker in self._workers:
            worker.end()
        self._workers.clear()

    def _deal(self, blocks: Iterator[Block], order: deque[int]) -> None:
        """Give blocks to whoever has room."""
        while len(self._workers) < self._most or any(len(worker.held) < _HELD for worker in self._workers):
            block = self._again.popleft() if self._again else self._next(blocks, order)
            if block is None:
                return
            self._least_busy().give(block)

    def _next(self, blocks: Iterator[Block], order: deque[int]) -> Block | None:
        if len(order) >= self._most * _WINDOW:
            return None
        block = next(blocks, None)
        if block is not None:
            order.append(block.index)
        return block

    def _least_busy(self) -> _Worker:
        """Somebody with nothing to do, or else a fresh child, or else whoever holds least."""
        least = min(self._workers, key=lambda worker: len(worker.held), default=None)
        if least is not None and (not least.held or len(self._workers) == self._most):
            return least
        fresh = _Worker(self._work, [worker.pipe for worker in self._workers])
        self._workers.append(fresh)
        return fresh

    def _hear(self) -> None:
        """Wait until a worker says something, or dies."""
        heard = wait([worker.pipe for worker in self._workers])
        for worker in [worker for worker in self._workers if worker.pipe in heard]:
            try:
                said_of_it = worker.pipe.recv()
            except (EOFError, OSError):
                self._bury(worker)
                continue
            block = worker.held.popleft()
            failed = not isinstance(said_of_it, BlockResult)
            self._results[block.index] = BlockFailedError(block, *said_of_it) if failed else said_of_it

    def _bury(self, worker: _Worker) -> None:
        """Take back what a dead worker held; the first is what it was at."""
        self._workers.remove(worker)
        worker.process.join(_PATIENCE)
        code = worker.process.exitcode
        worker.end()
        if worker.held:
            block = worker.held[0]
            self._deaths[block.index] += 1
            if self._deaths[block.index] >= MOST_DEATHS:
                worker.held.popleft()
                self._results[block.index] = BlockFailedError(block, _cause(code))
        self._again.extendleft(reversed(worker.held))


def _cause(code: int | None) -> str:
    by = f"signal {-code}" if code is not None and code < 0 else f"exit code {code}"
    why = "for want of memory, or by a hook or law of a pack"
    return f"a process that works on it was ended ({by}) {MOST_DEATHS} times: {why}; the same command goes on there"


def _child(work: Work, pipe: Connection, others: Iterable[Connection]) -> None:
    """What a child does until its pipe is closed, which it is, too, when the parent is killed."""
    for other in others:  # else the pipes of a killed parent stayed open
        other.close()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent hears of it, and ends us
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    gc.freeze()  # what was set up before stays shared: the collector does not write to it
    waiting: queue.SimpleQueue[Block] = queue.SimpleQueue()
    threading.Thread(target=_receive, args=(pipe, waiting), daemon=True).start()
    with suppress(BrokenPipeError, ConnectionResetError):
        while True:
            pipe.send(_worked(work, waiting.get()))


def _receive(pipe: Connection, waiting: queue.SimpleQueue[Block]) -> None:
    # The parent never waits for a worker that is at work, and so the two never wait for each other.
    while True:
        try:
            waiting.put(pipe.recv())
        except (EOFError, OSError):
            os._exit(0)  # nobody is there to hear of the work that goes on in the other thread


def _worked(work: Work, block: Block) -> BlockResult | tuple[str, str]:
    try:
        return work(block)
    except Exception as error:  # noqa: BLE001  whatever it is, it is told with its lines; it might not be picklable
        return said(error), traceback.format_exc()
