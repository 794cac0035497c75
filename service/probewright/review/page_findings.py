"""The findings of a review on its page."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any

from probewright.render.page.words import element, escaped, paragraph
from probewright.review.document import sentence

Document = Mapping[str, Any]

_TITLES = {"error": "Errors", "warning": "Warnings", "note": "Notes"}
#: More findings of a rule than this are folded away.
_OPEN = 12


def findings(told: Document) -> str:
    """Errors, warnings, what the author accepted, and notes; each rule with its reason."""
    parts = [element("h2", "Findings")]
    if not told["findings"] and not told["accepted"]:
        return "".join([*parts, paragraph("Nothing to say against it.")])
    for severity in ("error", "warning"):
        parts += _section(_TITLES[severity], [f for f in told["findings"] if f["severity"] == severity], told["rules"])
    parts += _section("Accepted by the author", told["accepted"], told["rules"])
    parts += _section(_TITLES["note"], [f for f in told["findings"] if f["severity"] == "note"], told["rules"])
    return "\n".join(parts)


def _section(title: str, found: Sequence[Document], rules: Mapping[str, Document]) -> list[str]:
    if not found:
        return []
    parts = [element("h3", f"{title} ({len(found)})")]
    for rule, of_rule in _by_rule(found):
        about = rules.get(rule)
        said = "" if about is None else f" {escaped(about['finds'])}: {escaped(about['why'])}."
        parts.append(element("p", f"<code>{escaped(rule)}</code>{said}", "soft"))
        items = element("ul", "".join(_item(finding) for finding in of_rule), "findings")
        parts.append(items if len(of_rule) <= _OPEN else _folded(items, len(of_rule)))
    return parts


def _by_rule(found: Sequence[Document]) -> Iterator[tuple[str, list[Document]]]:
    for rule, of_rule in groupby(found, key=lambda finding: str(finding["rule"])):
        yield rule, list(of_rule)


def _item(finding: Document) -> str:
    said = f"<strong>{escaped(finding['record'])}</strong>: {escaped(sentence(finding['message']))}"
    hint = element("div", escaped(finding["hint"]), "soft") if finding["hint"] else ""
    reason = element("div", f"Accepted: {escaped(finding['reason'])}") if "reason" in finding else ""
    return element("li", said + hint + reason, escaped(finding["severity"]))


def _folded(items: str, count: int) -> str:
    return f"<details><summary>{count} findings</summary>{items}</details>"
