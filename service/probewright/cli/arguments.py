"""Values on the command line that several commands take: whole numbers in a range, and files to be written."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from probewright.cli.common import UnusableError


def whole(text: str, least: int, most: int) -> int:
    """A whole number in a range.

    Raises
    ------
    ArgumentTypeError
        For anything else; the message says what it must be.
    """
    if not text.isascii() or not text.isdigit() or not least <= int(text) <= most:
        raise argparse.ArgumentTypeError(f"must be a whole number from {least} to {most}, not {text!r}")
    return int(text)


def port(text: str) -> int:
    """A TCP port; 0 for a free one."""
    return whole(text, 0, 65535)


def processes(text: str) -> int:
    """A number of processes."""
    return whole(text, 1, 256)


def threads(text: str) -> int:
    """A number of threads; one for a stream, and one that is left."""
    return whole(text, 2, 256)


def cores() -> int:
    """The processors that this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def job_count(text: str) -> int:
    """A number of simulated jobs."""
    return whole(text, 1, 1_000_000)


def share(text: str) -> float:
    """A share of a whole, from 0 to less than a half.

    Raises
    ------
    ArgumentTypeError
        For anything else.
    """
    try:
        found = float(text)
    except ValueError:
        found = -1.0
    if not 0.0 <= found < 0.5:
        raise argparse.ArgumentTypeError(f"must be a number from 0 to less than 0.5, not {text!r}")
    return found


def case_count(text: str) -> int:
    """A number of drawn cases."""
    return whole(text, 1, 100_000_000)


def seed(text: str) -> int:
    """A seed of chance."""
    return whole(text, 0, 2**32 - 1)


def new_file(text: str) -> Path:
    """Where a file is to be written: refused before the work and not after it.

    Raises
    ------
    UnusableError
        When its folder is not there, it is a folder itself, or it may not be written.
    """
    path = Path(text)
    folder = path.resolve().parent
    if path.is_dir():
        raise UnusableError(f"cannot write {text or path}: it is a folder; name a file in it")
    if not folder.is_dir():
        raise UnusableError(f"cannot write {text}: its folder does not exist")
    if not os.access(path if path.exists() else folder, os.W_OK):
        raise UnusableError(f"cannot write {text}: permission denied")
    return path


def check_plots(option: str) -> None:
    """Refuse an option that draws where matplotlib cannot be imported."""
    try:
        import matplotlib  # noqa: F401, PLC0415  only to see whether it is there
    except ImportError:
        raise UnusableError(f"{option} needs matplotlib: pip install 'probewright[plots]'") from None
