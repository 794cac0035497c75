"""How functions are compiled: kept on disk where that can be written to, else compiled anew by each process.

The compiler keeps its work beside the source or, where that cannot be written to, in the user's cache directory or the
one that the environment variable ``NUMBA_CACHE_DIR`` names.  ``probewright warm-up`` fills it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from numba import njit

Function = Callable[..., Any]


def compiled(function: Function) -> Function:
    """Compile a function when it is first called."""
    return _compile(function)


def inlined(function: Function) -> Function:
    """The same for a small function of the innermost loops, which becomes part of those that call it."""
    return _compile(function, inline="always")


def _compile(function: Function, **options: Any) -> Function:
    try:
        made: Function = njit(cache=True, **options)(function)
    except RuntimeError:  # there is no place to keep it
        made = njit(**options)(function)
    return made
