"""Answers one after another without what they all say: a reader of seven needs each caution once."""

from __future__ import annotations

import re

#: Sections of an answer that are much the same for every job.
SECTIONS = ("ALWAYS MIND", "ASSUMED")
_ITEM = re.compile(r"^(?=  [-!] )", re.MULTILINE)


def without_repeats(answer: str, told: set[str]) -> str:
    """An answer less what earlier ones said word for word in :data:`SECTIONS` and below them.

    Parameters
    ----------
    answer : str
        As printed for people: blocks between empty lines, each with a heading, and a notice at the end.
    told : set of str
        What was said so far; grows.
    """
    *blocks, notice = answer.split("\n\n")
    kept = [_new_items(block, told) if block.startswith(SECTIONS) else block for block in blocks]
    if notice not in told:
        kept.append(notice)
        told.add(notice)
    return "\n\n".join(kept)


def _new_items(block: str, told: set[str]) -> str:
    heading, *items = _ITEM.split(f"{block}\n")
    new = [item for item in items if item not in told]
    told.update(items)
    repeated = len(items) - len(new)
    said = f"  ({repeated} as in an earlier answer)" if repeated else ""
    return "".join([heading, *new, said]).rstrip("\n")
