"""The flow from the fault that led before to the one that leads now, a figure for each family."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from probewright.batch.report.about import About
from probewright.batch.report.counted import Counted
from probewright.batch.report.flow_layout import OTHERS, Band, Layout, Node, Pair, layout
from probewright.batch.report.svg import band, drawing, label, names, rect
from probewright.batch.report.words import jobs, number, part, short, signed
from probewright.render.page.words import element, escaped, figure, paragraph

#: Families that have a figure of their own.
_MOST_FAMILIES = 12
_WIDTH, _TOP, _NAMES, _NODE, _SPACE = 920.0, 26.0, 276.0, 12.0, 8.0
_COLOURS, _LEAST_BAND, _TOLD = 6, 0.8, 13.0


def flows(told: Counted, about: About) -> str:
    """The section of flows."""
    by_family = told.flows()
    moved = {family: _moved(counts) for family, counts in by_family.items()}
    ranked = sorted((family for family in moved if moved[family]), key=lambda family: (-moved[family], family))
    parts = [element("h2", "From the old leading fault to the new one")]
    if not by_family:
        return "".join([*parts, paragraph("No stored job had an earlier answer to compare with.")])
    if not ranked:
        return "".join([*parts, paragraph("In every job the fault that led before still leads.")])
    parts += [_family(family, by_family[family], about) for family in ranked[:_MOST_FAMILIES]]
    parts += _rest(ranked[_MOST_FAMILIES:], [f for f in sorted(by_family) if not moved[f]], about)
    if told.flows_left_out():
        parts.append(paragraph(f"{jobs(told.flows_left_out())} with rare faults are counted, but not drawn.", "soft"))
    return "".join(parts)


def _moved(counts: Mapping[Pair, int]) -> int:
    return sum(n for (before, after), n in counts.items() if before != after)


def _rest(undrawn: Sequence[str], still: Sequence[str], about: About) -> list[str]:
    parts = []
    if undrawn:
        parts.append(paragraph(f"Not drawn, with fewer such jobs: {_names(undrawn, about)}.", "soft"))
    if still:
        parts.append(paragraph(f"In every job the same fault still leads: {_names(still, about)}.", "soft"))
    return parts


def _names(families: Sequence[str], about: About) -> str:
    more = len(families) - 20
    return ", ".join(about.family(family) for family in families[:20]) + (f" and {more} more" if more > 0 else "")


def _family(family: str, counts: Mapping[Pair, int], about: About) -> str:
    moved, total, found = _moved(counts), sum(counts.values()), layout(counts)
    title = f"{about.family(family)}: another fault leads in {jobs(moved)} of {number(total)} ({part(moved, total)})"
    drawn = _drawn(found, about, family)
    told = f"{title}. {_largest(counts, about, family)}"
    return element("h3", escaped(title)) + figure(
        drawing(drawn, (_WIDTH, found.height + _TOP + 4), told), _caption(found, counts, about, family)
    )


def _largest(counts: Mapping[Pair, int], about: About, family: str) -> str:
    pairs = sorted((pair for pair in counts if pair[0] != pair[1]), key=lambda pair: (-counts[pair], pair))
    titles = [tuple(short(_title(fault, about, family)) for fault in pair) for pair in pairs[:3]]
    told = "; ".join(f"from {a} to {b}, {counts[pair]:,}" for pair, (a, b) in zip(pairs, titles, strict=False))
    return f"Most often: {told}."


def _caption(found: Layout, counts: Mapping[Pair, int], about: About, family: str) -> str:
    said = [
        "Coloured bands are jobs that went from the fault on the left, held likeliest before, to that on the right: "
        "the broader, the more jobs. Grey is what stayed.",
    ]
    if found.thinner > 1:
        said.append(f"Grey is drawn {found.thinner:,} times thinner, or the rest could not be seen.")
    if found.bundled:
        said.append(f"{found.bundled} faults with fewer such jobs are put together.")
    said.append(_largest(counts, about, family))
    return " ".join(said)


def _title(fault: str, about: About, family: str) -> str:
    return "Other faults together" if fault == OTHERS else about.title(family, fault)


def _drawn(found: Layout, about: About, family: str) -> str:
    left, right = _NAMES, _WIDTH - _NAMES - _NODE
    colours = _band_colours(found)
    parts = [
        label((left - _SPACE, 12.0), "Held likeliest before", "head end"),
        label((right + _NODE + _SPACE, 12.0), "Held likeliest now", "head"),
        *(_band(one, colours, about, family) for one in found.bands),
    ]
    before = {node.fault: node.jobs for node in found.left}
    for node in found.left:
        parts += _node(node, left, _title(node.fault, about, family), number(node.jobs), "end")
    for node in found.right:
        change = node.jobs - before.get(node.fault, 0)
        count = number(node.jobs) + (f" ({signed(f'{change:+,}')})" if change else "")
        parts += _node(node, right, _title(node.fault, about, family), count, "")
    return "".join(parts)


def _band_colours(found: Layout) -> dict[str, str]:
    """A colour for each fault that jobs leave, by where it stands."""
    leaving = {one.flow.before for one in found.bands if one.flow.moves}
    ranked = [node.fault for node in found.left if node.fault in leaving]
    return {fault: f"band-{index % _COLOURS}" for index, fault in enumerate(ranked)}


def _band(one: Band, colours: Mapping[str, str], about: About, family: str) -> str:
    flow, left, right = one.flow, _NAMES + _NODE, _WIDTH - _NAMES - _NODE
    kind = colours[flow.before] if flow.moves else "still"
    before, after = (_title(fault, about, family) for fault in (flow.before, flow.after))
    tip = f"{before} → {after}: {jobs(flow.jobs)}" if flow.moves else f"{before}, as before: {jobs(flow.jobs)}"
    ends = ((left, one.left + _TOP), (right, one.right + _TOP))
    drawn = band(*ends, max(one.height, _LEAST_BAND), kind, tip)
    if flow.moves and one.height >= _TOLD:
        drawn += label((left + 6, one.left + _TOP + one.height / 2 + 4), number(flow.jobs))
    return drawn


def _node(node: Node, x: float, title: str, count: str, end: str) -> list[str]:
    place = x - _SPACE if end else x + _NODE + _SPACE
    height = max(node.height, _LEAST_BAND)
    # A name stands beside the middle of its fault, and under its upper edge where that is lower.
    middle = node.top + _TOP + max(node.height / 2, 6.0)
    return [
        rect((x, node.top + _TOP, _NODE, height), "node", f"{title}: {count}"),
        names((place, middle), title, end, (_NAMES - _SPACE, node.height), count),
    ]
