"""Steps as a technician reads them: what to do, what to mind, and why."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from probewright.packs.model import Interlock, Repair, Test
from probewright.planning.belief import Belief
from probewright.planning.ground import Told
from probewright.planning.model import PlanningModel
from probewright.planning.outlook import Action
from probewright.planning.standing import Standing
from probewright_schemas.records import ClosingCheck, Step

Array = NDArray[np.float64]

#: Two causes are told apart when at least this share of what the test shows under one is not shown under the other.
TOLD_APART: Final = 0.3


def test_step(model: PlanningModel, here: Standing, action: Action, why: str) -> Step:
    """A test to do."""
    record = model.tests.records[action.index]
    told = model.tests.told[action.index][int(here.closed[model.tests.zone[action.index]])]
    state = model.ground.states[model.tests.state[action.index]].id
    return _work(record, action, why, told, state=state, zone=record.zone)


def repair_step(model: PlanningModel, here: Standing, action: Action, why: str) -> Step:
    """A repair to do."""
    record, ground = model.repairs.records[action.index], model.ground
    zones = [ground.zone_at[zone] for zone in record.zones]
    shut = [zone for zone in zones if here.closed[zone]]
    told = ground.tell(ground.state_at[record.state], zones, shut, record.steps, record.cautions)
    return _work(record, action, why, told, state=record.state, zone=next(iter(record.zones), None))


def _work(record: Test | Repair, action: Action, why: str, told: Told, *, state: str, zone: str | None) -> Step:
    return Step(
        action.kind,
        record.id,
        record.title,
        why,
        state=state,
        zone=zone,
        minutes=round(action.minutes, 1),
        expected_cost=round(action.cost, 2),
        steps=told.steps,
        cautions=told.cautions,
    )


def interlock_step(interlocks: Sequence[Interlock]) -> Step:
    """What the worst hazard leaves to do, with the cautions of all."""
    worst, *others = interlocks
    also = f" Also: {', '.join(lock.title for lock in others)}." if others else ""
    cautions = dict.fromkeys(caution for lock in interlocks for caution in lock.cautions)
    return Step(worst.kind, worst.id, worst.title, worst.why + also, steps=worst.steps, cautions=tuple(cautions))


def refer_step(model: PlanningModel, belief: Belief, weights: Array, cost: float, *, instead: bool = False) -> Step:
    """Hand the job over, or back to the customer, with the reason; ``instead`` of something better."""
    top = int(weights.argmax())
    likeliest = named(model, belief, top)
    if top == 0:
        name, title = "no_fault_found", "No fault found"
        why = f"Most likely {likeliest}: have the customer show the complaint, and check how the appliance is used."
    elif top == len(weights) - 1:
        name, title = "unknown_cause", "Hand over: a cause this model does not know"
        why = f"Most likely {likeliest}: hand over with all readings taken."
    else:
        name, title = "hand_over", "Hand over to a specialist"
        why = f"The likeliest cause, {likeliest}, is not sure enough for a repair: hand over with all readings taken."
    if instead:
        why = f"Instead of going on, at this cost in all. {why}"
    steps = ("Close everything that was opened.", "Leave the readings with the job.")
    return Step("refer", name, title, why, expected_cost=round(cost, 2), steps=steps)


def done_step(model: PlanningModel, repair: str, checks: Sequence[ClosingCheck]) -> Step:
    """The complaint is gone: what is left is to show that all is well."""
    title = next((r.title for r in model.repairs.records if r.id == repair), repair)
    proof = " Before leaving, make the closing checks." if checks else ""
    return Step(
        "done",
        "closing_checks" if checks else "job_done",
        "Close the job",
        f"The complaint is gone after: {title}.{proof}",
        steps=tuple(check.text for check in checks),
    )


def closing_checks(model: PlanningModel, repairs: Iterable[Repair]) -> tuple[ClosingCheck, ...]:
    """What must be shown after these repairs, each once."""
    names = dict.fromkeys(name for repair in repairs for name in repair.closing_checks)
    return tuple(ClosingCheck(c.id, c.text, c.test) for c in (model.closings[name] for name in names))


def test_why(causes: Sequence[str], share: Array, given: Array, minutes: float, again: str | None) -> str:
    """Which two causes a test tells apart best, and for how much work.

    Parameters
    ----------
    causes : sequence of str
        The likeliest, as :func:`named` calls them.
    share : ndarray of shape (n_causes,)
        Their probabilities, as one hypothesis at a time.
    given : ndarray of shape (n_causes, n_outcomes)
        For each, what the test shows under it.
    minutes : float
        Way and work.
    again : str or None
        Why the test is to be read again.
    """
    prefix = f"Measure again: {again.rstrip('.')}. " if again else ""
    work = f"for {_minutes(minutes)} work"
    if len(causes) < 2:
        return f"{prefix}Looks into {causes[0] if causes else 'the complaint'} {work}."
    one, other, apart = _best_told(share, given)
    if apart < TOLD_APART:
        return f"{prefix}Looks for rarer causes {work}."
    return f"{prefix}Tells {causes[one]} from {causes[other]} {work}."


def _best_told(share: Array, given: Array) -> tuple[int, int, float]:
    """The pair that differs most under the test, weighed by both probabilities, and how far apart it is (0 to 1)."""
    apart = np.abs(given[:, None, :] - given[None, :, :]).sum(axis=-1) / 2
    place = int(np.argmax(np.triu(apart * share[:, None] * share, 1)))
    one, other = divmod(place, len(share))
    return one, other, float(apart[one, other])


def repair_why(model: PlanningModel, belief: Belief, weights: Array, repair: int) -> str:
    """Which causes a repair cures, at most two, and how sure that is."""
    chance = weights * model.repairs.cures[repair]
    order = [int(i) for i in np.argsort(-chance, kind="stable")[:2] if chance[i] >= 0.01]
    cured = " or ".join(named(model, belief, i) for i in order) or "what is left"
    if float(chance.sum()) >= 0.5:
        return f"Cures {cured}, the likeliest cause."
    return f"Cures {cured}: not sure, but worth its cost before anything dearer."


def probability(belief: Belief, hypothesis: int) -> float:
    """Of a hypothesis of the model: no fault, each fault (present alone or with another), something unknown."""
    if hypothesis == 0:
        return belief.none
    return belief.unknown if hypothesis == len(belief.faults) + 1 else float(belief.present[hypothesis - 1])


def percent(share: float) -> str:
    """A probability in whole per cent; never 0 or 100, for nothing is that sure."""
    whole = round(100 * share)
    return "under 1 %" if whole < 1 else "over 99 %" if whole > 99 else f"{whole} %"


def named(model: PlanningModel, belief: Belief, hypothesis: int) -> str:
    """A hypothesis and its probability, as a sentence says them."""
    return f"{model.hypotheses[hypothesis]} ({percent(probability(belief, hypothesis))})"


def _minutes(minutes: float) -> str:
    whole = max(1, math.ceil(minutes - 1e-9))
    return "1 minute's" if whole == 1 else f"{whole} minutes'"
