"""Runs that can be killed at any instant, and go on by the same command."""

from __future__ import annotations

import os
import time
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping
from contextlib import closing, suppress
from functools import partial
from io import FileIO
from pathlib import Path
from types import TracebackType
from typing import BinaryIO, Self

from probewright.batch.runs.blocks import Block, BlockResult
from probewright.batch.runs.errors import RunError
from probewright.batch.runs.executors import Executor
from probewright.batch.runs.journal import Entry, Journal, Kept

Seen = Callable[[Block, bytes], None]
"""Told of every block in order, with its tally, whether it was done now or earlier."""
Finisher = Callable[[Path, Path], None]
"""Makes the outputs, whole or not at all, of all output lines and all rejected ones (paths of NDJSON)."""
#: The longest that finished work waits to be on disk, in seconds, and the share of time that this may take; invented.
_LONGEST_WAIT = 1.0
_SHARE = 0.05


class ResumableRun:
    """One output in the making, beside its part files and its journal.

    Parameters
    ----------
    output : path
        Where the output will be; ``.part``, ``.part-rejected`` and ``.journal`` are added to its name meanwhile.
    key : mapping
        What the results depend on beside the input: changes, settings, pack digests and so on, each a name and a text
        that is short and differs when it differs.
    restart : bool
        Begin anew, whatever was done before.

    Raises
    ------
    RunError
        On entering: when another process works on it, something in ``key`` differs from when it was begun, or files
        cannot be written.
    """

    def __init__(self, output: Path, key: Mapping[str, str], *, restart: bool = False) -> None:
        self.part = output.with_name(f"{output.name}.part")
        self.part_rejected = output.with_name(f"{output.name}.part-rejected")
        self._journal_path = output.with_name(f"{output.name}.journal")
        self._key, self._restart = dict(key), restart
        self._pending: list[Entry] = []
        self._synced = self._sync_took = 0.0

    def __enter__(self) -> Self:
        self._journal = Journal(self._journal_path)
        try:
            kept = self._kept()
            self._files = tuple(
                _cut(path, length)
                for path, length in ((self.part, kept.output), (self.part_rejected, kept.rejected))
            )
            self._lengths = [kept.output, kept.rejected]  # as long as what is done
            if not kept.blocks:
                self._journal.begin(self._key)
            _sync_folder(self.part.parent)
        except BaseException:
            self._journal.close()
            raise
        self.done = kept.blocks
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, traceback: TracebackType | None
    ) -> None:
        try:
            self._sync()
        finally:
            for file in self._files:
                file.close()
            self._journal.close()

    def work(self, blocks: Iterable[Block], executor: Executor, seen: Seen = lambda _, __: None) -> None:
        """Work on all blocks that are not done yet.

        Raises
        ------
        RunError
            When the input is not what it was, or what is done cannot be written.
        BlockFailedError
            As the executor's `run`.
        """
        coming = iter(blocks)
        self._skip(coming, seen)
        with closing(_results(coming, executor)) as results:
            for block, result in results:
                self._keep(block, result)
                seen(block, result.tally)
        self._sync()

    def finish(self, finisher: Finisher) -> None:
        """Make the outputs, then remove the part files and the journal."""
        self._sync()
        finisher(self.part, self.part_rejected)
        self._journal.finish()
        for path in (self.part, self.part_rejected):
            path.unlink(missing_ok=True)  # the finisher may have moved it
        self._journal.remove()

    def _kept(self) -> Kept:
        if self._journal.head() is None or self._restart:
            return Kept(self._key)
        kept = self._journal.read(_length(self.part), _length(self.part_rejected))
        if kept is None or not kept.blocks or (kept.finished and kept.key != self._key):
            return Kept(self._key)
        if kept.key != self._key:
            names = sorted(name for name in kept.key.keys() | self._key if kept.key.get(name) != self._key.get(name))
            told = f"{', '.join(names)} {'differs' if len(names) == 1 else 'differ'} from when {self._journal_path}"
            raise RunError(f"{told} was begun: go on as it was, or begin anew with --restart")
        return kept

    def _skip(self, blocks: Iterator[Block], seen: Seen) -> None:
        for entry in self._journal.entries():
            block = next(blocks, None)
            if block is None or block.digest != entry.digest:
                where = "ends earlier than" if block is None else f"differs, at {block.told}, from"
                told = f"the input {where} when {self._journal_path} was begun"
                raise RunError(f"{told}: give the same input, or begin anew with --restart")
            seen(block, entry.tally.encode())

    def _keep(self, block: Block, result: BlockResult) -> None:
        self._writing(partial(self._write, result))
        output, rejected = self._lengths
        self._pending.append(Entry(block.index, block.digest, output, rejected, result.tally.decode()))
        waited = time.monotonic() - self._synced
        if waited >= min(_LONGEST_WAIT, self._sync_took / _SHARE):
            self._sync()

    def _write(self, result: BlockResult) -> None:
        for place, lines in enumerate((result.output, result.rejected)):
            rest = memoryview(lines)
            while rest:
                rest = rest[self._files[place].write(rest) :]
            self._lengths[place] += len(lines)

    def _sync(self) -> None:
        """Bring what is done to disk, and only then say so in the journal."""
        if not self._pending:
            return
        begun = time.monotonic()
        self._writing(self._write_through)
        self._pending.clear()
        self._synced = time.monotonic()
        self._sync_took = self._synced - begun

    def _write_through(self) -> None:
        for file in self._files:
            os.fsync(file.fileno())
        self._journal.append(self._pending)

    def _writing(self, write: Callable[[], object]) -> None:
        try:
            write()
        except OSError as error:
            self._pending.clear()
            told = f"cannot write {self.part}: {error.strerror}"
            raise RunError(f"{told}; the same command goes on from what is done") from None


def stream(
    blocks: Iterable[Block], executor: Executor, output: BinaryIO, rejected: BinaryIO | None = None,
    seen: Seen = lambda _, __: None,
) -> None:  # fmt: skip
    """Work on all blocks, and write the results as they come: nothing is kept to go on from."""
    with closing(_results(blocks, executor)) as results:
        for block, result in results:
            output.write(result.output)
            output.flush()
            if rejected is not None:
                rejected.write(result.rejected)
            seen(block, result.tally)


def begun(output: Path) -> bool:
    """Whether a run for this output was begun and not finished."""
    return output.with_name(f"{output.name}.journal").exists()


def _results(blocks: Iterable[Block], executor: Executor) -> Generator[tuple[Block, BlockResult]]:
    """Each result with its block."""
    under_way: deque[Block] = deque()

    def noted() -> Iterator[Block]:
        for block in blocks:
            under_way.append(block)
            yield block

    with closing(executor.run(noted())) as results:
        for result in results:
            yield under_way.popleft(), result


def _length(path: Path) -> int:
    try:
        return path.stat().st_size
    except FileNotFoundError:
        return 0


def _cut(path: Path, length: int) -> FileIO:
    """Open a file to be written on after its first bytes; unbuffered, so that no forked child has lines to write."""
    try:
        file = path.open("ab", buffering=0)
        file.truncate(length)
    except OSError as error:
        raise RunError(f"cannot write {path}: {error.strerror}") from None
    return file


def _sync_folder(folder: Path) -> None:
    """Make the files themselves last, not only what is in them."""
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        with suppress(OSError):  # some file systems know no such thing
            os.fsync(descriptor)
    finally:
        os.close(descriptor)
