"""Words and numbers of the page, and letters that fit a figure."""

from __future__ import annotations

from unicodedata import east_asian_width

from probewright_schemas.batch_records import ChangeKind

#: What a case has, by kind of change, the gravest first.
KINDS: dict[ChangeKind, str] = {
    "hazard_shows": "a hazard now shows",
    "hazard_gone": "a hazard shows no longer",
    "swapped_part_good": "a replaced part now looks good",
    "next_step": "another next step",
    "leading_fault": "another leading fault",
    "verdict": "a reading judged otherwise",
    "not_computed": "could not be compared",
}
#: Letters of one width, as shares of the font's size: from memory of broad sans-serif fonts, rather more than less.
_WIDTHS = {**dict.fromkeys("ijlI.,:;'!| ", 0.34), **dict.fromkeys("tfr()[]-/", 0.42), **dict.fromkeys("mwMW@%&…—", 1.0)}
_CAPITAL, _OTHER, _FULL_WIDTH = 0.79, 0.64, 1.05


def number(count: int) -> str:
    """A count with its thousands apart."""
    return f"{count:,}"


def signed(told: str) -> str:
    """A number with its sign, and a minus as it is printed."""
    return told.replace("-", "−", 1) if told.startswith("-") else told


def percent(share: float) -> str:
    """A probability; what is not quite 0 or 100 % does not look as if it were."""
    if share in (0.0, 1.0):
        return f"{100 * share:.0f} %"
    if share < 0.001:
        return "<0.1 %"
    if share > 0.999:
        return ">99.9 %"
    return f"{100 * share:.1f} %" if share < 0.095 or share > 0.905 else f"{100 * share:.0f} %"


def part(count: int, of: int) -> str:
    """A count's share of all."""
    return percent(count / of) if of else "0 %"


def jobs(count: int) -> str:
    """A number of jobs."""
    return "1 job" if count == 1 else f"{number(count)} jobs"


def short(title: str, most: int = 80) -> str:
    """A title that is no longer than a sentence can bear."""
    return title if len(title) <= most else f"{title[: most - 1].rstrip()}…"


def width(text: str, size: float) -> float:
    """About how wide text is in a sans-serif font, rather too wide: no font is at hand where the page is written."""
    return sum(_width(letter) for letter in text) * size


def _width(letter: str) -> float:
    if letter in _WIDTHS:
        return _WIDTHS[letter]
    if east_asian_width(letter) in "WF":
        return _FULL_WIDTH
    return _CAPITAL if letter.isupper() else _OTHER


def folded(text: str, room: float, size: float) -> list[str]:
    """Text in at most two lines, the second one cut where it is wider than the room."""
    first, *words = text.split(" ")
    while words and width(f"{first} {words[0]}", size) <= room:
        first = f"{first} {words.pop(0)}"
    return [fitting(first, room, size), *([fitting(" ".join(words), room, size)] if words else [])]


def fitting(text: str, room: float, size: float) -> str:
    """Text, cut where it is wider than the room."""
    if width(text, size) <= room:
        return text
    left = text
    while left and width(left, size) > room - size:
        left = left[:-1]
    return left.rstrip() + "…"
