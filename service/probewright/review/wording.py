"""Words that people read: duplicates that hide, titles, ids that are one slip apart."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from typing import Any

from probewright.circuit.parts import When
from probewright.packs.model import Family
from probewright.review.catalogue import remark
from probewright.review.records import KINDS, all_records, listed, of_kind, values_of
from probewright.review.remark import Remark

#: Two words of this likeness differ by a slip, or by their ending.
_SLIP = 0.8
#: Shorter words are not compared: any two of them are alike.
_SHORTEST_WORD = 4
#: Shorter texts are not compared.
_FEWEST_WORDS = 4
#: Words that may come and go without a change of meaning.
_SMALL = frozenset({"a", "an", "the", "its", "it", "is", "are", "of", "and", "then", "that", "so"})
#: Endings of ids that differ on purpose.
_PLURAL = "s"


def wording(family: Family) -> Iterator[Remark]:
    """Everything that this module looks for."""
    yield from _blank(family)
    for field in ("faults", "tests", "repairs", "complaints", "functions", "parts", "states", "zones", "interlocks"):
        yield from _same_titles(family, field)
    yield from _same_questions(family)
    yield from _nearly_same(family)
    for field in KINDS:
        yield from _nearly_same_ids(family, field)
    yield from _style(family)


def texts(family: Family) -> Iterator[tuple[str, str, str]]:
    """Every text that people read: name of its record, field, and itself."""
    for _, name, record in all_records(family):
        for field in ("title", "text", "why"):
            if isinstance(getattr(record, field, None), str):
                yield name, field, getattr(record, field)
        for field in ("steps", "cautions"):
            for text in getattr(record, field, ()):
                yield name, field, text
        for answer in getattr(record, "answers", ()):
            yield f"{name}: answer {answer.id}", "text", answer.text
        for value in getattr(record, "values", ()) if name.startswith("option ") else ():
            yield f"{name}: value {value.id}", "title", value.title
    for text in family.cautions:
        yield "family", "cautions", text


def _blank(family: Family) -> Iterator[Remark]:
    for name, field, text in texts(family):
        if not text.strip():
            yield remark("blank_text", name, f"{field} holds a blank text")


def _words(text: str) -> list[str]:
    return re.findall(r"[^\W_]+", text.casefold())


def _same_titles(family: Family, field: str) -> Iterator[Remark]:
    found: dict[str, list[tuple[str, Any]]] = {}
    for name, record in of_kind(family, field):
        found.setdefault(" ".join(_words(record.title)), []).append((name, record))
    for title, records in found.items():
        for i, (name, record) in enumerate(records if title else ()):
            when = getattr(record, "when", {})
            first = next((o.id for _, o in records[:i] if _together(getattr(o, "when", {}), when)), None)
            if first is not None:
                yield remark("same_title", name, f"{record.title!r} is also the title of {first}")


def _together(first: When, second: When) -> bool:
    """Whether a build may satisfy both conditions."""
    return all(set(values_of(first[o])) & set(values_of(second[o])) for o in first if o in second)


def _same_questions(family: Family) -> Iterator[Remark]:
    asked: dict[str, str] = {}
    for name, question in of_kind(family, "questions"):
        words = " ".join(_words(question.text))
        if words in asked:
            yield remark("same_question", name, f"asks the same as question {asked[words]}")
        asked.setdefault(words, question.id)


def _nearly_same(family: Family) -> Iterator[Remark]:
    """Texts that are the same but for signs, small words, or one word that is all but the same.

    Texts are looked up by what is left of them when one word is taken out, so that the work grows with their number.
    """
    first: dict[str, str] = {}
    for name, field, text in texts(family):
        first.setdefault(text, f"{name} ({field})")
    by_rest: dict[tuple[str, ...], list[str]] = {}
    words = {text: [word for word in _words(text) if word not in _SMALL] for text in first}
    told: set[frozenset[str]] = set()
    for text, of in words.items():
        if len(_words(text)) < _FEWEST_WORDS:
            continue
        rests = dict.fromkeys([tuple(of), *((*of[:i], *of[i + 1 :]) for i in range(len(of)))])
        for other in dict.fromkeys(other for rest in rests for other in by_rest.get(rest, ())):
            if frozenset((text, other)) not in told and _slip(of, words[other]):
                told.add(frozenset((text, other)))
                record = first[text].rpartition(" (")[0]
                said = f"{_cut(text)!r} is nearly {_cut(other)!r} of {first[other]}"
                yield remark("nearly_same_wording", record, said)
        for rest in rests:
            by_rest.setdefault(rest, []).append(text)


def _slip(one: Sequence[str], other: Sequence[str]) -> bool:
    """Whether two texts differ by nothing but one word that is all but the same."""
    if list(one) == list(other):
        return True
    if len(one) != len(other):
        return False
    differing = [(a, b) for a, b in zip(one, other, strict=True) if a != b]
    return len(differing) == 1 and _alike(*differing[0])


def _alike(one: str, other: str) -> bool:
    """Whether one word is another with a slip in it; numbers never are."""
    if min(len(one), len(other)) < _SHORTEST_WORD or any(c.isdigit() for c in one + other):
        return False
    return SequenceMatcher(None, one, other, autojunk=False).ratio() >= _SLIP


def _cut(text: str, most: int = 60) -> str:
    return text if len(text) <= most else f"{text[: most - 3]}..."


def _nearly_same_ids(family: Family, field: str) -> Iterator[Remark]:
    """Ids of one kind that differ by one letter of a longer word."""
    by_rest: dict[str, list[str]] = {}
    for name, record in of_kind(family, field):
        rests = dict.fromkeys([record.id, *(record.id[:i] + record.id[i + 1 :] for i in range(len(record.id)))])
        for other in dict.fromkeys(other for rest in rests for other in by_rest.get(rest, ())):
            if _typo(record.id, other):
                yield remark("nearly_same_id", name, f"its id differs from {other} by one letter")
        for rest in rests:
            by_rest.setdefault(rest, []).append(record.id)


def _typo(one: str, other: str) -> bool:
    """Whether two ids differ by one letter of a word that is no number, and no mere plural."""
    ours, theirs = one.split("_"), other.split("_")
    if len(ours) != len(theirs):
        return one.replace("_", "") == other.replace("_", "")
    differing = [(a, b) for a, b in zip(ours, theirs, strict=True) if a != b]
    if len(differing) != 1:
        return False
    a, b = differing[0]
    if a + _PLURAL == b or b + _PLURAL == a:
        return False
    return _alike(a, b)


def _style(family: Family) -> Iterator[Remark]:
    """Titles that are not written as most are."""
    titled = [(name, text.strip()) for name, field, text in texts(family) if field == "title" and text.strip()]
    small = [name for name, title in titled if title[0].islower()]
    ended = [name for name, title in titled if title.endswith(".")]
    for names, told in ((small, "begins with a small letter"), (ended, "ends in a full stop")):
        if names and 2 * len(names) < len(titled):
            yield remark("title_style", names[0], f"its title {told}" + _others(names[1:]))


def _others(names: Sequence[str]) -> str:
    return f", as do those of {listed(list(names), 4)}" if names else ""
