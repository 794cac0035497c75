"""What changed and why, in one sentence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from probewright.planning.model import in_sentence, in_words
from probewright_schemas.batch_records import Change, CorrectedReading, Held
from probewright_schemas.records import Effort, PackIdentity

SAME = "The very same computation: nothing that the answer depends on is different."
#: A change of probabilities that is told; what is less is the last digits of an answer that was stored.
_TOLD_SHIFT = 0.0005

Titles = Mapping[str, str]
"""Titles by ``kind:id``, as :func:`probewright.batch.comparing.titles` gives them."""


@dataclass(frozen=True, slots=True)
class Cause:
    """Why a case was asked again.

    Attributes
    ----------
    corrected : sequence of CorrectedReading
        Readings that were corrected.
    limited : sequence of str
        Tests whose limits were replaced.
    before : PackIdentity or None
        The model that gave the earlier answer.
    now : PackIdentity
    effort : pair of efforts, optional
        The case's own, and what it was asked with.
    nothing : bool
        Whether nothing is different, by the digest: it was worked out again all the same.
    """

    corrected: Sequence[CorrectedReading]
    limited: Sequence[str]
    before: PackIdentity | None
    now: PackIdentity
    effort: tuple[Effort, Effort] | None = None
    nothing: bool = False


def why_new(after: Held, hazards: Sequence[Change], titles: Titles) -> str:
    """Of a case that was never answered."""
    shown = "".join(f"{_effect(hazard, titles)}; " for hazard in hazards)
    leads = f"{_titled('fault', after.fault, titles)} leads with {_percent(after.probability)}"
    return f"There was no earlier answer: {shown}{leads}."


def why_unchanged(cause: Cause, shift: float | None, compared: Sequence[str], titles: Titles) -> str:
    """Of a case that was asked again to no avail; ``compared`` is what both answers tell."""
    if shift is None:
        told = f"{_and(compared)} stay as they were"
    elif shift < _TOLD_SHIFT:
        told = f"{_and([*compared, 'the probabilities'])} stay as they were"
    else:
        told = f"{_and(compared)} stay{'s' if compared == ('the leading fault',) else ''}, and probabilities move by "
        told += f"{100 * shift:.2g} percentage points at most"
    return _sentence(cause, None, [told], titles)


def why_changed(cause: Cause, changes: Sequence[Change], titles: Titles) -> str:
    """Of a case with changes, the gravest first."""
    effects = [] if changes[0].kind == "verdict" else [_effect(changes[0], titles)]
    return _sentence(cause, _telling(cause, changes), effects, titles)


def _telling(cause: Cause, changes: Sequence[Change]) -> Change | None:
    """The verdict that tells most: of a corrected reading, else of a test with other limits, else the first."""
    corrected = {one.reading for one in cause.corrected}

    def rank(verdict: Change) -> tuple[bool, bool]:
        return verdict.reading not in corrected, verdict.of not in cause.limited

    return min((change for change in changes if change.kind == "verdict"), key=rank, default=None)


def _sentence(cause: Cause, verdict: Change | None, effects: Sequence[str], titles: Titles) -> str:
    read, clauses = _most_telling(cause.corrected, verdict), []
    judged = "" if verdict is None else f"is now {verdict.after} (it was {verdict.before})"
    if read is not None:
        values = f"{read.value:.4g} {read.unit} in place of {read.as_read:.4g} {read.unit}"
        clauses.append(f"{_titled('test', read.test, titles)} reads {values}")
    if read is not None and verdict is not None and read.reading == verdict.reading:
        clauses[0] += f" and {judged}"
    elif verdict is not None:
        just_named = not clauses and list(cause.limited) == [verdict.of]
        clauses.append(f"{'it' if just_named else _titled('test', verdict.of, titles)} {judged}")
    return f"{_because(cause, titles)}: {'; '.join([*clauses, *effects])}."


def _because(cause: Cause, titles: Titles) -> str:
    """What is different."""
    causes = []
    if cause.before is not None and cause.before.digest != cause.now.digest:
        causes.append(f"pack {_pack(cause.now)} in place of {_pack(cause.before)}")
    if cause.effort is not None:
        causes.append("effort {1} in place of {0}".format(*cause.effort))
    if cause.corrected:
        count = f" ({len(cause.corrected)} readings)" if len(cause.corrected) > 1 else ""
        causes.append(f"{_and(sorted({one.meter for one in cause.corrected}))} corrected{count}")
    if cause.limited:
        causes.append(f"other limits of {_and([_titled('test', test, titles) for test in cause.limited])}")
    if cause.nothing:
        return "Worked out again, though nothing is different"
    return f"With {_and(causes) or 'the case, the service or its settings as they are now'}"


def _most_telling(corrected: Sequence[CorrectedReading], verdict: Change | None) -> CorrectedReading | None:
    """The corrected reading whose verdict is told, or else the one that was corrected most."""
    told = None if verdict is None else verdict.reading
    return max(corrected, key=lambda one: (one.reading == told, _relative(one)), default=None)


def _relative(one: CorrectedReading) -> float:
    return abs(one.value - one.as_read) / max(abs(one.as_read), abs(one.value), 1e-12)


def _effect(change: Change, titles: Titles) -> str:
    now, was = _percent(change.probability_after), _percent(change.probability_before)
    if change.kind in ("hazard_shows", "hazard_gone"):
        return _hazard(change, titles)
    if change.kind == "swapped_part_good":
        before = "" if change.probability_before is None else f" (before: {was})"
        part = _titled("part", change.of, titles)
        return f"the {part} that was taken out was probably good: bad with {now} by what is known now{before}"
    if change.kind == "leading_fault":
        before, after = (_titled("fault", fault, titles) for fault in (change.before, change.after))
        return f"{after} now leads with {now} (before: {before} with {was})"
    if change.kind == "next_step":
        return f"the next step is now {_step(change.after, titles)} (before: {_step(change.before, titles)})"
    if change.of == "answer":
        return "the earlier answer tells nothing that could be compared"
    return "the earlier answer is about other readings than the case has, so verdicts cannot be compared"


def _hazard(change: Change, titles: Titles) -> str:
    hazard = _titled("hazard", change.of, titles)
    if change.kind == "hazard_shows":
        before = f" (before: {_titled('hazard', change.before, titles)})" if change.before is not None else ""
        return f"a hazard now shows: {hazard}{before}"
    return f"a hazard shows no longer, which a fresh reading must bear out before anybody relies on it: {hazard}"


def _pack(pack: PackIdentity) -> str:
    """Version and the beginning of the digest: a number may change without a version."""
    return f"{pack.version} ({pack.digest.partition(':')[2][:8]})"


def _titled(kind: str, name: str | None, titles: Titles) -> str:
    """What something is called in mid-sentence; what has no title is called by its id, in words."""
    title = titles.get(f"{kind}:{name}")
    return in_words(name) if title is None else in_sentence(title.rstrip("."))


def _step(step: str | None, titles: Titles) -> str:
    kind, _, name = (step or "").partition(":")
    return f"{kind} ({_titled(kind, name, titles)})" if name else kind


def _and(names: Sequence[str]) -> str:
    return " and ".join(part for part in (", ".join(names[:-1]), *names[-1:]) if part)


def _percent(probability: float | None) -> str:
    if probability is None:
        return "an unknown probability"
    share = 100 * probability
    # Near either end the next digits tell.
    return f"{share:.0f} %" if 1 <= share <= 99 else f"{share:.{2 if share < 1 else 3}g} %"
