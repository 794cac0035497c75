"""Works on blocks in a Dask cluster: any number of machines with the same packs."""

from __future__ import annotations

import logging
import math
import pickle
import time
import uuid
from collections import deque
from collections.abc import Generator, Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from typing import Any

from probewright.batch.runs.blocks import Block, BlockResult, SetUp
from probewright.batch.runs.errors import BlockFailedError, RunError
from probewright.errors import said

_Client = Any
"""A ``distributed.Client``; most of its methods are not typed."""
#: Blocks under way for each thread of the cluster: one that is worked on, and one that waits for it.
_WINDOW = 2
#: Seconds between looks at the cluster while a result is awaited.
_LOOK = 1.0
_GO_ON = "the same command goes on from what is done"


class DaskExecutor:
    """Works in the workers of a Dask scheduler.

    A worker that dies is done without: its blocks go to the others, as often as the scheduler's
    ``distributed.scheduler.allowed-failures`` says.  Whoever can reach a scheduler can run anything on its workers, so
    clusters belong into networks of their own.

    Parameters
    ----------
    address : str
        The scheduler's, such as ``tcp://10.0.0.5:8786``.
    set_up : SetUp
        Run once on each worker, so it must be importable there: a function, or a `functools.partial` of one with plain
        arguments.
    identity : mapping
        What each worker's must be (see `Ready`): that of a worker that is set up here.
    patience : float
        Seconds that the scheduler may take to answer, and that there may be no worker at all.

    Raises
    ------
    RunError
        When ``distributed`` is not installed.
    """

    def __init__(self, address: str, set_up: SetUp, identity: Mapping[str, str], patience: float = 60.0) -> None:
        try:
            import distributed  # noqa: F401, PLC0415  optional
        except ImportError:
            told = "a cluster needs Dask's distributed, which is not installed: pip install 'probewright[dask]'"
            raise RunError(told) from None
        self._address, self._patience = address, patience
        self._set_up, self._identity = pickle.dumps(set_up), dict(identity)

    def run(self, blocks: Iterable[Block]) -> Generator[BlockResult]:
        from probewright.batch.runs.worker import Announcement, Terms  # noqa: PLC0415  needs distributed

        terms, run = Terms(self._set_up, self._identity), uuid.uuid4().hex
        with _connected(self._address, self._patience) as client:
            cluster = _Cluster(client, run, self._patience)
            announcement = Announcement(run, terms)
            try:
                cluster.prepare(announcement, terms)
                yield from cluster.run(iter(blocks))
            finally:
                cluster.forget(announcement.name)


class _Cluster:
    """A connected scheduler, and the blocks that it has."""

    def __init__(self, client: _Client, run: str, patience: float) -> None:
        self._client, self._run, self._patience = client, run, patience
        self._under_way: deque[tuple[Block, Any]] = deque()
        self._looked, self._seen_worker, self._window = -math.inf, time.monotonic(), 1

    def prepare(self, announcement: object, terms: object) -> None:
        """Set up all workers that are there, refuse those that would give other answers, and tell those to come."""
        from probewright.batch.runs.worker import prepare  # noqa: PLC0415  needs distributed

        try:
            found = self._client.run(prepare, self._run, terms, on_error="return")
            self._client.register_plugin(announcement)
        except Exception as error:  # a worker or the scheduler went meanwhile: nothing of ours raises here
            raise RunError(f"the cluster cannot be set up: {said(error)}; {_GO_ON}") from error
        wrong = {address: f"fails: {said(e)}" if isinstance(e, Exception) else e for address, e in found.items() if e}
        if wrong:
            raise _unfit(wrong)

    def run(self, blocks: Iterator[Block]) -> Generator[BlockResult]:
        for block in blocks:
            self._look()
            while len(self._under_way) >= self._window:
                yield self._first()
            self._send(block)
        while self._under_way:
            yield self._first()

    def forget(self, plugin: str) -> None:
        """Call off what is under way, and have the workers forget the run."""
        with suppress(Exception):  # where the scheduler is gone there is nothing to call off
            self._client.cancel([future for _, future in self._under_way], force=True)
            self._client.unregister_worker_plugin(plugin)

    def _send(self, block: Block) -> None:
        from probewright.batch.runs.worker import answer  # noqa: PLC0415  needs distributed

        key = f"probewright-{self._run}-{block.index}"
        self._under_way.append((block, self._client.submit(answer, self._run, block, key=key)))

    def _first(self) -> BlockResult:
        from probewright.batch.runs.worker import Failed, Unfit  # noqa: PLC0415  needs distributed

        block, future = self._under_way[0]
        found = self._awaited(block, future)
        if isinstance(found, Failed):
            raise BlockFailedError(block, found.reason, found.traceback)
        if isinstance(found, Unfit):
            raise _unfit({found.worker: found.reason})
        if not isinstance(found, BlockResult):
            raise BlockFailedError(block, f"a worker gave {type(found).__name__} and no result")
        self._under_way.popleft()
        return found

    def _awaited(self, block: Block, future: Any) -> object:
        from distributed import KilledWorker  # noqa: PLC0415  optional

        while True:
            try:
                return future.result(timeout=_LOOK)
            except TimeoutError:
                self._look()
            except KilledWorker:
                raise BlockFailedError(block, f"every worker that had it died; {_GO_ON}") from None
            except Exception as error:  # the scheduler went, or something cannot be sent: ours does not raise
                if self._client.status != "running":
                    raise RunError(f"lost the scheduler; {_GO_ON}") from error
                raise BlockFailedError(block, f"cannot be worked on by the cluster: {said(error)}") from error

    def _look(self) -> None:
        """See who is there, now and then."""
        now = time.monotonic()
        if now - self._looked < _LOOK:
            return
        threads = sum(self._client.nthreads().values())
        self._looked, self._window = now, max(1, threads * _WINDOW)
        if threads:
            self._seen_worker = now
        elif now - self._seen_worker > self._patience:
            raise RunError(f"the cluster had no worker for {self._patience:g} s; {_GO_ON}")


@contextmanager
def _connected(address: str, patience: float) -> Iterator[_Client]:
    from distributed import Client  # noqa: PLC0415  optional

    with _quiet():
        try:
            client = Client(address, timeout=patience, set_as_default=False)  # type: ignore[no-untyped-call]
        except (OSError, ValueError) as error:
            raise RunError(f"cannot reach a scheduler at {address}: {said(error)}") from None
        with client:
            yield client


@contextmanager
def _quiet() -> Iterator[None]:
    """What befalls workers is told by the cluster's own logs, and what matters here by our errors."""
    loggers = [logging.getLogger(name) for name in ("distributed", "distributed.client")]
    levels = [logger.level for logger in loggers]
    for logger in loggers:
        logger.setLevel(logging.CRITICAL)
    try:
        yield
    finally:
        for logger, level in zip(loggers, levels, strict=True):
            logger.setLevel(level)


def _unfit(wrong: Mapping[str, object]) -> RunError:
    told = "; ".join(f"worker {address} {reason}" for address, reason in sorted(wrong.items()))
    return RunError(f"{told}. Take it out or make it the same; {_GO_ON}")
