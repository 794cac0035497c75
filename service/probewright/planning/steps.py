"""Steps as a technician reads them: what to do, what to mind, and why."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from probewright.packs.model import Interlock, Repair, Test
from probewright.planning.belief import Belief
from probewright.planning.choosing import Action
from probewright.planning.ground import Told
from probewright.planning.model import PlanningModel, in_sentence, in_words
from probewright.planning.standing import Standing
from probewright_schemas.records import Step, StepOutcome, Visit

Array = NDArray[np.float64]

#: Two causes are told apart when at least this share of what the test shows under one is not shown under the other.
TOLD_APART: Final = 0.3
#: Chance of a hazard from which it is the reason for a test.
ALARMING: Final = 0.05
#: Likeliest hypotheses among which a sentence finds the two that a test tells apart.
_NAMED: Final = 12


@dataclass(frozen=True, slots=True, eq=False)
class Teller:
    """Tells actions as steps.

    ``weights`` are the probabilities of the model's hypotheses, each fault alone or with another; ``chosen`` is what is
    advised.
    """

    model: PlanningModel
    belief: Belief
    here: Standing
    weights: Array
    visit: Visit
    chosen: Action

    def step(self, action: Action, outcomes: tuple[StepOutcome, ...] = ()) -> Step:
        """An action as a step."""
        if action.kind == "refer":
            instead = action is not self.chosen
            return refer_step(self.model, self.belief, self.weights, action, lacking(self), instead=instead)
        if action.kind == "repair":
            return self._repair(action, outcomes)
        return self._test(action, outcomes)

    def likeliest(self) -> list[int]:
        """The likeliest hypotheses but the unknown one, in order."""
        order = np.argsort(-self.weights, kind="stable")[: _NAMED + 1].tolist()
        return [i for i in order if i != len(self.weights) - 1 and self.weights[i] > 0][:_NAMED]

    def _test(self, action: Action, outcomes: tuple[StepOutcome, ...]) -> Step:
        likeliest = self.likeliest()
        given = self.belief.outcomes[action.id].given[likeliest]
        causes = [named(self.model, self.belief, hypothesis) for hypothesis in likeliest]
        again = self.here.read.get(action.id)
        alarm = max((o for o in outcomes if o.leads_to.kind == "stop"), key=lambda o: o.probability, default=None)
        if alarm is not None and alarm.probability >= ALARMING and not again:
            why = f"Hazards come first: looks for {in_sentence(alarm.leads_to.title)} ({percent(alarm.probability)})."
            return test_step(self.model, self.here, action, why, outcomes)
        why = test_why(causes, self.weights[likeliest], given, action.minutes, again)
        return test_step(self.model, self.here, action, why, outcomes)

    def _repair(self, action: Action, outcomes: tuple[StepOutcome, ...]) -> Step:
        why = repair_why(self.model, self.belief, self.weights, action.index)
        part, on_hand = self.model.repairs.records[action.index].part, self.visit.parts_on_hand
        if part is not None and on_hand is not None and part not in on_hand:
            title = in_sentence(self.model.parts[part].title)
            why = f"{why} The part is not at hand ({title}): leave the appliance safe, and come back with it."
        return repair_step(self.model, self.here, action, why, outcomes)


def test_step(
    model: PlanningModel, here: Standing, action: Action, why: str, outcomes: tuple[StepOutcome, ...]
) -> Step:
    """A test to do."""
    record = model.tests.records[action.index]
    told = model.tests.told[action.index][int(here.closed[model.tests.zone[action.index]])]
    state = model.ground.states[model.tests.state[action.index]].id
    return _work(record, action, why, told, outcomes, state=state, zone=record.zone)


def repair_step(
    model: PlanningModel, here: Standing, action: Action, why: str, outcomes: tuple[StepOutcome, ...]
) -> Step:
    """A repair to do."""
    record, ground = model.repairs.records[action.index], model.ground
    zones = [ground.zone_at[zone] for zone in record.zones]
    shut = [zone for zone in zones if here.closed[zone]]
    told = ground.tell(ground.state_at[record.state], zones, shut, record.steps, record.cautions)
    return _work(record, action, why, told, outcomes, state=record.state, zone=next(iter(record.zones), None))


def lacking(teller: Teller) -> tuple[str, ...]:
    """The skills that the repair of the likeliest fault needs and the visit has not brought along."""
    skills, work = teller.visit.skills, teller.model.repairs
    top = int(teller.weights[1:-1].argmax()) + 1 if len(teller.weights) > 2 else 0
    if skills is None or top == 0:
        return ()
    helping = [record for record, cures in zip(work.records, work.cures, strict=True) if cures[top] > 0]
    needed = [record.skill for record in helping if record.skill is not None and record.skill not in skills]
    return tuple(sorted(set(needed))) if len(needed) == len(helping) else ()


def _work(
    record: Test | Repair, action: Action, why: str, told: Told, outcomes: tuple[StepOutcome, ...], *,
    state: str, zone: str | None,
) -> Step:  # fmt: skip
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
        expected_minutes=round(action.total_minutes, 1),
        first_visit=round(action.fixed, 4),
        outcomes=outcomes,
    )


def interlock_step(interlocks: Sequence[Interlock]) -> Step:
    """What the worst hazard leaves to do, with the cautions of all."""
    worst, *others = interlocks
    also = f" Also: {', '.join(lock.title for lock in others)}." if others else ""
    cautions = dict.fromkeys(caution for lock in interlocks for caution in lock.cautions)
    return Step(worst.kind, worst.id, worst.title, worst.why + also, steps=worst.steps, cautions=tuple(cautions))


def handed_over(likeliest: int, count: int) -> tuple[str, str]:
    """What handing over is called, by the likeliest of the model's ``count`` hypotheses."""
    if likeliest == 0:
        return "no_fault_found", "No fault found"
    if likeliest == count - 1:
        return "unknown_cause", "Hand over: a cause this model does not know"
    return "hand_over", "Hand over to a specialist"


def refer_step(
    model: PlanningModel, belief: Belief, weights: Array, action: Action, lacking: Sequence[str] = (), *,
    instead: bool = False,
) -> Step:  # fmt: skip
    """Hand the job over, or back to the customer, with the reason; ``instead`` of something better.

    ``lacking`` are skills that the likeliest fault calls for.
    """
    top = int(weights.argmax())
    likeliest = named(model, belief, top)
    name, title = handed_over(top, len(weights))
    if name == "no_fault_found":
        why = f"Most likely {likeliest}: have the customer show the complaint, and check how the appliance is used."
    elif name == "unknown_cause":
        why = f"Most likely {likeliest}: hand over with all readings taken."
    elif lacking:
        name, title = "skill_needed", "Hand over to somebody who may do the work"
        why = f"The likeliest cause, {likeliest}, calls for: {', '.join(in_words(skill) for skill in lacking)}."
    else:
        why = f"The likeliest cause, {likeliest}, is not sure enough for a repair: hand over with all readings taken."
    if instead:
        why = f"Instead of going on, at this cost in all. {why}"
    steps = ("Close everything that was opened.", "Leave the readings with the job.")
    return Step(
        "refer",
        name,
        title,
        why,
        expected_cost=round(action.cost, 2),
        steps=steps,
        expected_minutes=round(action.total_minutes, 1),
        first_visit=round(action.fixed, 4),
    )


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
