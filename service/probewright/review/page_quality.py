"""What simulated jobs came to, on the page: the numbers at a glance, tables, and figures."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from probewright.render.page.words import element, escaped, figure, paragraph, table
from probewright.review.plots import confusion_figure, cost_figure, reliability_figure
from probewright.review.quality_text import MOMENTS, POLICIES, WORLDS

Document = Mapping[str, Any]
Rows = list[Sequence[str]]

_RELIABILITY = (
    "Jobs are put together by how likely the likeliest was held to be when the first repair was decided on. Where "
    "probabilities mean what they say, the dots lie on the dashed line; bars hold with 95%, and the larger a dot, the "
    "more jobs it stands for."
)
_CONFUSION = (
    "Each row is what was wrong, each column what was held to be likeliest when the first repair was decided on; the "
    "numbers are jobs, all those of a row at its end. Blue is right, red is not, and the fuller the colour, the larger "
    "the share of the row. What never occurred is left out."
)
_COSTS = (
    "Above, the share of the jobs that cost no more than so much, labour, parts, callbacks and what follows them "
    "included; the further to the left, the better. Dots are means. Below, how many jobs cost about so much."
)
_SCORES = (
    "Scored are jobs with at most one fault, against the probabilities given that; when a job ended, what is left may "
    "be a fault that nobody complained of. In brackets: intervals that hold with 95%; for the calibration error and "
    "the scores, what 95% of perfectly calibrated forecasters with just these forecasts stay at or under. A score far "
    "over that, or over it with other seeds as well, says that probabilities and what happens do not match; one in "
    "twenty is over it by chance."
)


def tiles(counts: Mapping[str, int], quality: Document | None) -> str:
    """The review at a glance."""
    told = [_tile(_found(counts), "errors, warnings, notes", "bad" if counts["error"] else "")]
    world = None if quality is None else next(iter(quality["worlds"].values()))
    if world is not None:
        told += _stage_tiles(world["decided"]) if world["decided"] is not None else []
        fixed = world["work"]["planner"]["fixed_at_first_visit"]
        told.append(_tile(f"{fixed['value']:.0%}", "of the curable jobs fixed at the first visit"))
        if world["cost_ratio"] is not None:
            told.append(_tile(f"{world['cost_ratio']['value']:.2f}", "of the checklist's mean cost a job"))
    return element("div", "".join(told), "tiles")


def _found(counts: Mapping[str, int]) -> str:
    return " / ".join(str(counts[severity]) for severity in ("error", "warning", "note"))


def _stage_tiles(stage: Document) -> list[str]:
    error = stage["calibration_error"]
    said = "as a perfect forecaster's" if error["inside"] else f"a perfect forecaster's is under {error['null_95']:.3f}"
    return [
        _tile(f"{stage['probability']['value']:.0%}", "mean probability of what was wrong, at the first repair"),
        _tile(f"{stage['top_1']['value']:.0%}", f"the likeliest was right; among three {stage['top_3']['value']:.0%}"),
        _tile(f"{error['value']:.3f}", f"calibration error, {said}", "good" if error["inside"] else "bad"),
    ]


def _tile(number: str, told: str, kind: str = "") -> str:
    return element("div", element("b", escaped(number), kind) + element("span", escaped(told)), "tile")


def quality_sections(quality: Document) -> list[str]:
    """Scores, reliability, confusion, costs."""
    worlds, names = quality["worlds"], quality["names"]
    return [
        element("h2", "Simulated jobs"),
        paragraph(_SCORES),
        _scores(worlds, quality["goal"]["calibration_error"]),
        *_reliability(worlds),
        *_confusions(worlds, names),
        *_outcomes(worlds, names),
        element("h2", "What jobs cost"),
        figure(cost_figure(worlds), _COSTS),
        *([] if quality["checklist"] else [paragraph("The family names no checklist to compare with.", "soft")]),
    ]


def _scores(worlds: Mapping[str, Document], goal: float) -> str:
    rows: Rows = []
    for moment, title in MOMENTS.items():
        rows += [(title,), *_stage_rows([world[moment] for world in worlds.values()])]
    rows += [("Two faults at once",), *_double_rows([world["two_faults"] for world in worlds.values()])]
    rows += [("The work",), *_work_rows(list(worlds.values()))]
    caption = f"The aim, a calibration error of at most {goal:g}, is no such test."
    return table(["", *(WORLDS[name] for name in worlds)], rows, caption)


def _stage_rows(stages: Sequence[Document | None]) -> Rows:
    def row(label: str, cell: Callable[[Document], str]) -> Sequence[str]:
        return (label, *("–" if stage is None else cell(stage) for stage in stages))

    return [
        row("jobs with at most one fault", lambda s: str(s["jobs"])),
        row("mean probability of what was wrong", lambda s: _share(s["probability"])),
        row("it was held to be the likeliest", lambda s: _share(s["top_1"])),
        row("it was among the likeliest three", lambda s: _share(s["top_3"])),
        row("calibration error", lambda s: _against(s["calibration_error"])),
        row("Brier score", lambda s: _against(s["brier"])),
        row("log score, nats", lambda s: _against(s["log"])),
    ]


def _double_rows(found: Sequence[Document]) -> Rows:
    rows: Rows = [
        ("share of the jobs", *(_share(d["share"]) for d in found)),
        ("share that was foreseen", *(f"{d['forecast']:.1%}" for d in found)),
    ]
    if any(d["jobs"] for d in found):
        rows.append(("one of them was held to be the likeliest fault", *(_share(d["one_leads"]) for d in found)))
        rows.append(("both were among the likeliest three", *(_share(d["both_among_three"]) for d in found)))
    return rows


def _work_rows(worlds: Sequence[Document]) -> Rows:
    rows: Rows = [("curable jobs without a hazard", *(str(world["curable"]) for world in worlds))]
    for name in worlds[0]["work"]:
        work, who = [world["work"][name] for world in worlds], POLICIES[name]
        rows += [
            (f"{who}: of these fixed at the first visit", *(_share(w["fixed_at_first_visit"]) for w in work)),
            (f"{who}: good parts swapped a job", *(_number(w["good_parts_swapped"]) for w in work)),
            (f"{who}: mean cost of a job", *(_number(w["cost"], 0) for w in work)),
        ]
    if worlds[0]["cost_ratio"] is not None:
        rows.append(("cost, planner over checklist", *(_number(world["cost_ratio"]) for world in worlds)))
    return rows


def _share(found: Document) -> str:
    between = f"({max(0.0, found['low']):.0%} to {min(1.0, found['high']):.0%})"
    return f"{found['value']:.1%} {_soft(between)}"


def _number(found: Document, digits: int = 2) -> str:
    between = f"({max(0.0, found['low']):.{digits}f} to {found['high']:.{digits}f})"
    return f"{found['value']:.{digits}f} {_soft(between)}"


def _against(found: Document) -> str:
    number = f"{found['value']:.3f}"
    shown = number if found["inside"] else f'<strong class="bad">{number}</strong>'
    limit = f"({found['null_95']:.3f})"
    return f"{shown} {_soft(limit)}"


def _soft(text: str) -> str:
    return f'<span class="soft">{escaped(text)}</span>'


def _reliability(worlds: Mapping[str, Document]) -> list[str]:
    if all(world["decided"] is None for world in worlds.values()):
        return []
    return [element("h2", "How far to trust a probability"), figure(reliability_figure(worlds), _RELIABILITY)]


def _confusions(worlds: Mapping[str, Document], names: Mapping[str, str]) -> list[str]:
    """A figure for each world; the second one is folded away."""
    parts: list[str] = []
    for name, world in worlds.items():
        if not world["confusion"]:
            continue
        drawn = figure(confusion_figure(name, world, names), _CONFUSION)
        title = WORLDS[name].capitalize()
        if parts:
            parts.append(f"<details><summary>{escaped(title)}</summary>{drawn}</details>")
        else:
            parts += [element("h2", "What is taken for what"), element("h3", escaped(title)), drawn]
    return parts


def _outcomes(worlds: Mapping[str, Document], names: Mapping[str, str]) -> list[str]:
    """By what was wrong, the worst first."""
    parts = []
    for name, world in worlds.items():
        found = sorted(world["outcomes"], key=lambda o: (o["top_1"], o["probability"], -o["jobs"]))
        rows = [
            (escaped(names[o["outcome"]]), str(o["jobs"]), f"{o['probability']:.0%}", f"{o['top_1']:.0%}")
            for o in found
        ]
        if rows:
            told = table(["what was wrong", "jobs", "mean probability of it", "it was held to be likeliest"], rows)
            title = f"By what was wrong, the hardest first: {WORLDS[name]}"
            parts.append(f"<details><summary>{escaped(title)}</summary>{told}</details>")
    return parts
