"""Pieces of figures.  Whatever comes from a document is escaped here."""

from __future__ import annotations

from collections.abc import Sequence

from probewright.batch.report.words import fitting, folded, width
from probewright.render.page.words import escaped

#: Letters of figures, in the figure's own units, as the style says.
SIZE, SMALL = 12.0, 11.0
_LINE = 15.0


def drawing(inner: str, size: Sequence[float], told: str) -> str:
    """A figure; ``told`` is what it shows, for those who cannot see it."""
    box = f"0 0 {_n(size[0])} {_n(size[1])}"
    return f'<svg role="img" aria-label="{escaped(told)}" viewBox="{box}">{inner}</svg>'


def rect(box: Sequence[float], kind: str, tip: str = "", opacity: float | None = None) -> str:
    """A rectangle ``(x, y, width, height)``, with what is told when one points at it."""
    x, y, wide, high = box
    faint = "" if opacity is None else f' fill-opacity="{opacity:.2f}"'
    start = f'<rect class="{kind}" x="{_n(x)}" y="{_n(y)}" width="{_n(wide)}" height="{_n(high)}"{faint}'
    return f"{start}>{_tip(tip)}</rect>" if tip else f"{start}/>"


def line(ends: Sequence[float], kind: str) -> str:
    """A straight line ``(x1, y1, x2, y2)``."""
    x1, y1, x2, y2 = ends
    return f'<line class="{kind}" x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"/>'


def band(left: Sequence[float], right: Sequence[float], height: float, kind: str, tip: str) -> str:
    """A band of one height from the place ``(x, y)`` of its upper corner on the left to that on the right."""
    (x0, y0), (x1, y1), middle = left, right, (left[0] + right[0]) / 2
    there = f"M{_n(x0)} {_n(y0)}C{_n(middle)} {_n(y0)} {_n(middle)} {_n(y1)} {_n(x1)} {_n(y1)}"
    low0, low1 = _n(y0 + height), _n(y1 + height)
    back = f"V{low1}C{_n(middle)} {low1} {_n(middle)} {low0} {_n(x0)} {low0}Z"
    return f'<path class="{kind}" d="{there}{back}">{_tip(tip)}</path>'


def label(at: Sequence[float], text: str, kind: str = "", after: str = "") -> str:
    """Text at a place; ``after`` is paler."""
    told = f' <tspan class="soft">{escaped(after)}</tspan>' if after else ""
    named = f' class="{kind}"' if kind else ""
    return f'<text{named} x="{_n(at[0])}" y="{_n(at[1])}">{escaped(text)}{told}</text>'


def names(at: Sequence[float], text: str, kind: str, room: tuple[float, float], after: str) -> str:
    """A name beside the middle of something, in two lines where there is room for them, cut where there is none.

    Parameters
    ----------
    room : tuple of float
        Width and height.
    after : str
        What follows it, paler and never cut.
    """
    left = room[0] - width(f" {after}", SMALL)
    lines = folded(text, left, SIZE) if room[1] >= 2 * _LINE else [fitting(text, left, SIZE)]
    x, y = at[0], at[1] + 4 - (len(lines) - 1) * _LINE / 2
    first = "".join(label((x, y), line, kind) for line in lines[:-1])
    return first + label((x, y + (len(lines) - 1) * _LINE), lines[-1], kind, after)


def bars(parts: Sequence[tuple[float, str]]) -> str:
    """A bar of parts, each a share of the whole width, to stand beside the numbers that it shows."""
    drawn, start = [], 0.0
    for share, kind in parts:
        if share > 0:
            drawn.append(rect((100 * start, 0.0, 100 * share, 10.0), kind))
            start += share
    return f'<svg aria-hidden="true" viewBox="0 0 100 10" preserveAspectRatio="none">{"".join(drawn)}</svg>'


def _tip(text: str) -> str:
    return f"<title>{escaped(text)}</title>"


def _n(value: float) -> str:
    """A coordinate, short and the same on every machine."""
    return f"{value:.1f}".removesuffix(".0")
