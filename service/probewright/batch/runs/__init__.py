"""Runs over files: blocks of lines, who works on them, and how a run goes on after it was killed.

May import: ``batch.files``, ``errors``.
"""

from probewright.batch.runs.blocks import Block, BlockResult, Ready, SetUp, Work, in_blocks
from probewright.batch.runs.cluster import DaskExecutor
from probewright.batch.runs.errors import BlockFailedError, RunError
from probewright.batch.runs.executors import Executor, SerialExecutor
from probewright.batch.runs.processes import ProcessExecutor
from probewright.batch.runs.resumable import Finisher, ResumableRun, Seen, begun, stream

__all__ = [
    "Block",
    "BlockFailedError",
    "BlockResult",
    "DaskExecutor",
    "Executor",
    "Finisher",
    "ProcessExecutor",
    "Ready",
    "ResumableRun",
    "RunError",
    "Seen",
    "SerialExecutor",
    "SetUp",
    "Work",
    "begun",
    "in_blocks",
    "stream",
]
