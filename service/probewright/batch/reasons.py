"""What changed and why, in one sentence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from probewright_schemas.batch_records import Change, CorrectedReading, Held
from probewright_schemas.records import PackIdentity

SAME = "The very same computation: nothing that the answer depends on is different."


@dataclass(frozen=True, slots=True)
class Cause:
    """Why a case was asked again: readings that were corrected, tests whose limits were replaced, another pack."""

    corrected: Sequence[CorrectedReading]
    limited: Sequence[str]
    before: PackIdentity | None
    now: PackIdentity


def why_new(after: Held, titles: Mapping[str, str]) -> str:
    """Of a case that was never answered."""
    return f"There was no earlier answer; now {_named(after.fault, titles)} leads with {_percent(after.probability)}."


def why_unchanged(cause: Cause, shift: float, titles: Mapping[str, str]) -> str:
    """Of a case that was asked again to no avail."""
    told = "and no probability" if shift < 0.0005 else f"and probabilities by {_percent(shift)} at most"
    return f"{_because(cause, (), titles)}; no verdict, leading fault or step changes, {told}."


def why_changed(cause: Cause, changes: Sequence[Change], titles: Mapping[str, str]) -> str:
    """Of a case with changes, the gravest first."""
    because, gravest = _because(cause, changes, titles), changes[0]
    verdict = next((change for change in changes if change.kind == "verdict"), None)
    if verdict is not None:
        because += f": {_effect(verdict, titles)}"
    if gravest is verdict:
        return f"{because}."
    return f"{because}, {'' if verdict is None else 'so '}{_effect(gravest, titles)}."


def _because(cause: Cause, changes: Sequence[Change], titles: Mapping[str, str]) -> str:
    """What is different, told by the reading that matters most."""
    if cause.corrected:
        return _corrected(cause.corrected, changes, titles)
    if cause.limited:
        return f"With the new limits of {_named(cause.limited[0], titles)}"
    before, now = cause.before, cause.now
    if before is not None and before.digest != now.digest:
        return f"With pack {_pack(now)} in place of {_pack(before)}"
    return "With the service or its settings as they are now"


def _corrected(
    corrected: Sequence[CorrectedReading], changes: Sequence[Change], titles: Mapping[str, str],
) -> str:  # fmt: skip
    changed = {change.reading for change in changes if change.kind == "verdict"}
    first = max(corrected, key=lambda one: (one.reading in changed, abs(one.value - one.as_read) / _size(one)))
    more = f" and {len(corrected) - 1} more" if len(corrected) > 1 else ""
    values = f"{first.value:.4g} {first.unit} in place of {first.as_read:.4g} {first.unit}"
    return f"With {first.meter} corrected, {_named(first.test, titles)} reads {values}{more}"


def _size(one: CorrectedReading) -> float:
    return max(abs(one.as_read), abs(one.value), 1e-12)


def _effect(change: Change, titles: Mapping[str, str]) -> str:
    about, before, after = (_named(name or "", titles) for name in (change.of, change.before, change.after))
    now, was = _percent(change.probability_after), _percent(change.probability_before)
    told = {
        "hazard_shows": f"a hazard shows that did not show before: {about}",
        "hazard_gone": f"a hazard shows no longer: {about}",
        "swapped_part_good": f"the replaced part looks good ({about}: bad with {now} now, with {was} before)",
        "leading_fault": f"{after} leads with {now} in place of {before} with {was}",
        "next_step": f"the next step is {_step(change.after, titles)} in place of {_step(change.before, titles)}",
        "verdict": f"{about} is {change.after} in place of {change.before}",
        "not_computed": "the earlier answer is about other readings than the case has",
    }
    return told[change.kind]


def _pack(pack: PackIdentity) -> str:
    """Version and the beginning of the digest: a number may change without a version."""
    return f"{pack.version} ({pack.digest.partition(':')[2][:8]})"


def _named(name: str, titles: Mapping[str, str]) -> str:
    return titles.get(name, name).rstrip(".")


def _step(step: str | None, titles: Mapping[str, str]) -> str:
    kind, _, name = (step or "").partition(":")
    return f"{kind} ({_named(name, titles)})" if name else kind


def _percent(probability: float | None) -> str:
    if probability is None:
        return "an unknown probability"
    share = 100 * probability
    return f"{share:.0f} %" if 1 <= share <= 99 else f"{share:.2g} %"
