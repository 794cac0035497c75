"""The picture of a simulation: what jobs cost under each policy, how often they were fixed, and how long they took."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine

from probewright.simulation.report import TITLES
from probewright.simulation.run import Results

#: Colours that stay apart for colour-blind eyes (Okabe and Ito, Color Universal Design, 2008).
_COLOURS = {
    "planner": "#0072B2", "informed": "#56B4E9", "one_step": "#009E73", "checklist": "#E69F00", "likeliest": "#D55E00",
}  # fmt: skip
_INK, _PALE = "#222222", "#8a8a8a"
_PANELS = (
    ("fixed_at_first_visit", "Curable jobs fixed at the first visit", "{:.0%}"),
    ("good_parts_swapped", "Good parts swapped a job", "{:.2f}"),
    ("minutes", "Minutes a job", "{:.0f}"),
    ("cost", "Cost a job", "{:.0f}"),
)
_STYLE: Any = {
    "font.size": 10, "axes.spines.top": False, "axes.spines.right": False, "axes.edgecolor": _PALE,
    "text.color": _INK, "axes.labelcolor": _INK, "xtick.color": _INK, "ytick.color": _INK,
}  # fmt: skip


def save(told: Mapping[str, Any], results: Results, path: Path) -> None:
    """Write the picture.

    Parameters
    ----------
    told : mapping
        As :func:`probewright.simulation.report.document` gives it.
    """
    with mpl.rc_context(_STYLE):
        figure = Figure(figsize=(12, 7.6), layout=ConstrainedLayoutEngine(w_pad=0.12, h_pad=0.1))
        curves, *bars = (axes for row in _grid(figure) for axes in row)
        _curves(curves, results)
        for axes, (key, title, form) in zip(bars, _PANELS, strict=True):
            _bars(axes, told["policies"], key, title, form)
        world = f"{told['worlds']} perturbed worlds" if told["perturbed"] else "the pack's own world"
        figure.suptitle(
            f"{told['jobs']} simulated jobs of the {told['family'].replace('_', ' ')} in {world} (seed {told['seed']})",
            fontsize=14, x=0.01, ha="left",
        )  # fmt: skip
        figure.savefig(path, dpi=130, metadata={"Software": None})


def _grid(figure: Figure) -> list[list[Axes]]:
    grid = figure.add_gridspec(4, 2, width_ratios=(1.35, 1.0))
    return [[figure.add_subplot(grid[:, 0])], [figure.add_subplot(grid[row, 1]) for row in range(4)]]


def _curves(axes: Axes, results: Results) -> None:
    """For every cost the share of the jobs that cost no more."""
    most = 0.0
    for name, jobs in results.items():
        costs = np.sort([job.cost for job in jobs])
        share = np.arange(1, len(costs) + 1) / len(costs)
        axes.step(np.append(0.0, costs), np.append(0.0, share), where="post", color=_COLOURS[name], lw=2.2,
                  ls="--" if name == "informed" else "-", label=TITLES[name])  # fmt: skip
        axes.plot([costs.mean()], [np.searchsorted(costs, costs.mean()) / len(costs)], "o", color=_COLOURS[name],
                  ms=8, mec="white", mew=1.5)  # fmt: skip
        most = max(most, float(np.quantile(costs, 0.99)))
    axes.set(xlim=(0, most), ylim=(0, 1.015), xlabel="Cost of a job (callbacks and what follows them included)")
    axes.set_title("Share of the jobs that cost no more; dots: mean", loc="left", fontsize=11)
    axes.yaxis.set_major_formatter(lambda value, _: f"{value:.0%}")
    axes.grid(color="#dddddd", lw=0.7)
    axes.legend(frameon=False, loc="lower right")


def _bars(axes: Axes, policies: Mapping[str, Any], key: str, title: str, form: str) -> None:
    for place, (name, numbers) in enumerate(policies.items()):
        found = numbers[key]
        error = [[found["value"] - max(found["low"], 0.0)], [found["high"] - found["value"]]]
        axes.barh(place, found["value"], color=_COLOURS[name], height=0.68, xerr=error,
                  error_kw={"ecolor": _INK, "lw": 1.2, "capsize": 3})  # fmt: skip
        axes.annotate(form.format(found["value"]), (found["high"], place), (6, 0), textcoords="offset points",
                      va="center", fontsize=9.5)  # fmt: skip
    axes.set_yticks(range(len(policies)), [TITLES[name] for name in policies], fontsize=9)
    axes.set_title(title, loc="left", fontsize=11)
    axes.invert_yaxis()
    axes.tick_params(axis="y", length=0)
    axes.margins(x=0.16)
    axes.set_xlim(left=0)
    if key == "fixed_at_first_visit":
        axes.set_xlim(0, 1.12)
        axes.set_xticks(np.linspace(0, 1, 6))
        axes.xaxis.set_major_formatter(lambda value, _: f"{value:.0%}")
