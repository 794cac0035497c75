"""What leads the page: the result in a few sentences, the counts at a glance, and the packs before and now."""

from __future__ import annotations

from collections.abc import Mapping

from probewright.batch.report.about import About
from probewright.batch.report.bars import problems
from probewright.batch.report.counted import Counted
from probewright.batch.report.tables import Head, long_table
from probewright.batch.report.words import jobs, number, part
from probewright.render.page.words import element, escaped, paragraph

_DIGEST = 19


def header(title: str, told: Counted, about: About) -> str:
    """The title and the result."""
    lines = [paragraph(line, "lead") for line in _result(told)]
    note = paragraph(about.note, "soft") if about.note else ""
    return element("header", element("h1", escaped(title)) + "".join(lines) + note + problems(told))


def _result(told: Counted) -> list[str]:
    if not told.answered:
        return ["No stored job was answered."]
    changed, compared = told.totals.get("changed", 0), told.answered - told.totals.get("new", 0)
    if not compared:
        return [f"{jobs(told.answered)} had no earlier answer: there is nothing to compare yet."]
    if not changed:
        what = "the job that has" if compared == 1 else f"all {number(compared)} jobs that have"
        return [f"Nothing changes: {what} an earlier answer would be answered as before."]
    share = "" if compared == 1 else f" ({part(changed, compared)})"
    lines = [f"{_of(changed, compared)} would be answered otherwise today{share}."]
    return [*lines, *_gravest(told)]


def _of(count: int, of: int) -> str:
    if of == 1:
        return "The one job with an earlier answer"
    return f"{number(count)} of {number(of)} jobs that have an earlier answer"


def _gravest(told: Counted) -> list[str]:
    said = []
    for kind, words in (
        ("hazard_shows", "a hazard now shows that did not show before"),
        ("swapped_part_good", "a part that was replaced now looks good"),
        ("next_step", "the next step is another"),
    ):
        if told.totals.get(kind):
            said.append(f"in {number(told.totals[kind])} {words}")
    if not said:
        return ["No hazard shows that did not show before, no replaced part looks good, and no next step is another."]
    told_all = ", ".join(said[:-1]) + (" and " if said[:-1] else "") + said[-1]
    return [f"{told_all[0].upper()}{told_all[1:]}."]


def tiles(told: Counted) -> str:
    """The counts at a glance."""
    totals, all_jobs = told.totals, told.answered
    changed, refused = totals.get("changed", 0), told.refused
    shown = [
        _tile(all_jobs + refused, "stored jobs", ""),
        _tile(totals.get("same", 0), "the very same computation as before", ""),
        _tile(totals.get("unchanged", 0), "computed anew, without a difference that counts", ""),
        _tile(changed, "would be answered otherwise", "mind" if changed else "good"),
        _tile(totals.get("new", 0), "had no earlier answer", ""),
        _tile(refused, "could not be answered", "mind" if refused else ""),
    ]
    return element("div", "".join(shown), "tiles")


def _tile(count: int, told: str, kind: str) -> str:
    return element("div", element("b", number(count), kind) + element("span", escaped(told)), "tile")


def packs(told: Counted, about: About) -> str:
    """The models that answered then and now."""
    found = told.packs()
    if not found:
        return ""
    families = sorted({family for family, _, _ in found})
    earlier_known = any("earlier" in numbers for numbers in found.values())
    rows = []
    for family in families:
        of_family = {key[1:]: numbers for key, numbers in found.items() if key[0] == family}
        before, now = _listed(of_family, "earlier"), _listed(of_family, "now")
        cells = (before, now, _compared(of_family)) if earlier_known else (now,)
        rows.append((escaped(about.family(family)), *cells))
    head = Head(("family", "pack before", "pack now", "numbers in it") if earlier_known else ("family", "pack now"))
    caption = "The packs that answered: version, digest (it changes with any number in the pack), and jobs."
    return element("h3", "By which packs") + long_table(head, rows, caption)


def _listed(of_family: Mapping[tuple[str, str], Mapping[str, int]], when: str) -> str:
    told = [
        f"{escaped(version)} <code>{escaped(digest[:_DIGEST])}</code> ({number(numbers[when])})"
        for (version, digest), numbers in of_family.items() if when in numbers
    ]  # fmt: skip
    more = f"<br>and {len(told) - 5} more" if len(told) > 5 else ""
    return "<br>".join(told[:5]) + more or "–"


def _compared(of_family: Mapping[tuple[str, str], Mapping[str, int]]) -> str:
    before = {key for key, numbers in of_family.items() if "earlier" in numbers}
    now = {key for key, numbers in of_family.items() if "now" in numbers}
    if not before:
        return "no earlier answer"
    return "the same" if before == now else '<span class="mind">changed</span>'
