"""The jobs to look at first: those in which somebody may be in danger, then those that cost a customer money."""

from __future__ import annotations

from collections.abc import Sequence

from probewright.batch.report.about import About
from probewright.batch.report.counted import Counted, Document
from probewright.batch.report.words import number, percent
from probewright.render.page.words import element, escaped, paragraph

#: Jobs of a kind that are shown at once.
_OPEN = 5
_CALL = (
    "A hazard shows in these answers that did not show before. Call the customer before anything else, and follow the "
    "cautions of the new answer and the local codes; where the answer says stop, the appliance stays shut off until a "
    "qualified person has seen it."
)
#: Kinds of change, what they are called, what to do about them, and how they are marked.
_KINDS = (
    ("hazard_shows", "A hazard now shows", _CALL, "danger"),
    ("swapped_part_good", "A part that was replaced now looks good",
     "The old part was probably not at fault: the complaint may come back, and the customer may have paid for nothing.",
     "look"),
    ("next_step", "Another next step",
     "What was advised then is not what would be advised now. Jobs that are still open need the new step.", "look"),
    ("leading_fault", "Another leading fault",
     "Another fault is held likeliest now, which may mean another part to bring.", ""),
    ("hazard_gone", "A hazard shows no longer",
     "It showed before and does not now. Nobody should use the appliance on this list's word alone: look at the "
     "readings first, and clear a hazard only as the local codes ask.", "look"),
    ("not_computed", "Could not be compared", "What of the earlier answers could not be read or matched.", ""),
    ("noted", "With a note", "Something that was asked could not be done for these jobs, such as a correction of "
     "readings without a day.", ""),
)  # fmt: skip


def attention(told: Counted, about: About) -> str:
    """The section of jobs to look at."""
    parts, sections, seen = [element("h2", "Jobs to look at first")], [], set[tuple[int, str]]()
    for kind, title, said, mark in _KINDS:
        total = told.totals.get(kind, 0)
        if total:
            # Notes are told of jobs that stand elsewhere, too: there they are not.
            found = told.strongest(kind) if kind == "noted" else _unseen(told.strongest(kind), seen)
            sections.append(_section((f"{title} ({number(total)})", said, mark), found, (kind, about)))
    if sections:
        parts.append(paragraph("Of each kind those that changed most, and no job twice; the results hold all."))
    else:
        parts.append(paragraph("None: no hazard, no replaced part and no next step is judged otherwise than before."))
    return "".join([*parts, *sections])


def _unseen(entries: Sequence[Document], seen: set[tuple[int, str]]) -> list[Document]:
    """Jobs that were not told before, where they were graver; those without line and reference are all told."""
    found = []
    for entry in entries:
        name = (entry["line"], entry["reference"] or "")
        if name not in seen or name == (0, ""):
            seen.add(name)
            found.append(entry)
    return found


def _section(heading: tuple[str, str, str], found: Sequence[Document], of: tuple[str, About]) -> str:
    title, said, mark = heading
    kind, about = of
    items = [_item(entry, kind, about, mark) for entry in found]
    parts = [element("h3", escaped(title)), paragraph(said)]
    if not items:
        parts.append(paragraph("The strongest of them stand above already.", "soft"))
        return "".join(parts)
    parts.append(element("ul", "".join(items[:_OPEN]), "jobs"))
    if items[_OPEN:]:
        inner = element("ul", "".join(items[_OPEN:]), "jobs")
        parts.append(f"<details><summary>{len(items) - _OPEN} more</summary>{inner}</details>")
    return "".join(parts)


def _item(entry: Document, kind: str, about: About, mark: str) -> str:
    line = f"line {number(entry['line'])}" if entry["line"] else ""
    name = entry["reference"] if entry["reference"] is not None else line or "a job without a reference"
    where = ", ".join(one for one in (about.family(entry["family"]), line if line != name else "") if one)
    said = entry["note"] if kind == "noted" else entry["why"]
    details = [_changed(entry, kind, about), _held(entry, about)]
    return element(
        "li",
        f'<strong>{escaped(name)}</strong> <span class="soft">{escaped(where)}</span><br>{escaped(said)}'
        + "".join(element("div", escaped(told), "soft") for told in details if told),
        mark,
    )


def _changed(entry: Document, kind: str, about: About) -> str:
    family = entry["family"]
    if kind == "next_step":
        return f"Advised then: {about.step(family, entry['before'])}. Now: {about.step(family, entry['after'])}."
    # Of these the reason says no more when something graver changed.
    names = {"hazard_shows": "Hazard", "hazard_gone": "Hazard", "swapped_part_good": "Part"}
    title = about.title(family, entry["of"]) if entry["of"] else ""
    told = kind in names and title and title not in entry["why"]
    return f"{names[kind]}: {title}." if told else ""


def _held(entry: Document, about: About) -> str:
    """What leads, before and now."""
    now, chance_now = entry["held_after"]
    told = f"{about.title(entry['family'], now)} {percent(chance_now)}"
    if entry["held_before"] is None:
        return f"Held likeliest: {told}."
    before, chance = entry["held_before"]
    if before == now:
        return f"Held likeliest then and now: {about.title(entry['family'], now)}, {_moved(chance, chance_now)}."
    return f"Held likeliest then: {about.title(entry['family'], before)} {percent(chance)}. Now: {told}."


def _moved(before: float, after: float) -> str:
    then, now = percent(before), percent(after)
    return now if then == now else f"{then} → {now}"
