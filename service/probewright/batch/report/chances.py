"""How sure of the leading fault the answers were, and how sure they are now."""

from __future__ import annotations

from collections import Counter
from math import log10

from probewright.batch.report.counted import Counted, Grid
from probewright.batch.report.svg import drawing, label, line, rect
from probewright.batch.report.words import jobs, number
from probewright.batch.summary import STEPS
from probewright.render.page.words import element, figure, paragraph

_CELL = 15.0
_SIDE = STEPS * _CELL
_LEFT, _TOP, _MARGIN, _PANEL = 54.0, 78.0, 44.0, 460.0
_WIDTH, _HEIGHT = 2 * _PANEL, _TOP + _SIDE + 92
#: Opacity of a cell with one job.
_FAINTEST = 0.16
_CAPTION = (
    "Each square is jobs: to the right how likely the leading fault was held to be before, upwards how likely the one "
    "that leads now is; the fuller the colour, the more jobs. On the dashed line nothing changed; above it the answer "
    "is surer now, below it is less sure, so that another test may be worth its time. The bars at the edges count the "
    "same jobs by one of the two alone. Colours and bars grow with the logarithm of the count."
)
_PANELS = (("stays", "cell", "The same fault leads"), ("differs", "cell-other", "Another fault leads now"))


def chances(told: Counted) -> str:
    """The section of probabilities before and now."""
    grids = {sort: told.probabilities(sort) for sort, _, _ in _PANELS}
    parts = [element("h2", "How sure the answers were, and are")]
    if not any(grids.values()):
        return "".join([*parts, paragraph("No stored job had an earlier answer to compare with.")])
    most = max(count for grid in grids.values() for count in grid.values())
    drawn = "".join(
        _panel(grids[sort], (kind, title), index * _PANEL, most) for index, (sort, kind, title) in enumerate(_PANELS)
    )
    svg = drawing(drawn + _key(most), (_WIDTH, _HEIGHT), _told(grids))
    return "".join([*parts, figure(svg, _CAPTION)])


def _told(grids: dict[str, Grid]) -> str:
    said = []
    for sort, _, title in _PANELS:
        surer, less, alike = _compared(grids[sort])
        said.append(f"{title}: {jobs(surer + less + alike)}, {number(surer)} surer than before, {number(less)} less "
                    f"sure, {number(alike)} about as sure.")  # fmt: skip
    return f"Probability of the leading fault before and now. {' '.join(said)}"


def _compared(grid: Grid) -> tuple[int, int, int]:
    """Jobs that are surer now, less sure, and about as sure."""
    surer = sum(count for (before, after), count in grid.items() if after > before)
    less = sum(count for (before, after), count in grid.items() if after < before)
    return surer, less, sum(grid.values()) - surer - less


def _weight(count: int, most: int) -> float:
    return log10(1 + count) / log10(1 + most)


def _panel(grid: Grid, drawn_as: tuple[str, str], x: float, most: int) -> str:
    kind, title = drawn_as
    left, bottom = x + _LEFT, _TOP + _SIDE
    parts = [label((left, 14.0), f"{title}: {jobs(sum(grid.values()))}", "head"), *_axes(left, bottom)]
    if not grid:
        parts.append(label((left + 0.69 * _SIDE, _TOP + 0.69 * _SIDE), "no such job", "soft middle"))
    for (before, after), count in sorted(grid.items()):
        box = (left + before * _CELL, bottom - (after + 1) * _CELL, _CELL, _CELL)
        tip = f"before {_range(before)}, now {_range(after)}: {jobs(count)}"
        parts.append(rect(box, kind, tip, _FAINTEST + (1 - _FAINTEST) * _weight(count, most)))
    return "".join([*parts, *_edges(grid, kind, left)])


def _range(step: int) -> str:
    return f"{100 * step // STEPS} to {100 * (step + 1) // STEPS} %"


def _axes(left: float, bottom: float) -> list[str]:
    parts = []
    for share in (0, 25, 50, 75, 100):
        along = _SIDE * share / 100
        parts += [
            line((left + along, bottom, left + along, bottom - _SIDE), "grid"),
            line((left, bottom - along, left + _SIDE, bottom - along), "grid"),
            label((left + along, bottom + 16), f"{share} %", "soft middle"),
            label((left - 6, bottom - along + 4), f"{share} %", "soft end"),
        ]
    return [
        *parts,
        line((left, bottom, left + _SIDE, bottom - _SIDE), "equal"),
        label((left + _SIDE / 2, bottom + 34), "before", "soft middle"),
        label((left - 6, _TOP - 10), "now", "soft end"),
    ]


def _edges(grid: Grid, kind: str, left: float) -> list[str]:
    """Bars over the panel and beside it."""
    before, after = Counter[int](), Counter[int]()
    for (one, other), count in grid.items():
        before[one] += count
        after[other] += count
    most = max([1, *before.values(), *after.values()])
    parts = []
    for step, count in sorted(before.items()):
        high = _MARGIN * _weight(count, most)
        box = (left + step * _CELL + 1, _TOP - 4 - high, _CELL - 2, high)
        parts.append(rect(box, kind, f"before {_range(step)}: {jobs(count)}", 0.7))
    for step, count in sorted(after.items()):
        high = _MARGIN * _weight(count, most)
        box = (left + _SIDE + 4, _TOP + _SIDE - (step + 1) * _CELL + 1, high, _CELL - 2)
        parts.append(rect(box, kind, f"now {_range(step)}: {jobs(count)}", 0.7))
    return parts


def _key(most: int) -> str:
    """What the colours stand for."""
    y, parts = _HEIGHT - 22, [label((_LEFT, _HEIGHT - 11), "jobs in a square:", "soft")]
    x = _LEFT + 110
    for count in _round_numbers(most):
        opacity = _FAINTEST + (1 - _FAINTEST) * _weight(count, most)
        for offset, (_, kind, _) in enumerate(_PANELS):
            parts.append(rect((x + offset * _CELL, y, _CELL, _CELL), kind, opacity=opacity))
        parts.append(label((x + 2 * _CELL + 5, _HEIGHT - 11), number(count), "soft"))
        x += 46 + 8 * len(number(count))
    return "".join(parts)


def _round_numbers(most: int) -> list[int]:
    """1, 10, 100 and so on, and the most that there is."""
    rounds, one = [], 1
    while one < most:
        rounds.append(one)
        one *= 10
    return [*rounds, most]
