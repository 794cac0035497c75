"""What a worker of a Dask cluster does: it sets itself up once a run, and works on one block at a time.

Imported where ``distributed`` is: in the cluster's workers, and in :mod:`probewright.batch.runs.cluster` when it runs.
"""

from __future__ import annotations

import asyncio
import pickle
import threading
import traceback
from collections.abc import Mapping
from dataclasses import dataclass

from distributed import get_worker
from distributed.diagnostics.plugin import WorkerPlugin

from probewright.batch.runs.blocks import Block, BlockResult, Ready
from probewright.errors import said

# By run, of this process.  The threads of a worker share the engine, and take turns: Python's lock lets no two of them
# work at once anyway.
_GIVEN: dict[str, Terms] = {}
_READY: dict[str, Ready] = {}
_TURN = threading.Lock()


@dataclass(frozen=True, slots=True)
class Terms:
    """How a worker is set up for a run (a pickled ``SetUp``), and what it must then be."""

    set_up: bytes
    identity: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Failed:
    """The work on a block raised."""

    reason: str
    traceback: str


@dataclass(frozen=True, slots=True)
class Unfit:
    """A worker that must not work: its address and why."""

    worker: str
    reason: str


class Announcement(WorkerPlugin):
    """Tells every worker of a run, also those that join later; each is set up when its first block comes."""

    def __init__(self, run: str, terms: Terms) -> None:
        self.name = f"probewright-{run}"
        self._run, self._terms = run, terms

    def setup(self, worker: object) -> None:  # noqa: ARG002  the plugin's interface
        _GIVEN[self._run] = self._terms

    def teardown(self, worker: object) -> None:  # noqa: ARG002  likewise
        _GIVEN.pop(self._run, None)
        _READY.pop(self._run, None)


async def prepare(run: str, terms: Terms) -> str | None:
    """Set this worker up; what is wrong with it, or None.  In a thread: the worker must stay in touch meanwhile."""
    _GIVEN[run] = terms
    return await asyncio.get_running_loop().run_in_executor(None, _wrong_with, run)


def answer(run: str, block: Block) -> BlockResult | Failed | Unfit:
    """Work on a block."""
    wrong = _wrong_with(run)
    if wrong is not None:
        return Unfit(get_worker().address, wrong)
    with _TURN:
        try:
            return _READY[run].work(block)
        except Exception as error:  # noqa: BLE001  whatever it is, it is told with its lines; it may not be picklable
            return Failed(said(error), traceback.format_exc())


def _wrong_with(run: str) -> str | None:
    with _TURN:
        if run in _READY:
            return None
        if run not in _GIVEN:
            return "was not told what to do"
        terms = _GIVEN[run]
        try:
            ready = pickle.loads(terms.set_up)()  # noqa: S301  from the cluster's client, who may run anything here
        except Exception as error:  # noqa: BLE001  it runs foreign code, and what is wrong is told with the worker's name
            return f"cannot be set up: {said(error)}"
        differences = differing(ready.identity, terms.identity)
        if not differences:
            _READY[run] = ready
            return None
        return f"would give other answers: {differences}"


def differing(there: Mapping[str, str], here: Mapping[str, str]) -> str:
    """What differs between two identities, in words; empty when nothing does."""
    names = sorted(name for name in there.keys() | here if there.get(name) != here.get(name))
    return ", ".join(f"{name} is {_short(there.get(name))} there and {_short(here.get(name))} here" for name in names)


def _short(value: str | None) -> str:
    return "missing" if value is None else value[:24]
