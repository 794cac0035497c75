"""Stored cases asked again: the same engine, with corrected meters, replaced limits, or the packs as they are now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from probewright import engine
from probewright.batch.changes import Applied, ChangeSet
from probewright.batch.comparing import Both, Swapped, compared, differences, hazards_of, held, shift, titles
from probewright.batch.jobs import Job
from probewright.batch.reasons import SAME, Cause, Titles, why_changed, why_new, why_unchanged
from probewright.engine import Brief
from probewright.errors import EngineError, InvalidCase, ProbewrightError
from probewright.intake import pack_of
from probewright.packs.registry import LoadedPack, Registry
from probewright.settings import Settings
from probewright_schemas.batch_records import Changes, CorrectedReading, EarlierAnswer, Held, Reevaluation, StoredJob
from probewright_schemas.records import Case, Diagnosis, Effort, PackIdentity

Result = Reevaluation | ProbewrightError


@dataclass(slots=True)
class _Asked:
    """One job on its way: its place among all, and what is known of it so far."""

    place: int
    job: Job
    pack: LoadedPack
    applied: Applied | None
    computation: str
    before: Held | None
    known: bool
    effort: tuple[Effort, Effort] | None = None

    @property
    def case(self) -> Case:
        """The case with what is different."""
        return self.job.case if self.applied is None else self.applied.case


@dataclass(frozen=True, slots=True)
class _View:
    """What comparisons ask of a pack: its hazards, the parts of its repairs, and what everything is called."""

    family: str
    identity: PackIdentity
    hazards: frozenset[str]
    parts: Mapping[str, str | None]
    titles: Titles

    @classmethod
    def of(cls, pack: LoadedPack) -> _View:
        family = pack.family
        hazards = frozenset(lock.id for lock in family.interlocks)
        return cls(family.id, pack.identity, hazards, {r.id: r.part for r in family.repairs}, titles(family))


class Reevaluator:
    """Asks stored cases again.

    Parameters
    ----------
    changes : Changes
    registry : Registry
        The packs as they are now.
    settings : Settings
    effort : {"none", "quick", "thorough"} or None
        In place of the cases' own.
    recompute : bool
        Work everything out, also what is known by its digest to be the same computation.
    answers : bool
        Give the new answers in whole with the results; those that are the same are left out.

    Raises
    ------
    InvalidCase
        When the changes name what the packs do not have; pointers are into the changes.
    """

    def __init__(
        self, changes: Changes, registry: Registry, settings: Settings, *, effort: Effort | None = None,
        recompute: bool = False, answers: bool = False,
    ) -> None:  # fmt: skip
        self._changes = ChangeSet(changes, registry)
        self._registry, self._settings = registry, settings
        self._effort, self._recompute, self._answers = effort, recompute, answers
        self._views = lru_cache(maxsize=64)(_View.of)

    def results(self, jobs: Sequence[Job]) -> list[Result]:
        """What became of each job, in their order; an error stands in its place, with pointers into the job.

        Jobs of one family are worked out together.
        """
        found: list[Result | None] = [None] * len(jobs)
        asked: dict[LoadedPack, list[_Asked]] = {}
        for place, job in enumerate(jobs):
            try:
                one = self._begin(place, job)
            except ProbewrightError as error:
                found[place] = error
                continue
            if one.known and one.before is not None and not self._recompute:
                found[place] = _result(
                    one, self._views(one.pack), one.before, status="same", why=SAME, shift=0.0, before=one.before
                )
            else:
                asked.setdefault(one.pack, []).append(one)
        for pack, together in asked.items():
            for one, answer in zip(together, self._now([one.case for one in together], pack), strict=True):
                found[one.place] = self._finished(one, answer)
        return [_there(result) for result in found]

    def _now(self, cases: Sequence[Case], pack: LoadedPack) -> list[Diagnosis | Brief | ProbewrightError]:
        """Today's answers; where no next step is asked for, and nobody wants them in whole, what they come to."""
        brief = [not self._answers and case.effort == "none" for case in cases]
        short, whole = ([c for c, own in zip(cases, brief, strict=True) if own is kind] for kind in (True, False))
        briefs = iter(engine.brief_many(short, pack, self._settings))
        wholes = iter(engine.diagnose_many(whole, pack, self._settings))
        return [next(briefs) if own else next(wholes) for own in brief]

    def _begin(self, place: int, job: Job) -> _Asked:
        told, effort = job.told, None
        if self._effort is not None and self._effort != told.effort:
            effort = (told.effort, self._effort)
            job = StoredJob(replace(job.case, effort=self._effort), job.answer)
            told = job.case
        pack, earlier = pack_of(told, self._registry), job.answer
        applied = self._changes.apply(job.case, pack) if self._changes.may_touch(told) else None
        digest = engine.computation(told if applied is None else applied.case, pack, self._settings)
        if earlier is None:
            return _Asked(place, job, pack, applied, digest, None, known=False, effort=effort)
        before = held(earlier.faults, earlier.unexplained, earlier.no_fault)
        return _Asked(place, job, pack, applied, digest, before, earlier.computation == digest, effort)

    def _finished(self, one: _Asked, answer: Diagnosis | Brief | ProbewrightError) -> Result:
        if isinstance(answer, ProbewrightError):
            return answer
        try:
            return self._compared(one, answer)
        except ProbewrightError as error:
            return error

    def _compared(self, one: _Asked, answer: Diagnosis | Brief) -> Reevaluation:
        earlier, pack = one.job.answer, self._views(one.pack)
        after = _held(answer)
        corrected = () if one.applied is None else _corrected(one, one.applied, answer)
        whole = answer if self._answers and isinstance(answer, Diagnosis) else None
        if earlier is None:
            hazards = hazards_of(answer, pack.hazards)
            return _result(one, pack, after, status="new", why=why_new(after, hazards, pack.titles), changes=hazards,
                           corrected=corrected, answer=whole)  # fmt: skip
        both = Both(earlier, answer, one.before, after)
        changes = differences(both, pack.hazards, self._swapped(one, earlier, pack))
        limited = () if one.applied is None else one.applied.limited
        cause = Cause(corrected, limited, earlier.pack, pack.identity, one.effort, nothing=one.known)
        moved = shift(earlier, answer)
        if changes:
            why = why_changed(cause, changes, pack.titles)
        else:
            why = why_unchanged(cause, moved, compared(both), pack.titles)
        return _result(one, pack, after, status="changed" if changes else "unchanged", why=why, changes=changes,
                       shift=moved, before=one.before, corrected=corrected, answer=whole)  # fmt: skip

    def _swapped(self, one: _Asked, earlier: EarlierAnswer, pack: _View) -> list[Swapped]:
        """The parts that were replaced; how bad they looked is known only under the pack that is there now."""
        if not one.job.told.repairs_done:
            return []
        touched = one.applied is not None and one.applied.touched
        comparable = earlier.pack.digest == one.pack.digest
        if comparable and not touched:
            return []
        found = []
        for place, done in enumerate(one.case.repairs_done):
            part = pack.parts.get(done.repair)
            if part is None:
                continue
            now = engine.chance_bad_before(one.case, place, one.pack, self._settings)
            was = engine.chance_bad_before(one.job.case, place, one.pack, self._settings) if comparable else None
            if now is not None:
                found.append(Swapped(done.repair, part, was, now))
        return found


def _there(result: Result | None) -> Result:
    if result is None:
        raise EngineError("a job of a batch was lost")
    if isinstance(result, InvalidCase):
        # The case is a member of the job.
        return InvalidCase([replace(fault, pointer=f"/case{fault.pointer}") for fault in result.faults])
    return result


def _held(answer: Diagnosis | Brief) -> Held:
    found = held(answer.faults, answer.unexplained, answer.no_fault)
    if found is None:
        raise EngineError("an answer holds nothing likely")
    return found


def _result(one: _Asked, pack: _View, after: Held, **more: Any) -> Reevaluation:
    """A result: what all have in common, and what is its own."""
    notes = () if one.applied is None else one.applied.notes
    return Reevaluation(
        pack.family, pack=pack.identity, after=after, computation=one.computation, reference=one.job.told.reference,
        notes=notes, **more,
    )  # fmt: skip


def _corrected(one: _Asked, applied: Applied, answer: Diagnosis | Brief) -> tuple[CorrectedReading, ...]:
    """Both values of each corrected reading, in the unit in which it was given."""
    found = []
    for place, meter in applied.corrected.items():
        checked = answer.checked(place, one.pack.family) if isinstance(answer, Brief) else answer.readings[place]
        if checked.as_read is not None and checked.value is not None:
            found.append(
                CorrectedReading(place, checked.test, meter, checked.as_read, checked.value, str(checked.unit))
            )
    return tuple(found)
