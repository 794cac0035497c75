"""Finishing a job: what is left to do once the complaint is gone, until every closing check has passed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from probewright.packs.model import Repair
from probewright.planning.belief import Belief
from probewright.planning.ground import ANYWHERE
from probewright.planning.kit import equipped, skilled
from probewright.planning.model import PlanningModel, in_sentence, in_words
from probewright.planning.proofs import ClosingState, Proof, closing_state
from probewright.planning.proofs import foreseen as _foreseen
from probewright.planning.standing import Standing, shows, standing
from probewright.planning.work import anywhere, state_of, zone_of
from probewright_schemas.records import Case, ClosingCheck, Step

__all__ = ["ClosingState", "Finish", "Proof", "check_step", "closing_state", "finish", "foreseen"]

#: Planning goes on while faults that the pack knows are there with at least this probability.
EXPLAINED: Final = 0.5
#: The same for faults that the test of a check shows, once that has failed for sure.
EXPLAINS_FAILURE: Final = 0.2
#: A check that was read this often and has not passed is handed over.
OFTEN_ENOUGH: Final = 4

FinishKind = Literal["plan", "check", "again", "refer", "done"]


@dataclass(frozen=True, slots=True)
class Finish:
    """What is left to do for a job to be closed.

    ``kind`` is ``plan`` (go on looking for faults; the only one without a step), ``check`` (make ``step``'s test),
    ``again`` (make the work good and ``step``'s test again), ``refer`` or ``done``.
    """

    kind: FinishKind
    step: Step | None = None


def finish(model: PlanningModel, belief: Belief, case: Case, state: ClosingState) -> Finish:
    """What is left to do for a job to be closed.  Hazards are for the caller to look at first.

    - While the complaint remains, or nothing was repaired, planning goes on; and so it does while a fault that the
      pack knows is there with a probability of :data:`EXPLAINED`, or faults that a failed check shows with
      :data:`EXPLAINS_FAILURE`.  What safety depends on (``guarded``) is made good before.
    - A check that failed otherwise is read again, for one reading may be misread.  When it fails again it points to the
      work just done: that is made good and the check made again, and handed over when that was in vain.
    - A check that takes what the visit has not brought along is handed over: the job is not done without it.
    - What is open is shown, in order.  Only when nothing is open or failed the job is done.

    Parameters
    ----------
    model : PlanningModel
    belief : Belief
        After all that was read.
    case : Case
    state : ClosingState
        Of the same case.
    """
    gone = bool(case.repairs_done) and not case.repairs_done[-1].complaint_remains
    if not gone:
        return Finish("plan")
    unsafe = next((proof for proof in state.failed if proof.sure and proof.closing.guarded), None)
    if unsafe is not None:
        return _make_good(model, case, standing(model, case, ()), unsafe)
    explained = any(proof.sure and _explained(model, belief, proof) for proof in state.failed)
    if explained or 1.0 - belief.none - belief.unknown >= EXPLAINED:
        return Finish("plan")
    here = standing(model, case, ())
    if state.failed:
        first = state.failed[0]
        return _make_good(model, case, here, first) if first.sure else _check(model, case, here, first)
    if state.open:
        return _check(model, case, here, state.open[0])
    return Finish("done", _done_step(case, state, model))


def _explained(model: PlanningModel, belief: Belief, proof: Proof) -> bool:
    """Whether faults that the test of a check shows are likely enough to look for them."""
    faults = zip(belief.faults, belief.present.tolist(), strict=True)
    family, test = model.family, proof.test
    return sum(p for fault, p in faults if test is not None and shows(family, test, (fault,))) >= EXPLAINS_FAILURE


def foreseen(model: PlanningModel, case: Case, state: ClosingState, repair: Repair) -> tuple[ClosingCheck, ...]:
    """The closing checks when one more repair is made, in the order to do them; of its own nothing is told yet."""
    return _foreseen(model.family, case, state, repair)


def check_step(model: PlanningModel, here: Standing, proof: Proof) -> Step:
    """A closing check to make.

    Raises
    ------
    ValueError
        When no test shows the check.
    """
    test, ground = proof.test, model.ground
    if test is None:
        raise ValueError(f"closing check {proof.closing.id!r} has no test")
    place, zone = state_of(test, ground), zone_of(test, ground)
    if anywhere(test, ground) or place is None:
        place, shut = _present(model, here), []
        steps, minded = test.steps, test.cautions
    else:
        shut = [zone] if here.closed[zone] else []
        told = ground.tell(place, [zone], shut, test.steps, test.cautions)
        steps, minded = told.steps, told.cautions
    prefix = f"Measure again: {proof.again.rstrip('.')}. " if proof.again else ""
    return Step(
        "test",
        test.id,
        test.title,
        f"{prefix}Closing check after: {in_sentence(proof.repair.title)}. {proof.closing.text}",
        state=ground.states[place].id,
        zone=test.zone,
        minutes=_minutes(model, here, place, shut, float(test.minutes)),
        steps=steps,
        cautions=minded,
    )


def _present(model: PlanningModel, here: Standing) -> int:
    return here.state if here.state < len(model.ground.states) else model.ground.running


def _minutes(model: PlanningModel, here: Standing, state: int, shut: Sequence[int], work: float) -> float:
    """Minutes of work in a state, with the way there and the covers in between."""
    ground = model.ground
    present = here.state if here.state < len(ground.states) else ANYWHERE
    way = ground.minutes(ground.trip(present, state, opening=bool(shut)))
    return round(work + way + sum(float(ground.zone_minutes[zone]) for zone in shut), 1)


def _make_good(model: PlanningModel, case: Case, here: Standing, failed: Proof) -> Finish:
    """A check that failed for sure: look the work over that it should prove, and then make the check again."""
    title = in_sentence(failed.repair.title)
    told = f"This closing check failed after: {title}. {failed.closing.text}"
    if failed.times >= OFTEN_ENOUGH:
        why = f"{told} It was read {failed.times} times, and no fault that this model knows explains it."
        return Finish("refer", _refer_step("hand_over", "Hand over to a specialist", why))
    found = _check(model, case, here, failed)
    if found.step is None or found.kind == "refer":
        return found
    repair, ground = failed.repair, model.ground
    zones = [ground.zone(zone, f"repair {repair.id!r}") for zone in repair.zones]
    shut = [zone for zone in zones if here.closed[zone]]
    again = f"Look over what was done ({title}), and make good what this check speaks against."
    way = ground.tell(ground.state(repair.state, f"repair {repair.id!r}"), zones, shut, [again], repair.cautions)
    why = f"{told} No other fault that this model knows explains it: make the work good, and check again."
    steps, cautions = (*way.steps, *found.step.steps), (*way.cautions, *found.step.cautions)
    return Finish("again", replace(found.step, why=why, steps=steps, cautions=tuple(dict.fromkeys(cautions))))


def _check(model: PlanningModel, case: Case, here: Standing, proof: Proof) -> Finish:
    """A check to make, or to hand over for the want of what it takes."""
    test, visit = proof.test, case.visit
    if test is not None and not equipped(test, visit):
        why = f"This closing check needs: {in_words(test.instrument)}. {proof.closing.text}"
        return Finish("refer", _refer_step("instrument_needed", "Come back with the instrument", why))
    if test is not None and not skilled(test, visit):
        why = f"This closing check needs: {in_words(test.skill)}. {proof.closing.text}"
        return Finish("refer", _refer_step("skill_needed", "Hand over to somebody who may do the work", why))
    return Finish("check", check_step(model, here, proof))


def _refer_step(name: str, title: str, why: str) -> Step:
    steps = (
        "Leave the appliance shut off and out of use until the check has passed.",
        "Close everything that was opened.",
        "Leave the readings with the job.",
    )
    return Step("refer", name, title, why, steps=steps)


def _done_step(case: Case, state: ClosingState, model: PlanningModel) -> Step:
    last = case.repairs_done[-1].repair
    title = next((repair.title for repair in model.family.repairs if repair.id == last), last)
    shown = sum(proof.status == "passed" for proof in state.proofs)
    proven = f" All {shown} closing checks have passed." if shown > 1 else " The closing check has passed." * shown
    why = f"The complaint is gone after: {in_sentence(title)}.{proven}"
    told = tuple(proof.closing.text for proof in state.proofs if proof.status is None)
    return Step("done", "job_done", "Close the job", why, steps=told)
