"""What can go wrong with a run, by who can mend it."""

from __future__ import annotations

from probewright.batch.runs.blocks import Block
from probewright.errors import EngineError, ProbewrightError


class RunError(ProbewrightError):
    """A run cannot go on as it was asked for; the message says what to do."""

    code = "run_refused"


class BlockFailedError(EngineError):
    """The work on a block failed, or ended whoever worked on it, every time."""

    code = "block_failed"

    def __init__(self, block: Block, reason: str, traceback: str = "") -> None:
        self.block = block
        super().__init__(f"{block.told}: {reason}")
        if traceback:
            self.add_note(traceback)
