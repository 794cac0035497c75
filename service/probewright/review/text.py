"""A review for people, in at most 100 columns: errors first, then warnings, what was accepted, and notes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from probewright.render.text import clean, paragraph
from probewright.review.document import origin, sentence
from probewright.review.quality_text import quality_text

Document = Mapping[str, Any]

_TITLES = {"error": "Errors", "warning": "Warnings", "note": "Notes"}
_MARK, _UNDER = "    - ", "      "


def review_text(told: Document) -> str:
    """The review in lines."""
    lines = paragraph(_headline(told), "")
    lines += paragraph(_verdict(told["counts"]), "")
    for severity in ("error", "warning"):
        lines += _section(severity, told)
    if told["accepted"]:
        lines += ["", f"Accepted by the author ({len(told['accepted'])})"]
        for rule, found in _by_rule(told["accepted"]):
            lines += ["", *paragraph(f"{rule}: {told['rules'][rule]['finds']}", "  ")]
            for finding in found:
                lines += [*paragraph(_said(finding), _MARK), *paragraph(f"Accepted: {finding['reason']}", _UNDER)]
    lines += _section("note", told)
    if told["figures"] is not None:
        bases = (f"{count} {basis.replace('_', ' ')}" for basis, count in told["figures"]["by_basis"].items())
        lines += ["", *paragraph(f"{told['figures']['count']} figures: {', '.join(bases)}.", "")]
    text = clean(lines)
    return text if told["quality"] is None else f"{text}\n\n{quality_text(told['quality'])}"


def _headline(told: Document) -> str:
    pack = told["pack"]
    if pack is None:
        return f"Review of {told['name']}, which cannot be loaded"
    titled = f"{pack['title']} {pack['version']} ({pack['digest'][:19]})"
    return f"Review of {titled}, pack {pack['entry_point']} of {origin(pack)}"


def _verdict(counts: Mapping[str, int]) -> str:
    parts = [f"{count} {kind}{'s' * (count != 1)}" for kind, count in counts.items() if count and kind != "accepted"]
    accepted = counts["accepted"]
    parts += [f"{accepted} finding{'s' * (accepted != 1)} accepted"] if accepted else []
    return f"{', '.join(parts)}." if parts else "Nothing to say against it."


def _section(severity: str, told: Document) -> list[str]:
    found = [finding for finding in told["findings"] if finding["severity"] == severity]
    if not found:
        return []
    lines = ["", f"{_TITLES[severity]} ({len(found)})"]
    for rule, of_rule in _by_rule(found):
        lines += ["", *paragraph(f"{rule}: {told['rules'][rule]['finds']}", "  ")]
        hints = {finding["hint"] for finding in of_rule}
        for finding in of_rule:
            lines += paragraph(_said(finding), _MARK)
            lines += paragraph(finding["hint"], _UNDER) if len(hints) > 1 else []
        lines += paragraph(next(iter(hints)), "    ") if len(hints) == 1 else []
    return lines


def _by_rule(findings: Sequence[Document]) -> Iterator[tuple[str, list[Document]]]:
    for rule, found in groupby(findings, key=lambda finding: str(finding["rule"])):
        yield rule, list(found)


def _said(finding: Document) -> str:
    return f"{finding['record']}: {sentence(finding['message'])}"
