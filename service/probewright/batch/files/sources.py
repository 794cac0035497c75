"""Which files are to be read: names, folders, glob patterns and standard input, and what each holds by its ending."""

from __future__ import annotations

import glob
import os
import stat
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import PurePath
from typing import Literal, get_args

from probewright.batch.files.errors import FilesError, reason_of
from probewright.batch.files.items import STANDARD_INPUT
from probewright_schemas.suggest import did_you_mean

Format = Literal["ndjson", "csv", "parquet"]
Compression = Literal["gzip", "zstd"]
FORMATS: tuple[Format, ...] = get_args(Format)
STREAM = "-"

_FORMATS: dict[str, Format] = {".ndjson": "ndjson", ".jsonl": "ndjson", ".csv": "csv", ".parquet": "parquet"}
_COMPRESSIONS: dict[str, Compression] = {".gz": "gzip", ".zst": "zstd"}
ENDINGS = f"{', '.join(_FORMATS)}; all but .parquet also with .gz or .zst"


@dataclass(frozen=True, slots=True)
class Source:
    """One file, or standard input, whose size is not known."""

    path: str
    format: Format
    compression: Compression | None = None
    size: int | None = None

    @property
    def name(self) -> str:
        """As messages call it."""
        return STANDARD_INPUT if self.path == STREAM else self.path


def by_ending(path: str) -> tuple[Format | None, Compression | None]:
    """What a file's name says of its format and compression."""
    name, ending = os.path.splitext(PurePath(path).name.lower())
    compression = _COMPRESSIONS.get(ending)
    if compression is not None:
        ending = os.path.splitext(name)[1]
    return _FORMATS.get(ending), compression


def checked_format(path: str, asked: str | None) -> tuple[Format, Compression | None]:
    """The format that was asked for, or else what the ending says.

    Raises
    ------
    FilesError
        When there is no such format, the ending says none, or Parquet is compressed from outside.
    """
    if asked is not None and asked not in FORMATS:
        raise FilesError(f"unknown format {asked!r}{did_you_mean(asked, FORMATS)}; known: {', '.join(FORMATS)}")
    ended, compression = by_ending(path)
    found = ended if asked is None else asked
    if found is None:
        raise FilesError(f"cannot tell the format of {path} by its ending ({ENDINGS}); name one: {', '.join(FORMATS)}")
    if found == "parquet" and compression is not None:
        raise FilesError(f"cannot use {path}: Parquet is compressed inside; take the outer {compression} off")
    return found, compression


def find_sources(paths: Sequence[str], format: str | None = None) -> tuple[Source, ...]:  # noqa: A002  as the option
    """The files that are meant, each looked at before the first is read.

    A name is that of a file, of a folder (all files in it whose ending is known, in the order of their names; folders
    and hidden files in it are left alone), a glob pattern (``**`` goes into folders), or ``-`` for standard
    input.

    Raises
    ------
    FilesError
        When one cannot be read, is named twice, or a pattern or a folder has no file.
    """
    found: list[Source] = []
    seen: set[tuple[int, int] | str] = set()
    for path in paths:
        for source, identity in _sources(path, format):
            if identity in seen:
                raise FilesError(f"{source.name} is named twice; its cases would count twice")
            seen.add(identity)
            found.append(source)
    if not found:
        raise FilesError("no file to read; name files, folders or patterns, or - for standard input")
    return tuple(found)


def _sources(path: str, asked: str | None) -> Iterator[tuple[Source, tuple[int, int] | str]]:
    if path == STREAM:
        found, _ = checked_format(STREAM, asked or "ndjson")
        if found == "parquet":
            raise FilesError(f"Parquet cannot be read from {STANDARD_INPUT}: name a file")
        yield Source(STREAM, found), STREAM
        return
    for name in _expanded(path, asked):
        look = _looked_at(name)
        found, compression = checked_format(name, asked)
        yield Source(name, found, compression, look.st_size), (look.st_dev, look.st_ino)


def _expanded(path: str, asked: str | None) -> Sequence[str]:
    if os.path.isdir(path):
        return _in_folder(path, asked)
    if os.path.lexists(path) or not glob.has_magic(path):
        return (path,)
    matched = sorted(name for name in glob.iglob(path, recursive=True) if not os.path.isdir(name))
    if not matched:
        raise FilesError(f"no file matches {path}")
    return matched


def _in_folder(path: str, asked: str | None) -> Sequence[str]:
    try:
        names = sorted(os.listdir(path))
    except OSError as error:
        raise FilesError(f"cannot read the folder {path}: {reason_of(error)}") from None
    formats = FORMATS if asked is None else (asked,)
    wanted = [name for name in names if by_ending(name)[0] in formats and not name.startswith(".")]
    files = [file for file in (os.path.join(path, name) for name in wanted) if not os.path.isdir(file)]
    if not files:
        raise FilesError(f"the folder {path} has no {asked or 'known'} file, by the endings ({ENDINGS})")
    return files


def _looked_at(path: str) -> os.stat_result:
    """What the file is; a FIFO would wait for its writer, and cannot be read again to resume."""
    if not path or "\0" in path:
        raise FilesError(f"cannot read {path!r}: no file has such a name")
    try:
        look = os.stat(path)
    except OSError as error:
        raise FilesError(f"cannot read {path}: {reason_of(error)}") from None
    if not stat.S_ISREG(look.st_mode):
        raise FilesError(f"cannot read {path}: it is not a regular file; pipe it into standard input (-)")
    if not os.access(path, os.R_OK):
        raise FilesError(f"cannot read {path}: permission denied")
    return look
