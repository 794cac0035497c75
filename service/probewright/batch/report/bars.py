"""Tables with bars: how far probabilities moved, and which readings are judged otherwise."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise

from probewright.batch.report.about import About
from probewright.batch.report.counted import Counted
from probewright.batch.report.svg import bars
from probewright.batch.report.tables import Head, long_table
from probewright.batch.report.words import jobs, number, part
from probewright.render.page.words import element, escaped, paragraph

#: Ranges of shifts in hundredths, each up to the next one.
_RANGES = (0, 1, 2, 5, 10, 20, 30, 50, 70, 90, 100)
#: Tests that are shown at once.
_OPEN = 12
_BAD, _GOOD = frozenset(["within>outside"]), frozenset(["outside>within"])
_SHIFTS = (
    "Of each job the largest change of any fault's probability, in percentage points. Jobs at the top came out much as "
    "before; at the bottom, what was nearly sure before is all but ruled out now, or the other way round."
)
_VERDICTS = (
    "Readings that are judged otherwise than in the earlier answers. Those that were within their limits and are now "
    "outside were passed over then; those that are within now may have led to work that was not needed."
)


def shifts(told: Counted) -> str:
    """The section of how far probabilities moved."""
    found = told.shifts()
    same = sum(numbers.get("same", 0) for numbers in found.values())
    total = sum(sum(numbers.values()) for numbers in found.values()) - same
    parts = [element("h2", "How far the probabilities moved")]
    if not total:
        still = "They did not move: every job is the very same computation as before."
        return "".join([*parts, paragraph(still if same else "No stored job had an earlier answer to compare with.")])
    grouped = [_in_range(found, low, high) for low, high in pairwise(_RANGES)]
    most = max(sum(numbers.values()) for numbers in grouped)
    rows = [_shift_row(index, numbers, most, total) for index, numbers in enumerate(grouped)]
    key = f'<p class="soft">{_dot("mind")} jobs that changed {_dot("still")} jobs that did not</p>'
    head = Head(("largest change", "", "jobs", "share", "changed"))
    left_out = f" The very same computations ({number(same)}) are left out." if same else ""
    return "".join([*parts, long_table(head, rows, _SHIFTS + left_out, most=len(rows)), key])


def _dot(kind: str) -> str:
    return f'<span class="key {kind}"></span>'


def _in_range(found: Mapping[int, Mapping[str, int]], low: int, high: int) -> Counter[str]:
    told = Counter[str]()
    for step, numbers in found.items():
        if low <= step < high:
            told.update({status: count for status, count in numbers.items() if status != "same"})
    return told


def _shift_row(index: int, numbers: Counter[str], most: int, total: int) -> Sequence[str]:
    low, high = _RANGES[index], _RANGES[index + 1]
    count, changed = sum(numbers.values()), numbers["changed"]
    name = f"less than {high} point" if not low else f"{low} to {high} points"
    bar = bars([(changed / most, "bar-changed"), ((count - changed) / most, "bar-still")])
    return (escaped(name), bar, number(count), part(count, total), number(changed))


def verdicts(told: Counted, about: About) -> str:
    """The section of readings that are judged otherwise."""
    found = {key: _turned(numbers) for key, numbers in told.tests().items()}
    changed = {key: numbers for key, numbers in found.items() if sum(numbers)}
    parts = [element("h2", "Readings that are judged otherwise")]
    if not changed:
        return "".join([*parts, paragraph("No reading is judged otherwise than before.")])
    most = max(sum(numbers) for numbers in changed.values())
    ranked = sorted(changed, key=lambda key: (-sum(changed[key]), key))
    rows = [_verdict_row(key, changed[key], told.tests()[key], most, about) for key in ranked]
    key = (
        f'<p class="soft">{_dot("bad")} were within, now outside {_dot("good")} were outside, now within '
        f'{_dot("pale")} from or to inconclusive or rejected</p>'
    )
    head = Head(("test", "", "judged otherwise", "now outside", "now within", "other", "corrected readings"))
    return "".join([*parts, long_table(head, rows, _VERDICTS, most=_OPEN), key])


def _turned(numbers: Mapping[str, int]) -> tuple[int, int, int]:
    """Readings that are outside now, within now, and neither or were neither."""
    bad = sum(count for sort, count in numbers.items() if sort in _BAD)
    good = sum(count for sort, count in numbers.items() if sort in _GOOD)
    return bad, good, sum(count for sort, count in numbers.items() if ">" in sort) - bad - good


def _verdict_row(
    key: tuple[str, str], turned: tuple[int, int, int], numbers: Mapping[str, int], most: int, about: About
) -> Sequence[str]:
    family, test = key
    kinds = ("bar-bad", "bar-good", "bar-other")
    bar = bars([(count / most, kind) for count, kind in zip(turned, kinds, strict=True)])
    name = f'{escaped(about.title(family, test))} <span class="soft">{escaped(about.family(family))}</span>'
    counts = (sum(turned), *turned, numbers.get("corrected", 0))
    return (name, bar, *(number(count) for count in counts))


def problems(told: Counted) -> str:
    """What lines were refused for."""
    if not told.refused:
        return ""
    reasons = ", ".join(f"{code.replace('_', ' ')} {number(count)}" for code, count in told.problems().items())
    return paragraph(
        f"{jobs(told.refused)} could not be answered{f' ({reasons})' if reasons else ''}; the results name each line "
        "and what to mend in it.", "soft",
    )  # fmt: skip
