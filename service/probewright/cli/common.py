"""What several commands need: exit codes, and printing.  Imports no numpy, for `main` has to set it up before."""

from __future__ import annotations

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


def show(document: Mapping[str, Any], as_json: bool, render: Callable[[Mapping[str, Any]], str]) -> None:
    """Print a document for a script or for a person."""
    text = orjson.dumps(document).decode() if as_json else render(document)
    sys.stdout.write(text + "\n")
