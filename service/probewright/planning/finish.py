"""Finishing a job: what is left to do once the complaint is gone, until every closing check has passed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from probewright.packs.model import Repair
from probewright.planning.belief import Belief
from probewright.planning.ground import ANYWHERE
from probewright.planning.model import PlanningModel, in_sentence
from probewright.planning.proofs import ClosingState, Proof, closing_state
from probewright.planning.proofs import foreseen as _foreseen
from probewright.planning.standing import Standing, standing
from probewright.planning.work import anywhere, state_of, zone_of
from probewright_schemas.records import Case, ClosingCheck, Step

__all__ = ["ClosingState", "Finish", "Proof", "check_step", "closing_state", "finish", "foreseen"]

#: Planning goes on while faults that the pack knows are there with at least this probability.
EXPLAINED: Final = 0.5
#: The same once a check has failed for sure.
EXPLAINS_FAILURE: Final = 0.2
#: A repair that was made this often and still does not prove itself is handed over.
OFTEN_ENOUGH: Final = 2

FinishKind = Literal["plan", "check", "again", "refer", "done"]


@dataclass(frozen=True, slots=True)
class Finish:
    """What is left to do for a job to be closed.

    ``kind`` is ``plan`` (go on looking for faults; the only one without a step), ``check`` (make ``step``'s test),
    ``again`` (make ``step``'s repair once more), ``refer`` or ``done``.
    """

    kind: FinishKind
    step: Step | None = None


def finish(model: PlanningModel, belief: Belief, case: Case, state: ClosingState) -> Finish:
    """What is left to do for a job to be closed.  Hazards are for the caller to look at first.

    - While the complaint remains, or nothing was repaired, planning goes on; and so it does while a fault that the
      pack knows is likelier there than not, be it by a closing check that failed or by earlier readings.
    - A check that failed otherwise is read again, for one reading may be misread.  When it fails again it points to the
      work just done: that is made again, and handed over when that was in vain.
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
    failed_for_sure = any(proof.sure for proof in state.failed)
    enough = EXPLAINS_FAILURE if failed_for_sure else EXPLAINED
    if not gone or 1.0 - belief.none - belief.unknown >= enough:
        return Finish("plan")
    here = standing(model, case, ())
    if state.failed:
        first = state.failed[0]
        return _once_more(model, case, here, first) if first.sure else Finish("check", check_step(model, here, first))
    if state.open:
        return Finish("check", check_step(model, here, state.open[0]))
    return Finish("done", _done_step(case, state, model))


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


def _once_more(model: PlanningModel, case: Case, here: Standing, failed: Proof) -> Finish:
    repair, ground = failed.repair, model.ground
    title = in_sentence(repair.title)
    told = f"This closing check failed after: {title}. {failed.closing.text}"
    made = sum(done.repair == repair.id for done in case.repairs_done)
    if made >= OFTEN_ENOUGH:
        why = f"{told} The repair was made {made} times, and no fault that this model knows explains it."
        steps = ("Close everything that was opened.", "Leave the readings with the job.")
        return Finish("refer", Step("refer", "hand_over", "Hand over to a specialist", why, steps=steps))
    zones = [ground.zone(zone, f"repair {repair.id!r}") for zone in repair.zones]
    shut = [zone for zone in zones if here.closed[zone]]
    state = ground.state(repair.state, f"repair {repair.id!r}")
    way = ground.tell(state, zones, shut, repair.steps, repair.cautions)
    step = Step(
        "repair",
        repair.id,
        f"Once more: {title}",
        f"{told} No other fault that this model knows explains it: look the work over and make it good.",
        state=repair.state,
        zone=next(iter(repair.zones), None),
        minutes=_minutes(model, here, state, shut, float(repair.minutes)),
        steps=way.steps,
        cautions=way.cautions,
    )
    return Finish("again", step)


def _done_step(case: Case, state: ClosingState, model: PlanningModel) -> Step:
    last = case.repairs_done[-1].repair
    title = next((repair.title for repair in model.family.repairs if repair.id == last), last)
    shown = sum(proof.status == "passed" for proof in state.proofs)
    proven = f" All {shown} closing checks have passed." if shown > 1 else " The closing check has passed." * shown
    why = f"The complaint is gone after: {in_sentence(title)}.{proven}"
    told = tuple(proof.closing.text for proof in state.proofs if proof.status is None)
    return Step("done", "job_done", "Close the job", why, steps=told)
