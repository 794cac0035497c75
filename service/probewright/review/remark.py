"""What a reviewer says: one finding, and how findings are ordered."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

Severity = Literal["error", "warning", "note"]

#: The worst first.
SEVERITIES: Final[tuple[Severity, ...]] = ("error", "warning", "note")


@dataclass(frozen=True, slots=True)
class Remark:
    """One finding on a pack.

    Attributes
    ----------
    severity : str
        ``error``: the pack cannot be used as it is; ``warning``: to be mended or explained; ``note``: to be known.
    rule : str
        Stable id of the rule in :data:`probewright.review.catalogue.RULES`.
    record : str
        Kind and id of the record, as ``"test bake_igniter_current"``.
    message : str
        What is the matter with it: a clause without a full stop, after the record.
    hint : str
        How it is mended: a sentence.
    """

    severity: Severity
    rule: str
    record: str
    message: str
    hint: str


def in_order(remarks: Iterable[Remark]) -> tuple[Remark, ...]:
    """Remarks by severity, then by rule, each rule's in the order in which they were found; each once."""
    place: dict[str, int] = {}
    once = tuple(dict.fromkeys(remarks))
    for remark in once:
        place.setdefault(remark.rule, len(place))
    return tuple(sorted(once, key=lambda r: (SEVERITIES.index(r.severity), place[r.rule])))
