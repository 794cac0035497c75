"""Who works on blocks: one interface for this process, its children, and a cluster."""

from __future__ import annotations

import traceback
from collections.abc import Generator, Iterable
from typing import Protocol

from probewright.batch.runs.blocks import Block, BlockResult, SetUp
from probewright.batch.runs.errors import BlockFailedError
from probewright.errors import said


class Executor(Protocol):
    """Works on blocks."""

    def run(self, blocks: Iterable[Block]) -> Generator[BlockResult]:
        """Give the results in the order of the blocks.

        Blocks are taken as they are needed, a bounded number ahead of the results.  Closing the iterator ends all
        work.

        Raises
        ------
        BlockFailedError
            When the work on a block fails; all results before it have been given.
        RunError
            When there is nobody to work, or somebody who would give other results.
        """
        ...


class SerialExecutor:
    """Works in this process, a block after the other."""

    def __init__(self, set_up: SetUp) -> None:
        self._set_up = set_up

    def run(self, blocks: Iterable[Block]) -> Generator[BlockResult]:
        work = self._set_up().work
        for block in blocks:
            try:
                result = work(block)
            except Exception as error:  # whatever it is, it is told with its lines
                raise BlockFailedError(block, said(error), traceback.format_exc()) from error
            yield result
