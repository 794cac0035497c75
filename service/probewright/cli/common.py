"""What several commands need: exit codes, and printing.  Imports no numpy, for `main` has to set it up before."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Mapping
from enum import IntEnum
from typing import Any

import orjson

from probewright.errors import ProbewrightError


class Exit(IntEnum):
    """What a script can tell from the exit code."""

    OK = 0
    ATTENTION = 1
    USAGE = 2
    INVALID_CASE = 3
    NO_PACK = 4
    FAILED = 5
    INTERRUPTED = 130


class UnusableError(ProbewrightError):
    """Something on the command line cannot be used."""

    code = "unusable"


def add_loading(command: argparse.ArgumentParser) -> None:
    """The arguments of every command that loads packs: ``strict`` and ``shop``."""
    command.add_argument("--strict", action="store_true", help="fail when any pack is refused")
    told = "lay a shop's own numbers over the packs; may be given several times, each over those before it"
    command.add_argument("--shop", metavar="FILE.toml", action="append", default=[], help=told)


def show(document: Mapping[str, Any], as_json: bool, render: Callable[[Mapping[str, Any]], str]) -> None:
    """Print a document for a script or for a person."""
    text = orjson.dumps(document).decode() if as_json else render(document)
    sys.stdout.write(text + "\n")
