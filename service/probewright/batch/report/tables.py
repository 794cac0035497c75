"""What changed by family, by fault and by meter."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from probewright.batch.report.about import About
from probewright.batch.report.counted import Counted, Numbers
from probewright.batch.report.words import KINDS, number
from probewright.render.page.words import element, escaped, paragraph

#: Rows that are shown at once, and at all.
_OPEN, _MOST = 20, 200
Row = Sequence[str]


@dataclass(frozen=True, slots=True)
class Head:
    """Titles of columns; an empty one is that of bars."""

    titles: tuple[str, ...]


def long_table(head: Head, rows: Sequence[Row], caption: str, most: int = _OPEN) -> str:
    """A table whose later rows are folded away, and whose last ones are left out; cells are HTML."""
    # Not a caption of the table: on a narrow screen that would be cut where the table is.
    told = paragraph(caption, "soft told") + _table(head, rows[:most])
    folded = rows[most:_MOST]
    if folded:
        told += f"<details><summary>{len(folded)} more</summary>{_table(head, folded)}</details>"
    if len(rows) > _MOST:
        told += paragraph(f"{number(len(rows) - _MOST)} more with less are not shown.", "soft")
    return told


def _table(head: Head, rows: Iterable[Row]) -> str:
    top = "".join(f'<th scope="col">{escaped(title)}</th>' if title else "<td></td>" for title in head.titles)
    body = "".join(_row(head, row) for row in rows)
    return f'<div class="scroll"><table><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>'


def _row(head: Head, row: Row) -> str:
    cells = "".join(
        f"<td>{cell}</td>" if title else f'<td class="bar">{cell}</td>'
        for title, cell in zip(head.titles[1:], row[1:], strict=True)
    )
    return f'<tr><th scope="row">{row[0]}</th>{cells}</tr>'


def by_family(told: Counted, about: About) -> str:
    """The table of families."""
    found = told.families()
    if not found:
        return ""
    kinds = [kind for kind in KINDS if told.totals.get(kind)]
    ranked = sorted(found, key=lambda family: (-found[family].get("changed", 0), family))
    rows = [
        (escaped(about.family(family)), number(_answered(found[family])), number(found[family].get("changed", 0)),
         *_numbers(found[family], kinds)) for family in ranked
    ]  # fmt: skip
    head = Head(("family", "jobs", "changed", *(KINDS[kind] for kind in kinds)))
    caption = "Jobs of each family, and what changed in how many of them; a job may have several changes."
    return element("h2", "By family") + long_table(head, rows, caption)


def _answered(numbers: Numbers) -> int:
    return sum(numbers.get(status, 0) for status in ("same", "unchanged", "changed", "new"))


def _numbers(numbers: Numbers, sorts: Iterable[str]) -> list[str]:
    return [number(numbers.get(sort, 0)) for sort in sorts]


def by_fault(told: Counted, about: About) -> str:
    """The table of faults that jobs left or came to."""
    left, came, before = Counter[tuple[str, str]](), Counter[tuple[str, str]](), Counter[tuple[str, str]]()
    for family, counts in told.flows().items():
        for (old, new), jobs in counts.items():
            before[family, old] += jobs
            if old != new:
                left[family, old] += jobs
                came[family, new] += jobs
    if not left:
        return ""
    ranked = sorted(set(left) | set(came), key=lambda key: (-left[key] - came[key], key))
    rows = [
        (f'{escaped(about.title(*key))} <span class="soft">{escaped(about.family(key[0]))}</span>',
         number(before[key]), f"−{number(left[key])}" if left[key] else "0",
         f"+{number(came[key])}" if came[key] else "0",
         number(before[key] - left[key] + came[key])) for key in ranked
    ]  # fmt: skip
    caption = (
        "How many jobs each fault led before, how many of them another one leads now, how many it took over, and how "
        "many it leads now. Parts to stock follow from this. Faults that lost and won none are left out."
    )
    return element("h2", "By fault") + long_table(Head(("fault", "led", "lost", "won", "leads now")), rows, caption)


def by_meter(told: Counted) -> str:
    """The table of meters whose readings were corrected."""
    found, others = told.meters()
    if not found:
        return ""
    kinds = [kind for kind in KINDS if any(kind in numbers for numbers in (*found.values(), others))]
    ranked = sorted(found, key=lambda meter: (-found[meter].get("changed", 0), -found[meter]["readings"], meter))
    rows = [_meter_row(escaped(meter), found[meter], kinds) for meter in ranked]
    caption = (
        "Readings that a correction changed, the jobs that they are in, and what changed in these jobs, by that meter "
        "or by anything else. A job with readings of two meters counts for both."
    )
    head = Head(("meter", "corrected readings", "jobs", "changed", *(KINDS[kind] for kind in kinds)))
    rest = [f"Further meters together: {others['readings']:,} corrected readings."] if others else []
    return "".join([
        element("h2", "By meter"), long_table(head, rows, caption), *(paragraph(one, "soft") for one in rest)
    ])  # fmt: skip


def _meter_row(name: str, numbers: Mapping[str, int], kinds: Sequence[str]) -> Row:
    return (name, *_numbers(numbers, ("readings", "cases", "changed", *kinds)))
