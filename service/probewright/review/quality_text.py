"""How well a pack does on simulated jobs, for people."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from probewright.render.text import clean, paragraph, plain

Document = Mapping[str, Any]

WORLDS = {"given": "numbers as given", "perturbed": "numbers perturbed"}
MOMENTS = {"decided": "When the first repair was decided on", "left": "When the job ended"}
POLICIES = {"planner": "planner", "checklist": "checklist"}
#: Mistakes that are told; the page shows all.
MOST_MISTAKES = 10
_LABEL, _CELL = 50, 25
_LEGEND = (
    "Scored are jobs with at most one fault, against the probabilities given that; when a job ended, what is left may "
    "be a fault that nobody complained of. Each interval holds with a confidence of 95%. A limit is what 95% of "
    "perfectly calibrated forecasters with just these forecasts stay at or under: a score far over it, or over it with "
    "other seeds as well, says that probabilities and what happens do not match; one score in twenty is over it by "
    "chance, and with few jobs the limit is wide. The aim, a calibration error "
    "of at most {goal:g}, is no such test."
)


def quality_text(told: Document) -> str:
    """The report in at most 100 columns."""
    worlds = told["worlds"]
    lines = paragraph(_headline(told), "")
    lines += ["", _row("", *(WORLDS[name] for name in worlds))]
    for moment, title in MOMENTS.items():
        lines += [title, *_stage([world[moment] for world in worlds.values()])]
    lines += _double([world["two_faults"] for world in worlds.values()])
    lines += _work(list(worlds.values()))
    for name, world in worlds.items():
        lines += _reliability(name, world["decided"])
    for name, world in worlds.items():
        lines += _mistakes(name, world, told["names"])
    lines += ["", *paragraph(_LEGEND.format(goal=told["goal"]["calibration_error"]), "")]
    return clean(lines)


def _headline(told: Document) -> str:
    jobs, worlds = f"{told['jobs']} simulated jobs", told["worlds"]
    parts = [f"{jobs} of its own model"] if "given" in worlds else []
    parts += [f"{jobs} of {other_worlds(worlds['perturbed'])}"] if "perturbed" in worlds else []
    return f"{plain(told['family'])} {told['version']}: {', and '.join(parts)}; seed {told['seed']}"


def other_worlds(world: Document) -> str:
    """The worlds with perturbed numbers."""
    return "one world that differs from it" if world["worlds"] == 1 else f"{world['worlds']} worlds that differ from it"


def _row(label: str, *cells: str) -> str:
    return f"{label:<{_LABEL}}" + "".join(f"{cell:>{_CELL}}" for cell in cells)


def _stage(stages: Sequence[Document | None]) -> list[str]:
    def row(label: str, cell: Callable[[Document], str]) -> str:
        return _row(f"  {label}", *("-" if stage is None else cell(stage) for stage in stages))

    return [
        row("jobs with at most one fault", lambda s: str(s["jobs"])),
        row("mean probability of what was wrong", lambda s: _share(s["probability"])),
        row("it was held to be the likeliest", lambda s: _share(s["top_1"])),
        row("it was among the likeliest three", lambda s: _share(s["top_3"])),
        row("calibration error (limit)", lambda s: _against(s["calibration_error"])),
        row("Brier score (limit)", lambda s: _against(s["brier"])),
        row("log score in nats (limit)", lambda s: _against(s["log"])),
    ]


def _share(found: Document) -> str:
    return f"{found['value']:.1%} ({max(0.0, found['low']):.0%} to {min(1.0, found['high']):.0%})"


def _number(found: Document) -> str:
    return f"{found['value']:.2f} ({max(0.0, found['low']):.2f} to {found['high']:.2f})"


def _sum(found: Document) -> str:
    return f"{found['value']:.0f} ({max(0.0, found['low']):.0f} to {found['high']:.0f})"


def _against(found: Document) -> str:
    return f"{'' if found['inside'] else 'over: '}{found['value']:.3f} ({found['null_95']:.3f})"


def _double(found: Sequence[Document]) -> list[str]:
    return [
        "Two faults at once",
        _row("  share of the jobs", *(_share(d["share"]) for d in found)),
        _row("  share that was foreseen", *(f"{d['forecast']:.1%}" for d in found)),
        _row("  one of them was held to be the likeliest fault", *(_or_none(d, "one_leads") for d in found)),
        _row("  both were among the likeliest three", *(_or_none(d, "both_among_three") for d in found)),
    ]


def _or_none(found: Document, key: str) -> str:
    return _share(found[key]) if found["jobs"] else "-"


def _work(worlds: Sequence[Document]) -> list[str]:
    def row(label: str, policy: str, key: str, cell: Callable[[Document], str]) -> str:
        return _row(f"  {label}", *(cell(world["work"][policy][key]) for world in worlds))

    lines = ["The work", _row("  curable jobs without a hazard", *(str(world["curable"]) for world in worlds))]
    for name in worlds[0]["work"]:
        lines += [
            row(f"{POLICIES[name]}: of these fixed at the first visit", name, "fixed_at_first_visit", _share),
            row(f"{POLICIES[name]}: good parts swapped a job", name, "good_parts_swapped", _number),
            row(f"{POLICIES[name]}: mean cost of a job", name, "cost", _sum),
        ]
    if worlds[0]["cost_ratio"] is None:
        return [*lines, "  no checklist to compare with: the family names none"]
    return [*lines, _row("  cost, planner over checklist", *(_number(world["cost_ratio"]) for world in worlds))]


def _reliability(name: str, stage: Document | None) -> list[str]:
    if stage is None:
        return []
    lines = ["", f"What was likeliest when the first repair was decided on, {WORLDS[name]}"]
    lines.append(f"  {'held to be':>14}{'jobs':>8}{'mean':>10}{'it was so':>12}   with 95 %")
    for row in stage["reliability"]:
        between = f"{row['low']:.0%} to {row['high']:.0%}"
        known = f"{row['frequency_low']:.0%} to {row['frequency_high']:.0%}"
        lines.append(f"  {between:>14}{row['jobs']:>8}{row['confidence']:>10.1%}{row['frequency']:>12.1%}   {known}")
    return lines


def _mistakes(name: str, world: Document, names: Mapping[str, str]) -> list[str]:
    wrong = sorted(
        (cell for cell in world["confusion"] if cell["truth"] != cell["leading"]), key=lambda c: -c["jobs"]
    )
    if not wrong:
        return []
    told = [
        f"{cell['jobs']:>5}  {names[cell['truth']]}: taken for {_lowered(names[cell['leading']])}"
        for cell in wrong[:MOST_MISTAKES]
    ]
    rest = sum(cell["jobs"] for cell in wrong[MOST_MISTAKES:])
    title = f"Held to be something else when the first repair was decided on, {WORLDS[name]}"
    return ["", title, *_wrapped(told), *([f"{rest:>5}  other mistakes"] if rest else [])]


def _wrapped(lines: Iterable[str]) -> list[str]:
    return [part for line in lines for part in paragraph(line[7:], line[:7])]


def _lowered(title: str) -> str:
    """A title within a sentence; what is spelt with more capitals stays."""
    return title[:1].lower() + title[1:] if title[1:2].islower() else title

