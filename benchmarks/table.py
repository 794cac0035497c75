"""Figures as a Markdown table, ready for the README."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Figure:
    """One measured figure, with its goal where there is one."""

    what: str
    value: str
    goal: str = ""
    met: bool | None = None


def row(cells: Sequence[str], widths: Sequence[int]) -> str:
    return "| " + " | ".join(cell.ljust(width) for cell, width in zip(cells, widths, strict=True)) + " |"


def markdown(figures: Sequence[Figure]) -> str:
    verdict = {True: "yes", False: "no", None: ""}
    body = [(f.what, f.value, f.goal, verdict[f.met]) for f in figures]
    head = ("measured", "figure", "goal", "met")
    widths = [max(len(line[i]) for line in (head, *body)) for i in range(len(head))]
    rule = "| " + " | ".join("-" * width for width in widths) + " |"
    return "\n".join((row(head, widths), rule, *(row(line, widths) for line in body)))
