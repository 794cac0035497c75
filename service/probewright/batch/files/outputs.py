"""Files that appear whole or not at all, and whose bytes depend on what is written alone."""

from __future__ import annotations

import gzip
import io
import os
import re
import secrets
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any, BinaryIO, cast

import zstandard

from probewright.batch.files.errors import FilesError, reason_of
from probewright.batch.files.sources import STREAM, Compression, Format, checked_format

_BUFFER = 1_048_576
_GZIP_LEVEL = 6
_ZSTD_LEVEL = 3


def check_output(
    path: str, format: str | None = None, *, overwrite: bool = False  # noqa: A002  as the option is called
) -> tuple[Format, Compression | None]:
    """What an output is to be, refused before the work and not after it.

    Raises
    ------
    FilesError
        When the ending says no format, it is there and may not be replaced, it is no regular file, or its folder is
        not there or may not be written.
    """
    if path == STREAM:
        found, _ = checked_format(path, format or "ndjson")
        if found == "parquet":
            raise FilesError("Parquet cannot be written to standard output: name a file")
        return found, None
    if not path or "\0" in path:
        raise FilesError(f"cannot write {path!r}: no file has such a name")
    if os.path.isdir(path):
        raise FilesError(f"cannot write {path}: it is a folder; name a file in it")
    checked = checked_format(path, format)
    _check_place(path, overwrite)
    return checked


def _check_place(path: str, overwrite: bool) -> None:
    folder = os.path.dirname(os.path.realpath(path))
    try:
        there = os.stat(path)
    except FileNotFoundError:
        there = None
    except OSError as error:
        raise FilesError(f"cannot write {path}: {reason_of(error)}") from None
    if there is not None and not stat.S_ISREG(there.st_mode):
        raise FilesError(f"cannot write {path}: it is not a regular file; write to standard output (-)")
    if there is not None and not overwrite:
        raise FilesError(f"cannot write {path}: it is there already, and may be replaced only when that is asked for")
    if not os.path.isdir(folder):
        raise FilesError(f"cannot write {path}: its folder does not exist")
    if not os.access(folder, os.W_OK | os.X_OK):
        raise FilesError(f"cannot write {path}: permission denied")


@contextmanager
def whole_file(path: str, *, overwrite: bool = False) -> Iterator[BinaryIO]:
    """A file to write that takes its name when it is whole; standard output for ``-``.

    It is written beside its place under a name of its own and brought to the disk before it is renamed; whatever ends
    the writing early, an interrupt as well, removes it.
    """
    if path == STREAM:
        yield sys.stdout.buffer
        sys.stdout.buffer.flush()
        return
    _check_place(path, overwrite)
    place = os.path.realpath(path)
    folder, name = os.path.split(place)
    beside = os.path.join(folder, f"{_prefix(name)}{os.getpid()}-{secrets.token_hex(4)}.part")
    with _told(path):
        stream = _Output(path, beside)
    try:
        yield stream
        with _told(path):
            stream.flush()
            os.fsync(stream.fileno())
            stream.close()
            _check_place(path, overwrite)
            os.replace(beside, place)
            _bring_to_disk(folder)
    finally:
        with suppress(OSError):
            stream.raw.close()  # without writing what a failure left in the buffer
        with suppress(FileNotFoundError):
            os.unlink(beside)


def sweep(path: str) -> None:
    """Remove what a process that was killed left of a file that was not whole yet; what others write is let be.

    What cannot be removed stays.
    """
    folder, name = os.path.split(os.path.realpath(path))
    pattern = re.compile(re.escape(_prefix(name)) + r"(\d{1,9})-[0-9a-f]+\.part")
    with suppress(OSError):
        for left in os.listdir(folder):
            found = pattern.fullmatch(left)
            if found and not _runs(int(found[1])):
                with suppress(OSError):
                    os.unlink(os.path.join(folder, left))


def _prefix(name: str) -> str:
    """How the name begins that a file has until it is whole; a process's number follows."""
    return f".{name[:200]}."


def _runs(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        pass  # somebody else's
    return True


@contextmanager
def _told(path: str) -> Iterator[None]:
    """Says what the operating system refuses; not around the caller's work, which may have such errors of its own."""
    try:
        yield
    except OSError as error:
        raise FilesError(f"cannot write {path}: {reason_of(error)}") from None


class _Output(io.BufferedWriter):
    """The file, whose own errors name the output."""

    def __init__(self, path: str, beside: str) -> None:
        super().__init__(io.FileIO(beside, "x"), _BUFFER)
        self._path = path

    def write(self, data: Any) -> int:
        with _told(self._path):
            return super().write(data)


def _bring_to_disk(folder: str) -> None:
    """Make the new name itself last; systems that cannot open folders do without."""
    with suppress(OSError):
        place = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(place)
        finally:
            os.close(place)


@contextmanager
def compressed(stream: BinaryIO, compression: Compression | None) -> Iterator[BinaryIO]:
    """A stream that compresses, always alike: neither name nor time in it, one thread, a fixed level."""
    if compression == "gzip":
        with gzip.GzipFile(filename="", mode="wb", compresslevel=_GZIP_LEVEL, fileobj=stream, mtime=0) as packed:
            yield cast("BinaryIO", packed)
    elif compression == "zstd":
        maker = zstandard.ZstdCompressor(level=_ZSTD_LEVEL, write_checksum=True)
        with maker.stream_writer(stream, closefd=False) as packing:
            yield cast("BinaryIO", packing)
    else:
        yield stream


@contextmanager
def output(
    path: str, format: str | None = None, *, overwrite: bool = False  # noqa: A002
) -> Iterator[tuple[BinaryIO, Format]]:
    """A whole file, compressed as its name says, and its format."""
    found, compression = check_output(path, format, overwrite=overwrite)
    with whole_file(path, overwrite=overwrite) as stream, compressed(stream, compression) as packed:
        yield packed, found
