"""Figures as pieces of a page: text that stays text, colours that follow the page, and the same bytes every time."""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from html import escape
from io import StringIO
from typing import Any, Final

import matplotlib as mpl
from matplotlib.figure import Figure

#: Colours that figures are drawn in, and what the page calls them: it has a light and a dark set.
INK, PALE, LINE, ON_FILL = "#1f2329", "#6e7781", "#d3d9df", "#fefefd"
RIGHT, WRONG, PLANNER, CHECKLIST = "#0b62b4", "#c2410d", "#0b62b5", "#b4690c"
_NAMES: Final = {
    INK: "ink", PALE: "pale", LINE: "line", ON_FILL: "on-fill", RIGHT: "blue", WRONG: "red", PLANNER: "blue",
    CHECKLIST: "orange",
}  # fmt: skip
_STYLE: Any = {
    "svg.fonttype": "none", "text.parse_math": False, "font.size": 9.0, "axes.titlesize": 10.0,
    "axes.titlelocation": "left", "axes.titleweight": "bold", "axes.spines.top": False, "axes.spines.right": False,
    "axes.edgecolor": PALE, "text.color": INK, "axes.labelcolor": INK, "xtick.color": PALE, "ytick.color": PALE,
    "xtick.labelcolor": INK, "ytick.labelcolor": INK, "axes.grid": True, "grid.color": LINE, "grid.linewidth": 0.7,
    "axes.axisbelow": True, "legend.frameon": False, "axes.facecolor": "none", "figure.facecolor": "none",
}  # fmt: skip
_NO_DATA: Final = {"Date": None, "Creator": None, "Format": None, "Type": None}


@contextmanager
def style() -> Iterator[None]:
    """What figures of the page are drawn with."""
    with mpl.rc_context(_STYLE), warnings.catch_warnings():
        # A title may be in any script: a browser has the letters, though the font that measures them may not.
        warnings.filterwarnings("ignore", message="Glyph .* missing from font")
        yield


def svg(figure: Figure, name: str, told: str) -> str:
    """A figure as an ``svg`` element for a page.

    Parameters
    ----------
    name : str
        What its ids begin with; another one for each figure of a page.
    told : str
        What it shows, for those who cannot see it.
    """
    with mpl.rc_context({"svg.hashsalt": name}):
        written = StringIO()
        figure.savefig(written, format="svg", metadata=_NO_DATA)
    text = written.getvalue()
    text = re.sub(r"<metadata>.*?</metadata>\s*", "", text[text.index("<svg") :], flags=re.DOTALL)
    text = re.sub(r'\bid="', f'id="{name}-', text)
    text = re.sub(r'(href="#|url\(#)', rf"\g<1>{name}-", text)
    text = re.sub(r"font: (?:[a-z0-9]+ )*?([0-9.]+px) [^;\"]*", r"font-size: \1", text)
    for colour, meaning in _NAMES.items():
        text = text.replace(colour, f"var(--{meaning})")
    return text.replace("<svg ", f'<svg role="img" aria-label="{escape(told)}" ', 1).strip()


def clean(title: str, most: int = 200) -> str:
    """A title without control characters, cut where it is longer than a figure has room for."""
    printable = "".join(c if c.isprintable() else "?" for c in title)
    return printable if len(printable) <= most else printable[: most - 1].rstrip() + "…"
