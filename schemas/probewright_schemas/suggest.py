"""The nearest known name to one that is not known."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

_LONGEST = 64  # comparing longer names costs more than the hint is worth


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name most like ``name``, or None when none is near; the order of ``known`` does not matter."""
    if len(name) > _LONGEST:
        return None
    folded = name.strip().lower().replace("-", "_").replace(" ", "_")
    ordered = sorted(known)
    if folded in ordered:
        return folded
    matches = get_close_matches(folded, ordered, n=1, cutoff=0.6)
    return matches[0] if matches else None


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """``"; did you mean 'x'?"`` for the nearest known name, or nothing."""
    found = nearest(name, known)
    return f"; did you mean {found!r}?" if found else ""
