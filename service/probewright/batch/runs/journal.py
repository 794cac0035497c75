"""The journal of a run: which blocks are done, and how long the part files were after each.

Every line carries a check sum, so a line that was cut off or overwritten ends what is believed.  The first names what
the results depend on.  An advisory lock on the file keeps a second run of the same output away.
"""

from __future__ import annotations

import fcntl
import os
import re
import weakref
import zlib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, BinaryIO

import orjson

from probewright.batch.runs.errors import RunError

_FORMAT = 1
#: How a journal begins: a check sum of eight digits, and the first member.
_BEGINNING = re.compile(rb'[0-9a-f]{8} \{"journal"')
_LOCKED: weakref.WeakSet[Journal] = weakref.WeakSet()


@dataclass(frozen=True, slots=True)
class Entry:
    """A block that is done: its digest, the lengths of both part files after it, and its counts."""

    block: int
    digest: str
    output: int
    rejected: int
    tally: str


@dataclass(frozen=True, slots=True)
class Kept:
    """What a journal holds: its key, the blocks that are done, and how much of each file they take."""

    key: Mapping[str, str]
    blocks: int = 0
    output: int = 0
    rejected: int = 0
    finished: bool = False


class Journal:
    """A journal that this process alone may write; `close` gives it up.

    Raises
    ------
    RunError
        When another process has it, or it cannot be opened.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._file = _locked(path)
        self._end = 0
        _LOCKED.add(self)

    def read(self, output: int, rejected: int) -> Kept | None:
        """Read what is kept, given the lengths that the part files have now; None where nothing was ever begun.

        Later `append` goes on after the last line that holds together, and cuts off what follows it.

        Raises
        ------
        RunError
            When the file is something else than a journal, or another version's.
        """
        head = self.head()
        if head is None:
            return None
        if head["journal"] != _FORMAT:
            raise RunError(f"{self.path} is of another version: finish it with that, or begin anew with --restart")
        kept = Kept(head["key"])
        self._end = self._file.tell()
        for entry, end in self._after_head():
            if entry is None:
                return Kept(kept.key, kept.blocks, kept.output, kept.rejected, finished=True)
            grown = entry.block == kept.blocks and entry.output >= kept.output and entry.rejected >= kept.rejected
            if not grown or entry.output > output or entry.rejected > rejected:
                break
            kept, self._end = Kept(kept.key, entry.block + 1, entry.output, entry.rejected), end
        return kept

    def head(self) -> dict[str, Any] | None:
        """Read the first line; None where nothing was ever begun.

        Raises
        ------
        RunError
            When the file is something else than a journal.
        """
        self._file.seek(0)
        first = self._file.readline()
        head = _document(first)
        if head is not None and "journal" in head:
            return head
        # One whose first line was cut off holds nothing; whatever else it is, it is not to be written over.
        if first.endswith(b"\n") or (first.strip(b"\0") and not _BEGINNING.match(first)):
            told = "is not the journal of a run, or its beginning is damaged"
            raise RunError(f"{self.path} {told}: remove it to begin anew")
        return None

    def entries(self) -> Iterator[Entry]:
        """What `read` believed, in order."""
        self._file.seek(0)
        self._file.readline()
        for entry, end in self._after_head():
            if entry is None or end > self._end:
                return
            yield entry

    def begin(self, key: Mapping[str, str]) -> None:
        """Begin anew."""
        self._end = 0
        self._write(_line({"journal": _FORMAT, "key": dict(key)}))

    def append(self, entries: Iterable[Entry]) -> None:
        """Write what is done; whatever it vouches for must be on disk already."""
        self._write(b"".join(_line(asdict(entry)) for entry in entries))

    def finish(self) -> None:
        """Say that the outputs are there, so what is left over is of no use."""
        self._write(_line({"finished": True}))

    def remove(self) -> None:
        """Remove the file, while it is still locked."""
        self.path.unlink(missing_ok=True)

    def close(self) -> None:
        """Give up the lock, also where a child still has a copy of it."""
        fcntl.flock(self._file, fcntl.LOCK_UN)
        self._file.close()

    def close_copy(self) -> None:
        """In a forked child: it would keep the lock after its parent was killed, and must not give up its parent's."""
        self._file.close()

    def _write(self, lines: bytes) -> None:
        self._file.truncate(self._end)
        self._file.seek(self._end)
        self._file.write(lines)
        self._file.flush()
        os.fsync(self._file.fileno())
        self._end += len(lines)

    def _after_head(self) -> Iterator[tuple[Entry | None, int]]:
        """The entries that hold together, with where they end; None in place of one says that the run was finished."""
        while (found := _document(self._file.readline())) is not None:
            if found.get("finished"):
                yield None, self._file.tell()
                return
            end = self._file.tell()
            yield Entry(**found), end
            self._file.seek(end)


def _line(document: Mapping[str, Any]) -> bytes:
    text = orjson.dumps(document)
    return b"%08x %s\n" % (zlib.crc32(text), text)


def _document(line: bytes) -> dict[str, Any] | None:
    """What a line says; None where it does not hold together."""
    check, _, text = line.removesuffix(b"\n").partition(b" ")
    if not line.endswith(b"\n") or check != b"%08x" % zlib.crc32(text):
        return None
    return orjson.loads(text)


def _locked(path: Path) -> BinaryIO:
    while True:
        try:
            file = os.fdopen(os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o666), "r+b")
        except OSError as error:
            raise RunError(f"cannot write {path}: {error.strerror}") from None
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
            there = os.fstat(file.fileno())
            if path.exists() and os.path.samestat(there, path.stat()):
                return file
            # Whoever had it has just finished, and removed it.
        except BlockingIOError:
            file.close()
            raise RunError(f"another process is at work on this output: it holds {path}") from None
        except OSError as error:
            file.close()
            raise RunError(f"cannot lock {path}: {error.strerror}") from None
        file.close()


def _give_up_copies() -> None:
    for journal in tuple(_LOCKED):
        journal.close_copy()


os.register_at_fork(after_in_child=_give_up_copies)
