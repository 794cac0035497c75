"""Stored cases asked again: the same engine, with corrected meters, replaced limits, or the packs as they are now."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from probewright import engine
from probewright.batch.changes import Applied, ChangeSet
from probewright.batch.comparing import Swapped, compared, differences, hazards_of, held, shift, titles
from probewright.batch.reasons import SAME, Cause, why_changed, why_new, why_unchanged
from probewright.engine import Brief
from probewright.errors import EngineError, InvalidCase, ProbewrightError
from probewright.intake import pack_of
from probewright.packs.registry import LoadedPack, Registry
from probewright.settings import Settings
from probewright_schemas.batch_records import Changes, CorrectedReading, EarlierAnswer, Held, Reevaluation, StoredJob
from probewright_schemas.records import Case, Diagnosis, Effort

Result = Reevaluation | ProbewrightError


@dataclass(slots=True)
class _Asked:
    """One job on its way: its place among all, and what is known of it so far."""

    place: int
    job: StoredJob
    pack: LoadedPack
    applied: Applied
    computation: str
    effort: tuple[Effort, Effort] | None = None

    @property
    def known(self) -> bool:
        """Whether the earlier answer is of this very computation."""
        return self.job.answer is not None and self.job.answer.computation == self.computation


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
        self._titles = lru_cache(maxsize=64)(lambda pack: titles(pack.family))

    def results(self, jobs: Sequence[StoredJob]) -> list[Result]:
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
            if self._is_same(one):
                found[place] = _same(one)
            else:
                asked.setdefault(one.pack, []).append(one)
        for pack, together in asked.items():
            for one, answer in zip(together, self._now([one.applied.case for one in together], pack), strict=True):
                found[one.place] = self._finished(one, answer)
        return [_there(result) for result in found]

    def _now(self, cases: Sequence[Case], pack: LoadedPack) -> list[Diagnosis | Brief | ProbewrightError]:
        """Today's answers; where no next step is asked for, and nobody wants them in whole, what they come to."""
        brief = [not self._answers and case.effort == "none" for case in cases]
        short, whole = ([c for c, own in zip(cases, brief, strict=True) if own is kind] for kind in (True, False))
        briefs = iter(engine.brief_many(short, pack, self._settings))
        wholes = iter(engine.diagnose_many(whole, pack, self._settings))
        return [next(briefs) if own else next(wholes) for own in brief]

    def _begin(self, place: int, job: StoredJob) -> _Asked:
        effort = None
        if self._effort is not None and self._effort != job.case.effort:
            effort = (job.case.effort, self._effort)
            job = replace(job, case=replace(job.case, effort=self._effort))
        pack = pack_of(job.case, self._registry)
        applied = self._changes.apply(job.case, pack)
        return _Asked(place, job, pack, applied, engine.computation(applied.case, pack, self._settings), effort)

    def _is_same(self, one: _Asked) -> bool:
        return one.known and not self._recompute and _before(one) is not None

    def _finished(self, one: _Asked, answer: Diagnosis | Brief | ProbewrightError) -> Result:
        if isinstance(answer, ProbewrightError):
            return answer
        try:
            return self._compared(one, answer)
        except ProbewrightError as error:
            return error

    def _compared(self, one: _Asked, answer: Diagnosis | Brief) -> Reevaluation:
        earlier, named = one.job.answer, self._titles(one.pack)
        after = _held(answer)
        common = replace(
            _result(one, after), corrected=_corrected(one.applied, answer),
            answer=answer if self._answers and isinstance(answer, Diagnosis) else None,
        )  # fmt: skip
        if earlier is None:
            hazards = hazards_of(answer, one.pack.family)
            return replace(common, status="new", why=why_new(after, hazards, named), changes=hazards)
        cause = Cause(
            common.corrected, one.applied.limited, earlier.pack, one.pack.identity, one.effort, nothing=one.known
        )
        changes = differences(earlier, answer, one.pack.family, tuple(self._swapped(one, earlier)))
        moved = shift(earlier, answer)
        if changes:
            why = why_changed(cause, changes, named)
        else:
            why = why_unchanged(cause, moved, compared(earlier, answer), named)
        return replace(
            common, status="changed" if changes else "unchanged", why=why, changes=changes, shift=moved,
            before=_before(one),
        )  # fmt: skip

    def _swapped(self, one: _Asked, earlier: EarlierAnswer) -> Iterable[Swapped]:
        """The parts that were replaced; how bad they looked is known only under the pack that is there now."""
        parts = {repair.id: repair.part for repair in one.pack.family.repairs}
        comparable = earlier.pack.digest == one.pack.digest
        for place, done in enumerate(one.applied.case.repairs_done):
            part = parts.get(done.repair)
            if part is None or (comparable and not one.applied.touched):
                continue
            now = engine.chance_bad_before(one.applied.case, place, one.pack, self._settings)
            was = engine.chance_bad_before(one.job.case, place, one.pack, self._settings) if comparable else None
            if now is not None:
                yield Swapped(done.repair, part, was, now)


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


def _before(one: _Asked) -> Held | None:
    """What the earlier answer held."""
    earlier = one.job.answer
    return None if earlier is None else held(earlier.faults, earlier.unexplained, earlier.no_fault)


def _result(one: _Asked, after: Held) -> Reevaluation:
    """What all results have in common."""
    return Reevaluation(
        one.pack.family.id, "unchanged", SAME, one.pack.identity, after, one.computation,
        reference=one.job.case.reference, notes=one.applied.notes,
    )  # fmt: skip


def _same(one: _Asked) -> Reevaluation:
    known = _before(one)
    if known is None:
        raise EngineError("the same computation as of an answer that holds nothing")
    return replace(_result(one, known), status="same", before=known, shift=0.0)


def _corrected(applied: Applied, answer: Diagnosis | Brief) -> tuple[CorrectedReading, ...]:
    """Both values of each corrected reading, in the unit in which it was given."""
    found = []
    for place, meter in applied.corrected.items():
        checked = answer.readings[place]
        if checked.as_read is not None and checked.value is not None:
            found.append(
                CorrectedReading(place, checked.test, meter, checked.as_read, checked.value, str(checked.unit))
            )
    return tuple(found)
