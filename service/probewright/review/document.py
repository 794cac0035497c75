"""A review as one JSON document.

``name``
    What was asked for.
``pack``
    ``family``, ``title``, ``version``, ``digest``, ``entry_point``, ``distribution`` and ``package_version`` of a pack
    that loads, the last two empty for one that is not installed; None for one that was refused.
``verdict``
    ``clean``, ``warnings`` or ``errors``; notes and accepted findings leave a pack clean.
``counts``
    How many of each: ``error``, ``warning``, ``note``, ``accepted``.
``findings``
    Objects with ``severity``, ``rule``, ``record``, ``message`` and ``hint``, the worst first.
``accepted``
    The same, with the author's ``reason``.
``rules``
    For each rule that was found: what it ``finds`` and ``why`` that matters.
``figures``
    ``count``, ``by_basis`` and ``by_kind`` (of record): how many figures rest on what.  None for a refused pack.
``quality``
    What simulated jobs came to (:mod:`probewright.review.quality`); None where none were played.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from probewright.packs.registry import LoadedPack
from probewright.review.bases import by_basis
from probewright.review.catalogue import RULES
from probewright.review.findings import Review
from probewright.review.remark import SEVERITIES

Document = dict[str, Any]


def review_document(name: str, pack: LoadedPack | None, review: Review, quality: Document | None = None) -> Document:
    """All that came out, for JSON; the module describes the keys."""
    found = [*review.remarks, *(remark for remark, _ in review.accepted)]
    counts = {severity: sum(r.severity == severity for r in review.remarks) for severity in SEVERITIES}
    return {
        "name": name,
        "pack": None if pack is None else _pack(pack),
        "verdict": review.verdict,
        "counts": {**counts, "accepted": len(review.accepted)},
        "findings": [asdict(remark) for remark in review.remarks],
        "accepted": [{**asdict(remark), "reason": accepted.reason} for remark, accepted in review.accepted],
        "rules": {rule: {"finds": RULES[rule].finds, "why": RULES[rule].why} for rule in dict.fromkeys(
            remark.rule for remark in found)},
        "figures": None if pack is None else by_basis(pack.family),
        "quality": quality,
    }  # fmt: skip


def _pack(pack: LoadedPack) -> Document:
    installed = not pack.distribution.startswith("(")
    return {
        "family": pack.family.id, "title": pack.family.title, "version": pack.family.version, "digest": pack.digest,
        "entry_point": pack.entry_point, "distribution": pack.distribution if installed else "",
        "package_version": pack.version if installed else "",
    }  # fmt: skip


def origin(pack: Mapping[str, Any]) -> str:
    """Where a pack comes from, in words."""
    return f"{pack['distribution']} {pack['package_version']}" if pack["distribution"] else "no distribution"


def sentence(message: str) -> str:
    """A finding's message with the mark that ends it."""
    return message if message.endswith("?") else f"{message}."
