"""Bytes of a source, decompressed, in chunks of bounded size; every failure in one line that names the file."""

from __future__ import annotations

import gzip
import io
import sys
import zlib
from collections.abc import Callable, Iterator
from typing import BinaryIO, cast

import zstandard

from probewright.batch.files.errors import FilesError, reason_of
from probewright.batch.files.sources import STREAM, Source

#: Told how many bytes of a file, as it lies on the disk, were read.
OnRead = Callable[[int], None]

_CHUNK = 262_144
#: A block of zstd (RFC 8878) takes four bytes and holds up to 128 KiB, so this much may become 64 MiB at the very most.
_ZSTD_CHUNK = 2048
_UTF_8_MARK = b"\xef\xbb\xbf"
#: What a file begins with that is something else than its name says.
_OTHERWISE = (
    (b"\x1f\x8b", "it is compressed by gzip, but does not end in .gz"),
    (b"\x28\xb5\x2f\xfd", "it is compressed by zstd, but does not end in .zst"),
    (b"PAR1", "it is Parquet, but does not end in .parquet"),
    (b"PK\x03\x04", "it is a ZIP archive or a workbook; save it as CSV"),
    (b"\xff\xfe", "it is UTF-16; save it as UTF-8"),
    (b"\xfe\xff", "it is UTF-16; save it as UTF-8"),
)


def text_chunks(source: Source, on_read: OnRead | None = None) -> Iterator[bytes]:
    """The decompressed bytes of NDJSON or CSV, without a byte order mark.

    Raises
    ------
    FilesError
        When the file cannot be read, is something else than its name says, or is cut off or broken inside.
    """
    chunks = _decompressed(source, on_read or (lambda _: None))
    first = b""
    for chunk in chunks:
        first += chunk
        if len(first) >= len(_UTF_8_MARK) + 1:
            break
    for beginning, trouble in _OTHERWISE:
        if first.startswith(beginning):
            raise FilesError(f"cannot read {source.name}: {trouble}")
    yield first.removeprefix(_UTF_8_MARK)
    yield from chunks


def _decompressed(source: Source, on_read: OnRead) -> Iterator[bytes]:
    try:
        with _opened(source) as raw:
            counted = _Counted(raw, on_read)
            if source.compression == "gzip":
                yield from _gunzipped(counted)
            elif source.compression == "zstd":
                yield from _unzstd(counted)
            else:
                yield from iter(lambda: counted.read(_CHUNK), b"")
    except (EOFError, zlib.error, gzip.BadGzipFile, zstandard.ZstdError) as error:
        trouble = "cut off" if isinstance(error, EOFError) else "broken, or not compressed so"
        raise FilesError(f"cannot read {source.name}: its {source.compression} data are {trouble}") from None
    except OSError as error:
        raise FilesError(f"cannot read {source.name}: {reason_of(error)}") from None


def _opened(source: Source) -> BinaryIO:
    if source.path == STREAM:
        return cast("BinaryIO", _Kept(sys.stdin.buffer))
    return open(source.path, "rb", buffering=0)


class _Kept:
    """Standard input, which stays open."""

    def __init__(self, stream: BinaryIO) -> None:
        self.read = getattr(stream, "read1", stream.read)

    def __enter__(self) -> _Kept:
        return self

    def __exit__(self, *_: object) -> None:
        pass


class _Counted(io.RawIOBase):
    """Tells how much was read."""

    def __init__(self, raw: BinaryIO, on_read: OnRead) -> None:
        self._raw, self._on_read = raw, on_read

    def read(self, size: int = -1) -> bytes:
        data = self._raw.read(size)
        if data:
            self._on_read(len(data))
        return data


def _gunzipped(raw: _Counted) -> Iterator[bytes]:
    first = raw.read(_CHUNK)
    if not first:
        raise EOFError
    joined = io.BufferedReader(cast("io.RawIOBase", _Rejoined(first, raw)), _CHUNK)
    with gzip.GzipFile(fileobj=joined, mode="rb") as opened:
        yield from iter(lambda: opened.read(_CHUNK), b"")


class _Rejoined(io.RawIOBase):
    """What was read already, and then the rest."""

    def __init__(self, first: bytes, raw: _Counted) -> None:
        self._first, self._raw = first, raw

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: bytearray) -> int:  # type: ignore[override]  # any buffer that can be written
        data = self._first[: len(buffer)] or self._raw.read(len(buffer))
        self._first = self._first[len(buffer) :]
        buffer[: len(data)] = data
        return len(data)


def _unzstd(raw: _Counted) -> Iterator[bytes]:
    """All frames of a file; the library's own stream reader would take a file that is cut off for a whole one."""
    maker = zstandard.ZstdDecompressor()
    frame = maker.decompressobj()
    data, begun, frames = raw.read(_ZSTD_CHUNK), False, 0
    while data:
        begun = True
        piece = frame.decompress(data)
        if piece:
            yield piece
        data = frame.unused_data if frame.eof else b""
        if frame.eof:
            frame, begun, frames = maker.decompressobj(), False, frames + 1
        data = data or raw.read(_ZSTD_CHUNK)
    if begun or not frames:
        raise EOFError
