"""A pack's review: every subject in turn, and what the author accepts of what was found."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from probewright.packs.model import Accepted, Family
from probewright.packs.registry import LoadedPack, Refusal
from probewright.review.apart import not_told_apart
from probewright.review.bases import bases
from probewright.review.catalogue import RULES, remark
from probewright.review.chances import chances
from probewright.review.compiling import compiling
from probewright.review.deciding import deciding
from probewright.review.hooks import hooks
from probewright.review.remark import Remark, in_order
from probewright.review.revealing import revealed
from probewright.review.safety import safety
from probewright.review.subject import Subject
from probewright.review.units import units
from probewright.review.unused import unused
from probewright.review.wiring import wiring
from probewright.review.wording import wording
from probewright.settings import Settings
from probewright_schemas.suggest import did_you_mean

Verdict = Literal["clean", "warnings", "errors"]

#: What needs the records alone, and what needs the compiled model.
_OF_RECORDS: Sequence[Callable[[Family], Iterator[Remark]]] = (bases, safety, wording, unused)
_OF_MODEL: Sequence[Callable[[Subject], Iterator[Remark]]] = (
    wiring, units, chances, revealed, not_told_apart, deciding,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Review:
    """What was found: the findings that stand, the worst first, and those that the author accepts."""

    remarks: tuple[Remark, ...]
    accepted: tuple[tuple[Remark, Accepted], ...] = ()

    @property
    def verdict(self) -> Verdict:
        """The worst that stands; notes leave a pack clean."""
        found = {remark.severity for remark in self.remarks}
        return "errors" if "error" in found else "warnings" if "warning" in found else "clean"

    def with_error(self, rule: str, record: str, message: str) -> Review:
        """The same with one error more, found by whoever used the pack."""
        return Review(in_order([remark(rule, record, message), *self.remarks]), self.accepted)


def review_family(family: Family) -> Review:
    """Review a family that holds together, as :func:`probewright.packs.check.check_family` has it.

    Nothing that its laws do makes the review itself fail.
    """
    return _weighed(family, _found(Subject(family), None, Settings()))


def review_pack(pack: LoadedPack, settings: Settings) -> Review:
    """Review a pack that loads: its family, and its hooks on one reading of each test."""
    found = _found(Subject(pack.family), pack, settings)
    return _weighed(pack.family, found, under_layers=bool(pack.layers))


def review_refusal(refusal: Refusal) -> Review:
    """Review a pack that was refused: each broken rule is an error of its own."""
    if not refusal.broken:
        return Review((remark("cannot_be_loaded", f"pack {refusal.entry_point}", refusal.reason),))
    return Review(in_order(remark(broken.rule, broken.record, broken.message) for broken in refusal.broken))


def _found(subject: Subject, pack: LoadedPack | None, settings: Settings) -> tuple[Remark, ...]:
    """Everything that is found; what cannot be compiled is not asked what it predicts."""
    found = [of for look in _OF_RECORDS for of in look(subject.family)]
    with np.errstate(all="ignore"):
        broken = list(compiling(subject))
        found += broken
        if not broken:
            found += [of for look in _OF_MODEL for of in look(subject)]
            found += list(hooks(subject, pack, settings)) if pack is not None else []
    return in_order(found)


def _weighed(family: Family, found: Sequence[Remark], *, under_layers: bool = False) -> Review:
    """Take out what the author accepts; errors cannot be accepted.

    A shop's layers may make a finding vanish that the author accepted: that is not the author's to mend.
    """
    by_key = {(accepted.rule, accepted.record): accepted for accepted in family.accepted}
    taken = [(of, by_key[of.rule, of.record]) for of in found
             if of.severity != "error" and (of.rule, of.record) in by_key]  # fmt: skip
    matched = {(of.rule, of.record) for of, _ in taken}
    standing = [of for of in found if of.severity == "error" or (of.rule, of.record) not in matched]
    if any(of.severity == "error" for of in standing):  # then not all was looked at
        return Review(in_order(standing), tuple(taken))
    unmatched = [of for of in family.accepted if (of.rule, of.record) not in matched]
    if under_layers:
        unmatched = [of for of in unmatched if of.rule not in RULES or RULES[of.rule].severity == "error"]
    return Review(in_order([*standing, *_of_accepted(family.accepted, unmatched)]), tuple(taken))


def _of_accepted(given: Sequence[Accepted], unmatched: Sequence[Accepted]) -> Iterator[Remark]:
    for accepted in given:
        name = f"accepted {accepted.rule} of {accepted.record}"
        if accepted in unmatched:
            told = "the review finds nothing of that rule and record"
            if accepted.rule not in RULES:
                told = f"there is no rule {accepted.rule!r}{did_you_mean(accepted.rule, tuple(RULES))}"
            elif RULES[accepted.rule].severity == "error":
                told = "an error cannot be accepted"
            yield remark("accepted_matches_nothing", name, told)
        if not accepted.reason.strip():
            yield remark("accepted_without_reason", name, "it gives no reason")
