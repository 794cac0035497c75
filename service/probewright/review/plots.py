"""The figures of the page: how far to trust a probability, what is taken for what, and what jobs cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine
from matplotlib.patches import Rectangle
from matplotlib.ticker import MaxNLocator

from probewright.review.plots_svg import CHECKLIST, INK, LINE, ON_FILL, PALE, PLANNER, RIGHT, WRONG, clean, style, svg
from probewright.review.quality_text import POLICIES, WORLDS

Document = Mapping[str, Any]

_WIDTH = 9.6
_COLOURS = {"planner": PLANNER, "checklist": CHECKLIST}
#: Letters of a title that stands beside a row; inches that all columns take together, that one takes at most, and that
#: a row takes at least, for its title.
_LONGEST, _COLUMNS, _COLUMN, _ROW = 52, 5.6, 0.24, 0.155
#: A cell that is fuller than this has its number in the other colour.
_FULL = 0.55


def reliability_figure(worlds: Mapping[str, Document]) -> str:
    """How often the likeliest was so, by how likely it was held to be, and in how many jobs; a panel for each world."""
    stages = {name: world["decided"] for name, world in worlds.items() if world["decided"] is not None}
    told = "; ".join(
        f"{WORLDS[name]}: calibration error {stage['calibration_error']['value']:.3f}, limit "
        f"{stage['calibration_error']['null_95']:.3f}, {stage['jobs']} jobs"
        for name, stage in stages.items()
    )
    with style():
        figure = _figure(4.9)
        grid = figure.add_gridspec(2, max(2, len(stages)), height_ratios=(3.2, 1.0))
        for column, (name, stage) in enumerate(stages.items()):
            upper = figure.add_subplot(grid[0, column])
            lower = figure.add_subplot(grid[1, column], sharex=upper)
            _diagram(upper, name, stage)
            _counts(lower, stage["reliability"])
        return svg(figure, "reliability", f"Reliability diagram. {told}")


def _figure(height: float) -> Figure:
    figure = Figure(figsize=(_WIDTH, height), layout=ConstrainedLayoutEngine(w_pad=0.08, h_pad=0.06, wspace=0.06))
    figure.patch.set_alpha(0.0)
    return figure


def _diagram(axes: Axes, name: str, stage: Document) -> None:
    rows = stage["reliability"]
    said, was = (np.array([row[key] for row in rows]) for key in ("confidence", "frequency"))
    low, high = (np.array([row[key] for row in rows]) for key in ("frequency_low", "frequency_high"))
    axes.plot([0, 1], [0, 1], color=PALE, lw=1.2, ls=(0, (4, 3)))
    axes.errorbar(said, was, yerr=[was - low, high - was], fmt="none", ecolor=PLANNER, elinewidth=1.4, capsize=3)
    share = np.array([row["jobs"] for row in rows]) / stage["jobs"]
    axes.scatter(said, was, s=24 + 220 * share, color=PLANNER, zorder=3, clip_on=False)
    axes.set(xlim=(0, 1), ylim=(-0.02, 1.02), ylabel="How often it was so")
    axes.set_title(WORLDS[name].capitalize(), pad=18)
    error = stage["calibration_error"]
    axes.annotate(
        f"calibration error {error['value']:.3f}; of a perfect forecaster up to {error['null_95']:.3f}", (0, 1),
        (0, 6), xycoords="axes fraction", textcoords="offset points", color=INK if error["inside"] else WRONG,
    )  # fmt: skip
    axes.tick_params(labelbottom=False, length=0)
    axes.yaxis.set_major_formatter(_percent)


def _percent(value: float, _: float) -> str:
    return f"{value:.0%}"


def _counts(axes: Axes, rows: Sequence[Document]) -> None:
    for row in rows:
        middle = (row["low"] + row["high"]) / 2
        axes.bar(middle, row["jobs"], width=0.9 * (row["high"] - row["low"]), color=PALE, alpha=0.55)
        axes.annotate(str(row["jobs"]), (middle, row["jobs"]), (0, 2), textcoords="offset points", ha="center",
                      fontsize=8)  # fmt: skip
    axes.set(xlabel="How likely the likeliest was held to be", ylabel="Jobs")
    axes.set_ylim(0, 1.28 * max(row["jobs"] for row in rows))
    axes.yaxis.set_major_locator(MaxNLocator(3, integer=True))
    axes.xaxis.set_major_formatter(_percent)
    axes.tick_params(length=0)
    axes.tick_params(axis="x", pad=7)
    axes.grid(axis="x", visible=False)


def confusion_figure(name: str, world: Document, names: Mapping[str, str]) -> str:
    """What was wrong, row by row, and what was held to be likeliest, with the jobs; everything that occurs."""
    cells = world["confusion"]
    shown = [o for o in names if any(o in (cell["truth"], cell["leading"]) for cell in cells)]
    place = {outcome: i for i, outcome in enumerate(shown)}
    of = {outcome: sum(cell["jobs"] for cell in cells if cell["truth"] == outcome) for outcome in shown}
    hits = sum(cell["jobs"] for cell in cells if cell["truth"] == cell["leading"])
    with style():
        figure = _figure(0.9 + _sides(len(shown))[1] * len(shown))
        axes = figure.add_subplot()
        _matrix(axes, shown, names, of)
        for cell in cells:
            right = cell["truth"] == cell["leading"]
            _cell(axes, place[cell["leading"]], place[cell["truth"]], cell["jobs"], cell["jobs"] / of[cell["truth"]],
                  RIGHT if right else WRONG, _sides(len(shown))[0])  # fmt: skip
        told = f"What was wrong and what was held to be likeliest, {WORLDS[name]}: right in {hits} jobs"
        return svg(figure, f"confusion-{name}", f"{told} of {sum(of.values())}")


def _sides(count: int) -> tuple[float, float]:
    """How wide and how high a cell is, in inches."""
    width = min(_COLUMN, _COLUMNS / count)
    return width, max(width, _ROW)


def _matrix(axes: Axes, shown: Sequence[str], names: Mapping[str, str], of: Mapping[str, int]) -> None:
    """Rows with their titles and numbers, columns with the numbers alone."""
    count, (width, height) = len(shown), _sides(len(shown))
    numbers = [str(i + 1) for i in range(count)]
    axes.set(xlim=(-0.5, count - 0.5), ylim=(count - 0.5, -0.5), aspect=height / width, anchor="W")
    titles = [f"{clean(names[o], _LONGEST)}\u2002{i}" for o, i in zip(shown, numbers, strict=True)]
    axes.set_yticks(range(count), titles, fontsize=8)
    # Two digits take 1.3 times the size of their letters, and 72 points are an inch.
    axes.set_xticks(range(count), numbers, fontsize=min(8.0, 72 * width / 1.6))
    axes.tick_params(length=0, top=True, labeltop=True)
    axes.set_xlabel("held to be likeliest, numbered as the rows")
    axes.spines[:].set_visible(False)
    axes.grid(visible=False)
    for i in range(count):
        axes.axhline(i, color=LINE, lw=0.5, zorder=0)
        axes.axvline(i, color=LINE, lw=0.5, zorder=0)
    right = axes.secondary_yaxis("right")
    right.set_yticks(range(count), [str(of[o]) if of[o] else "" for o in shown], fontsize=8)
    right.tick_params(length=0)
    right.spines[:].set_visible(False)


def _cell(axes: Axes, x: int, y: int, jobs: int, share: float, colour: str, width: float) -> None:
    size = min(7.5, 72 * width / (0.72 * len(str(jobs))))
    strength = 0.25 + 0.75 * share
    axes.add_patch(Rectangle((x - 0.5, y - 0.5), 1, 1, facecolor=colour, alpha=strength, lw=0, zorder=2))
    axes.annotate(str(jobs), (x, y), ha="center", va="center_baseline", fontsize=size, zorder=3,
                  color=ON_FILL if strength > _FULL else INK)  # fmt: skip


def cost_figure(worlds: Mapping[str, Document]) -> str:
    """The share of jobs that are finished for a cost, and how many cost about so much; a panel for each world."""
    told = []
    with style():
        figure = _figure(4.6)
        grid = figure.add_gridspec(2, max(2, len(worlds)), height_ratios=(2.4, 1.0))
        for column, (name, world) in enumerate(worlds.items()):
            upper = figure.add_subplot(grid[0, column])
            lower = figure.add_subplot(grid[1, column], sharex=upper)
            _curves(upper, name, world)
            _distribution(lower, world["costs"])
            means = (f"{POLICIES[policy]} {work['cost']['value']:.0f}" for policy, work in world["work"].items())
            told.append(f"{WORLDS[name]}: mean cost, {', '.join(means)}")
        return svg(figure, "costs", f"What jobs cost. {'; '.join(told)}")


def _curves(axes: Axes, name: str, world: Document) -> None:
    for policy, found in world["costs"]["policies"].items():
        costs, share = np.array(found["quantiles"]), np.linspace(0.0, 1.0, len(found["quantiles"]))
        mean = world["work"][policy]["cost"]["value"]
        axes.step(costs, share, where="post", color=_COLOURS[policy], lw=2)
        axes.plot([mean], [np.interp(mean, costs, share)], "-o", lw=2, ms=7, color=_COLOURS[policy],
                  label=f"{POLICIES[policy]}, mean {mean:.0f}")  # fmt: skip
    axes.set(xlim=(0, 1.03 * world["costs"]["edges"][-1]), ylim=(0, 1.02), ylabel="Jobs that cost no more")
    axes.set_title(WORLDS[name].capitalize(), pad=20)
    axes.yaxis.set_major_formatter(_percent)
    axes.tick_params(labelbottom=False, length=0)
    axes.legend(loc="lower left", bbox_to_anchor=(0.0, 1.0), borderpad=0.2, borderaxespad=0.1, ncols=2,
                handlelength=1.3, columnspacing=1.0, handletextpad=0.5)  # fmt: skip


def _distribution(axes: Axes, costs: Document) -> None:
    for policy, found in costs["policies"].items():
        axes.stairs(found["jobs"][:-1], costs["edges"], color=_COLOURS[policy], lw=1.4)
        axes.stairs(found["jobs"][:-1], costs["edges"], color=_COLOURS[policy], alpha=0.18, fill=True)
    axes.set(xlabel="Cost of a job, callbacks and what follows them included", ylabel="Jobs", ylim=(0, None))
    axes.yaxis.set_major_locator(MaxNLocator(3, integer=True))
    axes.tick_params(length=0)
    axes.tick_params(axis="x", pad=7)
