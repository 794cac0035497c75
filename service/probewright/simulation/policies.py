"""Who decides what to do: the planner, and the three ways of working that it is compared with.

Each sees the case alone.  All stop where an interlock holds, and make the closing checks of what they have mended.

- ``planner``: the engine's own next step.
- ``checklist``: the family's tests in the trade's usual order, those that bear on the complaint, until a repair cures
  with a probability of :data:`SURE_ENOUGH`; with the list at its end, repairs by chance over cost, as long as they pay.
- ``likeliest``: no test; the repair that most likely cures, as long as it pays.
- ``one_step``: one step of expected value, without looking further ahead.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Protocol

from probewright import engine
from probewright.packs.model import Repair
from probewright.packs.registry import LoadedPack
from probewright.settings import Settings
from probewright.simulation.bearing import Believed, Mind
from probewright.simulation.ledger import Ledger
from probewright_schemas.records import Case, Effort, StepKind

SURE_ENOUGH = 0.8
#: How often a closing check is read before a technician leaves it at that.
MOST_CHECKS = 2


@dataclass(frozen=True, slots=True)
class Move:
    """What to do next; ``id`` is the test or repair."""

    kind: StepKind
    id: str = ""


@dataclass(frozen=True, slots=True)
class Scene:
    """What a technician has before him: the case so far, the bill so far, and what this build has."""

    case: Case
    ledger: Ledger
    tests: Collection[str]
    repairs: Sequence[Repair]

    @property
    def untried(self) -> list[Repair]:
        """Repairs that were not done yet."""
        done = {repair.repair for repair in self.case.repairs_done}
        return [repair for repair in self.repairs if repair.id not in done]

    @property
    def solved(self) -> bool:
        """Whether the last repair took the complaint away."""
        return bool(self.case.repairs_done) and not self.case.repairs_done[-1].complaint_remains


class Policy(Protocol):
    """Decides what to do next."""

    def __call__(self, scene: Scene) -> Move:
        """The next move."""


def planner(pack: LoadedPack, settings: Settings, effort: Effort) -> Policy:
    """Do what the engine advises."""

    def policy(scene: Scene) -> Move:
        step = engine.diagnose(replace(scene.case, effort=effort), pack, settings).next
        return Move("refer") if step is None else Move(step.kind, step.id)

    return policy


def checklist(pack: LoadedPack, settings: Settings) -> Policy:
    """Go through the family's checklist."""
    mind, order = Mind(pack, settings), pack.family.checklist
    known = {test.id: test.measures for test in pack.family.tests}

    def policy(scene: Scene) -> Move:
        believed = mind.believed(scene.case)
        ended = _ended(scene, believed, mind)
        if ended is not None:
            return ended
        sure = [r for r in scene.untried if chance(r, believed.present) >= SURE_ENOUGH]
        if sure:
            return Move("repair", min(sure, key=lambda r: (-chance(r, believed.present), _cost(scene, r), r.id)).id)
        bears = mind.bearing(scene.case)
        noted = scene.case.conditions.supply_voltage is not None
        read = {reading.test for reading in scene.case.readings}
        for test in order:
            if test in bears and test in scene.tests and test not in read and not (noted and known[test]):
                return Move("test", test)
        return by_chance_over_cost(scene, believed, mind)

    return policy


def likeliest(pack: LoadedPack, settings: Settings) -> Policy:
    """Swap the likeliest part."""
    mind = Mind(pack, settings)

    def policy(scene: Scene) -> Move:
        believed = mind.believed(scene.case)
        ended = _ended(scene, believed, mind)
        if ended is not None:
            return ended
        best = max(scene.untried, key=lambda r: (chance(r, believed.explains), r.id), default=None)
        if best is None or _cost(scene, best) >= _saves(best, believed, mind):
            return Move("refer")
        return Move("repair", best.id)

    return policy


def one_step(pack: LoadedPack, settings: Settings) -> Policy:
    """Take the test after which repairs alone cost least, or the first of those repairs where no test pays at once."""
    mind = Mind(pack, settings)

    def policy(scene: Scene) -> Move:
        ended = _ended(scene, mind.believed(scene.case), mind)
        if ended is not None:
            return ended
        job = engine.laid_out(scene.case, pack, settings)
        if job is None:
            return Move("refer")
        found, model = job.frame.search.one_step(), job.problem.model
        if found.kind == "test":
            return Move("test", model.tests.records[job.frame.tests[found.index]].id)
        if found.kind == "repair":
            return Move("repair", model.repairs.records[job.frame.repairs[found.index]].id)
        return Move("refer")

    return policy


def chance(repair: Repair, weights: Mapping[str, float]) -> float:
    """Probability that a repair cures what is wrong."""
    return min(1.0, sum(float(cure) * weights.get(fault, 0.0) for fault, cure in repair.cures.items()))


def by_chance_over_cost(scene: Scene, believed: Believed, mind: Mind) -> Move:
    """The first of the repairs in the order of chance over cost, or the way out where that costs less.

    The way out is taken wherever along the sequence it is cheapest, found backwards.
    """
    order = sorted(
        (r for r in scene.untried if chance(r, believed.explains) > 0),
        key=lambda r: (-chance(r, believed.explains) / _cost(scene, r), r.id),
    )
    left, steps = dict(believed.explains), []
    rest = believed.none + believed.unknown
    for repair in order:
        steps.append((_cost(scene, repair), rest + sum(left.values()), _way_out(left, rest, mind)))
        left = {fault: weight * (1 - float(repair.cures.get(fault, 0.0))) for fault, weight in left.items()}
    best = _way_out(left, rest, mind)
    going_on = best
    for cost, mass, out in reversed(steps):
        going_on = cost * mass + best
        best = min(out, going_on)
    if not steps or going_on >= steps[0][2]:
        return Move("refer")
    return Move("repair", order[0].id)


def _ended(scene: Scene, believed: Believed, mind: Mind) -> Move | None:
    """What an interlock, or closing the job, leaves to do; closing checks are the engine's, the same for everybody."""
    if believed.halt is not None:
        return Move(believed.halt.kind, believed.halt.id)
    if not scene.solved:
        return None
    step = engine.diagnose(scene.case, mind.pack, mind.settings).next
    if step is None or step.kind != "test" or step.id not in mind.closing_tests(scene.case):
        return Move("done")
    after = scene.case.repairs_done[-1].repair
    made = sum(reading.test == step.id and reading.after_repair == after for reading in scene.case.readings)
    return Move("test", step.id) if made < MOST_CHECKS else Move("done")


def _cost(scene: Scene, repair: Repair) -> float:
    ledger = scene.ledger
    return max(ledger.repair_minutes(repair) * ledger.per_minute + ledger.price(repair), 1e-6)


def _saves(repair: Repair, believed: Believed, mind: Mind) -> float:
    """What the way out would cost where this repair cures."""
    cured = {f: believed.explains.get(f, 0.0) * float(cure) for f, cure in repair.cures.items()}
    return _way_out(cured, 0.0, mind)


def _way_out(weights: Mapping[str, float], rest: float, mind: Mind) -> float:
    """A callback, and then the remedy of what is wrong; weighed, so not divided by the sum of the weights."""
    follow_up = sum(weight * mind.remedies.get(fault, 0.0) for fault, weight in weights.items())
    return float(mind.pack.family.costs.callback) * (rest + sum(weights.values())) + follow_up
