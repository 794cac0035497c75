"""Figures as Markdown tables, ready for the README."""

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


def columns(rows: Sequence[Sequence[str]]) -> str:
    """A table; the first row is its head."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    padded = [[cell.ljust(width) for cell, width in zip(row, widths, strict=True)] for row in rows]
    head, *body = ["| " + " | ".join(row) + " |" for row in padded]
    rule = "| " + " | ".join("-" * width for width in widths) + " |"
    return "\n".join((head, rule, *body))


def figures_table(figures: Sequence[Figure]) -> str:
    """Figures against their goals."""
    verdict = {True: "yes", False: "no", None: ""}
    body = [(f.what, f.value, f.goal, verdict[f.met]) for f in figures]
    return columns([("measured", "figure", "goal", "met"), *body])
