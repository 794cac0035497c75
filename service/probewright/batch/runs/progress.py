"""How far a run is, on standard error when that is a terminal, and nowhere else."""

from __future__ import annotations

import sys
import time
from collections import deque
from collections.abc import Iterable, Iterator
from types import TracebackType
from typing import Self, TextIO

from rich.console import Console
from rich.progress import BarColumn, TaskProgressColumn, TextColumn, TimeElapsedColumn, TimeRemainingColumn
from rich.progress import Progress as Bar

from probewright.batch.runs.blocks import Block

#: Seconds between two pictures.
_PICTURE = 0.2
#: Seconds over which the rate is taken.
_RECENT = 30.0


class Progress:
    """Tells rate and time left.

    Parameters
    ----------
    total : int, optional
        Bytes of the input; without it only the rate is told.
    quiet : bool
        Tell nothing.
    to : text stream, optional
        In place of standard error.
    """

    def __init__(self, total: int | None = None, *, quiet: bool = False, to: TextIO | None = None) -> None:
        to = sys.stderr if to is None else to
        self._on = not quiet and to.isatty()
        self._read, self._lines = 0, 0
        self._ends: deque[int] = deque()
        self._pictures = deque([(time.monotonic(), 0)])
        if self._on:
            self._bar = _bar(to, total)
            self._task = self._bar.add_task("", total=total, lines=0, rate="")

    def __enter__(self) -> Self:
        if self._on:
            self._bar.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, traceback: TracebackType | None
    ) -> None:
        if self._on:
            self._bar.stop()

    def on_read(self, count: int) -> None:
        """Take note of bytes that were read."""
        self._read += count

    def following(self, blocks: Iterable[Block]) -> Iterator[Block]:
        """The same blocks; notes how much had been read when each was made."""
        for block in blocks:
            self._ends.append(self._read)
            yield block

    def done(self, block: Block) -> None:
        """Show that a block is done; they are done in the order in which they came."""
        read = self._ends.popleft() if self._ends else 0
        if not self._on:
            return
        self._lines += len(block)
        now = time.monotonic()
        if now - self._pictures[-1][0] >= _PICTURE:
            self._picture(now, read)

    def _picture(self, now: float, read: int) -> None:
        # What an earlier run had done passes by in no time, and must soon be forgotten.
        while len(self._pictures) > 1 and now - self._pictures[0][0] > _RECENT:
            self._pictures.popleft()
        then, lines = self._pictures[0]
        self._pictures.append((now, self._lines))
        rate = (self._lines - lines) / (now - then)
        self._bar.update(self._task, completed=read, lines=self._lines, rate=f"{rate:,.0f}/s")
        self._bar.refresh()


def _bar(to: TextIO, total: int | None) -> Bar:
    told = TextColumn("{task.fields[lines]:,} cases {task.fields[rate]}")
    ahead = (BarColumn(), TaskProgressColumn(), told, TextColumn("left"), TimeRemainingColumn())
    columns = (told, TimeElapsedColumn()) if total is None else ahead
    # No thread of its own, for processes are forked; and standard output is the results'.
    return Bar(
        *columns, console=Console(file=to), auto_refresh=False, transient=True, redirect_stdout=False,
        redirect_stderr=False,
    )  # fmt: skip
