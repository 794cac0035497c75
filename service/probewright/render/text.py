"""Lines for people: what all answers are written with."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from textwrap import wrap
from typing import Any

Document = Mapping[str, Any]

WIDTH = 100


def headline(what: str, answer: Document) -> str:
    """What an answer is, for which job, and by which pack."""
    pack = answer["pack"]
    job = f" for {answer['reference']}" if "reference" in answer else ""
    return f"{what}{job}, by {plain(pack['family'])} {pack['version']} ({pack['digest'][:19]})"


def step_lines(step: Document) -> list[str]:
    """A step: what, where, why, how, what to mind, and what each outcome leads to."""
    kind = {"stop": "STOP: ", "refer": "REFER: ", "repair": "Repair: ", "test": "Test: ", "done": "Done: "}
    lines = paragraph(f"{kind[step['kind']]}{step['title']} [{step['id']}]", "  ")
    where = [f"{name} {plain(step[name])}" for name in ("state", "zone") if name in step]
    if "minutes" in step:
        where.append(minutes_of(step))
    if "expected_cost" in step:
        where.append(f"expected cost to a proven repair {cost_of(step)}")
    if "first_visit" in step:
        where.append(f"ends at this visit in {percent(step['first_visit']).strip()}")
    lines += paragraph(", ".join(where), "  ") if where else []
    lines += paragraph(step["why"], "  ")
    # Only what directly follows itself is left out: to unplug it again, later, may be what keeps somebody alive.
    for number, (text, _) in enumerate(groupby(step["steps"]), start=1):
        lines += paragraph(text, f"  {number:>2}. ")
    lines += [line for text in dict.fromkeys(step["cautions"]) for line in paragraph(text, "   ! ")]
    told = (f"{outcome['text']} ({percent(outcome['probability']).strip()})" for outcome in step.get("outcomes", ()))
    return lines + [line for text in told for line in paragraph(text, "   > ")]


def minutes_of(step: Document) -> str:
    """How long a step takes."""
    return f"about {max(1.0, step['minutes']):.0f} min"


def cost_of(step: Document) -> str:
    """What a step costs with all that follows."""
    return f"{step['expected_cost']:.0f}"


def section(title: str, texts: Sequence[str], mark: str = "-") -> list[str]:
    """A titled list; nothing where there is nothing in it."""
    return ["", title, *bullets(texts, mark)] if texts else []


def bullets(texts: Iterable[str], mark: str = "-") -> list[str]:
    """Texts as a list."""
    return [line for text in texts for line in paragraph(text, f"  {mark} ")]


def paragraph(text: str, lead: str) -> list[str]:
    """Wrapped lines, the first after ``lead``, the others under its end."""
    under = " " * len(lead)
    words = " ".join(text.split())
    return wrap(words, WIDTH, initial_indent=lead, subsequent_indent=under, break_on_hyphens=False) or [lead]


def percent(probability: float) -> str:
    """Seven characters that never round to certainty."""
    if probability < 0.001:
        return "<0.1 % "
    if probability > 0.999:
        return ">99.9 %"
    return f"{100 * probability:5.1f} %"


def plain(name: str) -> str:
    """An id as words; what kind it is of, if it says so, first."""
    return name.replace("_", " ").replace(":", " ")


def clean(lines: Iterable[str]) -> str:
    """Join lines; nothing that came in with a request reaches a terminal as a control character."""
    return "\n".join("".join(c if c.isprintable() else "?" for c in line) for line in lines)
