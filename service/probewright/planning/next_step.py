"""The next step: what to test, repair, hand over or close, at the least expected cost to a proven repair.

The rules, in order:

1. **Interlocks.**  While one holds, what the worst of them leaves to do is the only step, at any cost: nothing below is
   asked then (:mod:`probewright.planning.interlocks`).
2. **Finishing.**  When the last repair took the complaint away, its closing checks come
   (:mod:`probewright.planning.finish`), and the job is done when they have all passed.
3. **Cost.**  Every test and repair is priced with what follows it (:mod:`probewright.decision.policy`), and so is the
   way out: a callback, and then, for somebody who knows the fault, its cheapest repair.  A repair costs its part, its
   minutes, those to get to its state and back, opening its zones (once), verification, and once it has helped its
   closing checks; one whose part is not at hand costs another visit besides.
4. **Choice.**  The least is taken, but for what :mod:`probewright.planning.choosing` says of doubts, proof and risk.
5. **Nothing left.**  Where handing over is the cheapest, the job is handed over: as no fault found, as unknown, for the
   want of a skill, or as not worth more.

A job is not handed over on the strength of one reading: that is read once more before.

A repair that has been tried is not proposed again, nor is a test that was read without a reason
(:mod:`probewright.planning.standing`), nor what the visit has not brought along.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from probewright.decision.policy import Choice
from probewright.errors import EngineError
from probewright.planning import steps
from probewright.planning.belief import Belief
from probewright.planning.choosing import SLIGHT, Action, Chooser
from probewright.planning.costs import Prices, prices
from probewright.planning.finish import ClosingState, finish, foreseen
from probewright.planning.framing import Frame, frame
from probewright.planning.hypotheses import Explanation
from probewright.planning.leading import Leads
from probewright.planning.model import PlanningModel
from probewright.planning.standing import Standing, standing
from probewright_schemas.records import Case, CheckedReading, ClosingCheck, Outlook, PartChance, PlannerNote, Step

Array = NDArray[np.float64]

ALTERNATIVES: Final = 5
SURE_TO_FOLLOW: Final = 0.97


@dataclass(frozen=True, slots=True, eq=False)
class Problem:
    """What the next step is wanted for, where no interlock holds; ``closing`` is what the repairs done have to show.

    ``clashing`` are the tests whose readings clash with other evidence, ``deciding`` those without whose single reading
    some fault would be likely.
    """

    model: PlanningModel
    belief: Belief
    case: Case
    readings: Sequence[CheckedReading] = ()
    closing: ClosingState = field(default_factory=ClosingState)
    clashing: Collection[str] = ()
    deciding: Collection[str] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """The next step, others in its place (best first), parts the job may need, and what to show before leaving."""

    next: Step
    alternatives: tuple[Step, ...] = ()
    parts: tuple[PartChance, ...] = ()
    closing_checks: tuple[ClosingCheck, ...] = ()
    planner: PlannerNote | None = None
    outlook: Outlook | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """A problem as the search sees it: what explains it, where the technician stands, the prices, and the decision."""

    problem: Problem
    explained: Explanation
    here: Standing
    prices: Prices
    frame: Frame
    chooser: Chooser


def lay_out(problem: Problem) -> Job:
    """Everything that a plan is made from.

    Raises
    ------
    EngineError
        When the belief is empty, or about other faults than the model was compiled for.
    """
    model, belief, case = problem.model, problem.belief, problem.case
    if belief.faults != model.faults:
        raise EngineError("the belief is about other faults than the planning model was compiled for")
    here = standing(model, case, problem.readings, problem.clashing)
    explained, costs = belief.explanation(model.rates), prices(model, case.costs, case.visit.parts_on_hand)
    framed = frame(model, belief, explained, here, costs, case.visit)
    return Job(problem, explained, here, costs, framed, Chooser(model, belief, framed, here))


def plan(problem: Problem) -> Plan:
    """Find the next step.

    Raises
    ------
    EngineError
        As :func:`lay_out`.
    """
    ending = finish(problem.model, problem.belief, problem.case, problem.closing)
    if ending.step is not None:
        return Plan(ending.step, closing_checks=problem.closing.records)
    found = _planned(lay_out(problem))
    if found.next.kind == "refer" and not set(problem.deciding) <= set(problem.clashing):
        # One reading may be misread: what alone speaks for handing over is read once more.
        doubting = replace(problem, clashing=frozenset((*problem.clashing, *problem.deciding)))
        return _planned(lay_out(doubting))
    return found


def _planned(job: Job) -> Plan:
    problem, model = job.problem, job.problem.model
    effort = "thorough" if problem.case.effort == "thorough" else "quick"
    root = job.frame.search.root
    choice = job.frame.search.choose(effort)
    order = job.chooser.order(choice, root)
    leads = Leads(model, problem.belief, job.frame, job.chooser)
    weights = job.frame.present(root, len(model.hypotheses))
    teller = steps.Teller(model, problem.belief, job.here, weights, problem.case.visit, order[0])
    first = teller.step(order[0], leads.of(order[0], thorough=True))
    checks = problem.closing.records
    if order[0].kind == "repair":
        checks = foreseen(model, problem.case, problem.closing, model.repairs.records[order[0].index])
    others = _alternatives(order[1:], leads, teller)
    return Plan(first, others, _parts(job), checks, _note(effort, choice), _outlook(order[0]))


def _alternatives(actions: Sequence[Action], leads: Leads, teller: steps.Teller) -> tuple[Step, ...]:
    """The best of them, the best repair and the way out always among them.

    A test that all but surely leads to one thing is none.
    """
    always = {id(next((a for a in actions if a.kind == kind), None)) for kind in ("repair", "refer")}
    told: list[Step] = []
    for place, action in enumerate(actions):
        to_come = sum(id(a) in always for a in actions[place:])
        if len(told) + to_come >= ALTERNATIVES and id(action) not in always:
            continue
        outcomes = leads.of(action, thorough=False)
        if action.kind != "test" or max(outcome.probability for outcome in outcomes) < SURE_TO_FOLLOW:
            told.append(teller.step(action, outcomes))
        if len(told) == ALTERNATIVES:
            break
    return tuple(told)


def _note(effort: str, choice: Choice) -> PlannerNote:
    why = None
    if choice.fell_back:
        why = (
            f"the search came to its bound after {choice.sequences} sequences of repairs; what was left was priced by "
            "repairs alone, which is never too low"
        )
    return PlannerNote(f"rollout, {effort}", choice.fell_back, why)


def _outlook(action: Action) -> Outlook:
    return Outlook(round(action.cost, 2), round(action.total_minutes, 1), round(action.fixed, 4))


def _parts(job: Job) -> tuple[PartChance, ...]:
    """The parts of the remedies of the faults that may be present, the likeliest first."""
    model, chances = job.problem.model, dict[str, float]()
    for remedy, present in zip(job.prices.remedy[1:-1].tolist(), job.problem.belief.present.tolist(), strict=True):
        repair = model.repairs.records[remedy] if remedy >= 0 else None
        if repair is not None and repair.part is not None and repair.id not in job.here.tried:
            chances[repair.part] = chances.get(repair.part, 0.0) + present
    order = sorted((-min(1.0, chance), part) for part, chance in chances.items() if chance >= SLIGHT)
    return tuple(PartChance(part, model.parts[part].title, round(-chance, 4)) for chance, part in order)
