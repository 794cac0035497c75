"""The next step: what to test, repair, hand over or close, by one step of expected value.

The rules, in order:

1. **Interlocks.**  While one holds, what the worst of them leaves to do is the only step, at any cost.
2. **Done.**  The last repair took the complaint away and *no fault* has a probability of at least
   :data:`SURE_NOTHING_LEFT`; or nothing else is worth doing and no fault is likelier than :data:`HARDLY_LEFT`: close
   the job, with the closing checks of all repairs done.
3. **Cost.**  Every test and repair is priced with what follows it (:mod:`probewright.planning.outlook`), and so is the
   way out.  The least is taken.  A repair costs its part, its minutes, those to get to its state and back, opening its
   zones (once), and verification.
4. **The way out** costs a callback and then, for somebody who knows the fault, its cheapest repair.  No fault and
   something unknown can end in it only.
5. **Doubts first.**  A reading that can be put right is read again before anything else, as long as that costs at most
   :data:`RIGHT_FIRST` more than the least: until then a wire is live, a number is not one.
6. **Several proven.**  The reckoning is about one fault at a time.  Where two or more are present with a probability of
   at least :data:`PROVEN`, the cheapest repair that is as sure comes next: no test could tell one from the other.
7. **Parts on proof.**  A part that would cure with a probability under :data:`PROVEN` is not fitted while a test costs
   at most :data:`PROOF` more than the least: a good part swapped costs trust, too.
8. **Near-equal.**  Among tests and repairs within :data:`NEAR` of the least cost the one in the safer state is taken,
   then the one of fewer minutes, then by id.  A test that takes more than :data:`LONGER` times the minutes of the
   quickest of them is not its equal: what is quick is looked at first, and the other can still follow.
9. **No standstill.**  One step ahead, a test may not pay although two together would.  So before handing over while no
   course of action has a probability of :data:`DECIDED`, the test that tells most for its cost is taken, if all that
   is uncertain could be told at that rate for less than a callback.
10. **Nothing left.**  Otherwise the job is handed over: as no fault found, as unknown, or as not worth more.

A repair that has been tried is not proposed again, nor is a test that was read without a reason
(:mod:`probewright.planning.standing`).
"""

from __future__ import annotations

from collections.abc import Container, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from probewright.errors import EngineError
from probewright.packs.model import Interlock
from probewright.planning import steps
from probewright.planning.belief import Belief
from probewright.planning.costs import Prices, prices
from probewright.planning.model import PlanningModel
from probewright.planning.outlook import SLIGHT, Action, Outlook, look_ahead
from probewright.planning.standing import Standing, standing
from probewright_schemas.records import Case, CheckedReading, ClosingCheck, PartChance, Step

Array = NDArray[np.float64]

SURE_NOTHING_LEFT: Final = 0.8
HARDLY_LEFT: Final = 0.2
DECIDED: Final = 0.7
NEAR: Final = 0.01
LONGER: Final = 2.0
RIGHT_FIRST: Final = 0.05
PROVEN: Final = 0.8
PROOF: Final = 0.05
ALTERNATIVES: Final = 5


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """What the next step is wanted for; ``interlocks`` are those that hold, the worst first."""

    model: PlanningModel
    belief: Belief
    case: Case
    readings: Sequence[CheckedReading] = ()
    interlocks: Sequence[Interlock] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """The next step, others in its place (best first), parts the job may need, and what to show before leaving."""

    next: Step
    alternatives: tuple[Step, ...] = ()
    parts: tuple[PartChance, ...] = ()
    closing_checks: tuple[ClosingCheck, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class _Teller:
    """Tells actions as steps; ``causes`` and ``share`` are the names and probabilities of the likeliest hypotheses."""

    model: PlanningModel
    belief: Belief
    here: Standing
    weights: Array
    chosen: Action
    likeliest: list[int]
    causes: list[str]
    share: Array

    def step(self, action: Action) -> Step:
        if action.kind == "refer":
            instead = action is not self.chosen
            return steps.refer_step(self.model, self.belief, self.weights, action.cost, instead=instead)
        if action.kind == "repair":
            why = steps.repair_why(self.model, self.belief, self.weights, action.index)
            return steps.repair_step(self.model, self.here, action, why)
        given = self.belief.outcomes[action.id].given[self.likeliest]
        why = steps.test_why(self.causes, self.share, given, action.minutes, self.here.read.get(action.id))
        return steps.test_step(self.model, self.here, action, why)


def plan(problem: Problem) -> Plan:
    """Find the next step.

    Raises
    ------
    EngineError
        When the belief is empty, or about other faults than the model was compiled for.
    """
    model, belief, case = problem.model, problem.belief, problem.case
    if belief.faults != model.faults:
        raise EngineError("the belief is about other faults than the planning model was compiled for")
    here = standing(model, case, problem.readings)
    made = [repair for repair in model.repairs.records if repair.id in here.tried]
    checks = steps.closing_checks(model, made)
    if problem.interlocks:
        return Plan(steps.interlock_step(problem.interlocks), closing_checks=checks)
    if _is_done(problem):
        return Plan(steps.done_step(model, case.repairs_done[-1].repair, checks), closing_checks=checks)
    weights, costs = belief.weights(model.rates), prices(model, case.costs)
    outlook = look_ahead(model, belief, weights, here, costs)
    # By what is present, not by the weights: of two faults at once both are proven.
    cured = model.repairs.cures[:, 1:-1] @ belief.present
    unproven = frozenset(np.flatnonzero((cured < PROVEN) & (model.repairs.price > 0)).tolist())
    several = int((belief.present >= PROVEN).sum()) > 1
    certain = frozenset(np.flatnonzero(cured >= PROVEN).tolist()) if several else frozenset()
    order = _best(outlook, here, costs.callback, unproven, certain)
    if order[0].kind == "refer" and _helped(problem) and max(belief.present, default=0.0) <= HARDLY_LEFT:
        return Plan(steps.done_step(model, case.repairs_done[-1].repair, checks), closing_checks=checks)
    likeliest = list(outlook.likeliest)
    causes = [steps.named(model, belief, hypothesis) for hypothesis in likeliest]
    teller = _Teller(model, belief, here, weights, order[0], likeliest, causes, weights[likeliest])
    told = [teller.step(action) for action in order]
    if order[0].kind == "repair":
        checks = steps.closing_checks(model, [*made, model.repairs.records[order[0].index]])
    return Plan(told[0], tuple(told[1:]), _parts(model, belief, here, costs), checks)


def _helped(problem: Problem) -> bool:
    """Whether the last repair took the complaint away."""
    done = problem.case.repairs_done
    return bool(done) and not done[-1].complaint_remains


def _is_done(problem: Problem) -> bool:
    return _helped(problem) and problem.belief.none >= SURE_NOTHING_LEFT


def _best(
    outlook: Outlook, here: Standing, callback: float, unproven: Container[int], certain: Container[int]
) -> list[Action]:
    """The best actions in order, one more than the alternatives."""
    left = sorted(outlook.actions, key=lambda action: (action.cost, action.id))
    sure = [action for action in left if action.kind == "repair" and action.index in certain]
    first = sure[0] if sure else _first(left, outlook, here, callback, unproven)
    order = [action for action in left if action is first]
    left = [action for action in left if action is not first]
    while left and len(order) <= ALTERNATIVES:
        best = left[0] if left[0].kind == "refer" else _best_of_near(left, unproven)
        order.append(best)
        left.remove(best)
    return order


def _best_of_near(left: list[Action], unproven: Container[int]) -> Action:
    """The safer, quicker of the actions that cost nearly the least; ``left`` is sorted by cost.

    A repair that is proven, or costs no part, needs no more tests; and a part that is not proven is no better than a
    test that costs less.
    """
    if left[0].kind == "repair" and left[0].index not in unproven:
        return left[0]
    near = [a for a in left if a.cost <= left[0].cost * (1 + NEAR) and a.kind != "refer"]
    if left[0].kind == "test":
        near = [a for a in near if a.kind == "test" or a.index not in unproven]
    longest = LONGER * min((a.minutes for a in near if a.kind == "test"), default=0.0)
    equal = [a for a in near if a.kind == "repair" or a.minutes <= longest]
    return min(equal, key=lambda a: (a.risk, a.minutes, a.id))


def _first(
    left: list[Action], outlook: Outlook, here: Standing, callback: float, unproven: Container[int]
) -> Action | None:
    """What comes before the cheapest: a test against a standstill, a reading to be put right, or proof for a part."""
    least = left[0]
    if least.kind == "refer":
        return outlook.most_telling if _worth_telling(outlook, callback) else None
    tests = [action for action in left if action.kind == "test"]
    again = [a for a in tests if a.cost <= least.cost * (1 + RIGHT_FIRST) and here.read.get(a.id)]
    if again:
        return again[0]
    proofs = [a for a in tests if a.cost <= least.cost * (1 + PROOF)]
    return proofs[0] if proofs and least.kind == "repair" and least.index in unproven else None


def _worth_telling(outlook: Outlook, callback: float) -> bool:
    return outlook.most_telling is not None and outlook.decided < DECIDED and outlook.at_that_rate <= callback


def _parts(model: PlanningModel, belief: Belief, here: Standing, costs: Prices) -> tuple[PartChance, ...]:
    """The parts of the remedies of the faults that may be present, the likeliest first."""
    chances: dict[str, float] = {}
    for remedy, present in zip(costs.remedy[1:-1].tolist(), belief.present.tolist(), strict=True):
        repair = model.repairs.records[remedy] if remedy >= 0 else None
        if repair is not None and repair.part is not None and repair.id not in here.tried:
            chances[repair.part] = chances.get(repair.part, 0.0) + present
    order = sorted((-min(1.0, chance), part) for part, chance in chances.items() if chance >= SLIGHT)
    return tuple(PartChance(part, model.parts[part].title, round(-chance, 4)) for chance, part in order)
