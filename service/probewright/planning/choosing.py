"""Which of the steps that the search has priced is taken, where cost alone does not say.

1. **Hazards first.**  A test that would show what stops all work (escaping gas, carbon monoxide) with a probability of
   at least :data:`ALARMING` (:data:`BEFORE_LEAVING` where the job would be handed over) comes before anything else,
   whatever it costs, unless a repair is proven: that makes an end of it, and its closing checks look for what is left.
2. **Several proven.**  Where two faults or more are present with a probability of at least :data:`PROVEN`, the cheapest
   repair that is as sure comes next: no test could tell one from the other.
3. **Doubts first.**  A reading that can be put right is read again before anything else, as long as that costs at most
   :data:`RIGHT_FIRST` more than the least (:data:`NO_HASTE` where the job would be handed over): until then
   a wire is live, a number is not one.
4. **Proof.**  A repair that would cure with a probability under :data:`PROVEN` is not made while a test that would turn
   one away from it, in at least :data:`PROVES` of the cases in which it is wrong, costs at most :data:`PROOF` more than
   the least (:data:`PROOF_OF_WORK` where it takes no part): a good part swapped costs trust, too.  Nor is such a part
   fitted while work that takes none costs hardly more.
5. **No hasty leaving.**  Before a job is handed over, a test that may yet show what to repair is done, as long as it
   costs at most :data:`NO_HASTE` more in all and the job then ends at this visit in at least :data:`MAY_END` of the
   cases: whoever drives away has to come back.
6. **Near-equal.**  Among tests and repairs within :data:`NEAR` of the least cost the one in the safer state is taken,
   then the one of fewer minutes, then of less cost.  A test that takes more than :data:`LONGER` times the minutes of
   the quickest of them is not its equal: what is quick is looked at first, and the other can still follow.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from probewright.decision.policy import Choice, Node, Option
from probewright.planning.belief import Belief
from probewright.planning.framing import Frame
from probewright.planning.model import PlanningModel
from probewright.planning.standing import Standing

Array = NDArray[np.float64]

NEAR: Final = 0.01
LONGER: Final = 2.0
RIGHT_FIRST: Final = 0.05
NO_HASTE: Final = 0.2
MAY_END: Final = 0.02
PROVEN: Final = 0.8
PROOF: Final = 0.05
PROOF_OF_WORK: Final = 0.025
PROVES: Final = 0.3
#: Share of its chance that a repair keeps at most when a test speaks against it, and how likely that must be.
SPEAKS_AGAINST: Final = 0.7
ACQUITS: Final = 0.1
#: A repair below this chance is not worth a line.
SLIGHT: Final = 0.02
#: Chance of a hazard from which it is looked for before anything else.
ALARMING: Final = 0.2
BEFORE_LEAVING: Final = 0.05


@dataclass(frozen=True, slots=True)
class Action:
    """Something that can be done, and what comes of it.

    Attributes
    ----------
    kind : "test", "repair" or "refer"
    index : int
        Position among the model's tests or repairs; -1 to refer.
    id : str
    cost, total_minutes : float
        Expected, of it and of all that follows.
    fixed : float
        Probability that the job ends at this visit with the complaint gone.
    risk : int
        Of its state.
    minutes : float
        Its own: way and work.
    option : Option
        As the search has it.
    """

    kind: Literal["test", "repair", "refer"]
    index: int
    id: str
    cost: float
    total_minutes: float
    fixed: float
    risk: int
    minutes: float
    option: Option


class Chooser:
    """Puts priced steps into the order in which they are advised."""

    def __init__(self, model: PlanningModel, belief: Belief, frame: Frame, here: Standing) -> None:
        self._model, self._belief, self._frame, self._here = model, belief, frame, here
        self._known: dict[str, bool] = {}

    def best(self, effort: str, node: Node) -> Action:
        """What is advised at a node."""
        return self.order(self._frame.search.choose(effort, node), node)[0]

    def order(self, choice: Choice, node: Node) -> list[Action]:
        """The advice at a node, and then what else could be done, the cheapest first."""
        present = self._frame.present(node, len(self._model.hypotheses))
        cured = self._model.repairs.cures @ present
        left = [self.action(option, node) for option in choice.options]
        kept = [a for i, a in enumerate(left) if i == 0 or a.kind != "repair" or cured[a.index] >= SLIGHT]
        left = sorted(kept, key=lambda action: (action.cost, action.id))
        first = self._advised(left, cured, present, node)
        return [first, *(action for action in left if action is not first)]

    def _advised(self, left: list[Action], cured: Array, present: Array, node: Node) -> Action:
        """What the rules pick from the actions, sorted by cost."""
        proven = left[0].kind == "repair" and cured[left[0].index] >= PROVEN
        urgent = None if proven else self._alarming(left, node)
        urgent = urgent or self._sure(left, cured, present) or self._doubted(left)
        if urgent is not None:
            return urgent
        first = self._first(left, cured, node)
        if first is None:
            first = left[0] if left[0].kind == "refer" else self._best_of_near(left, cured, node)
        idle = first is not left[0] and first.kind == "test" and not self._matters(first, node)
        return left[0] if idle and not self._acquits(first, left[0], node) else first

    def _acquits(self, test: Action, repair: Action, node: Node) -> bool:
        """Whether a test may well speak against a repair, though that would follow all the same."""
        if repair.kind != "repair":
            return False
        cures, acquitted = self._model.repairs.cures[repair.index], 0.0
        before, mass = float(cures @ self._frame.present(node, len(cures))), float(node.weights.sum())
        for group in range(max(self._frame.groups[test.option.index]) + 1):
            after = self._frame.search.after_outcome(test.option.index, group, node)
            share = float(after.weights.sum()) / mass
            if share > 0 and float(cures @ self._frame.present(after, len(cures))) < SPEAKS_AGAINST * before:
                acquitted += share
        return acquitted >= ACQUITS

    def _matters(self, action: Action, node: Node) -> bool:
        """Whether what is best after a test depends on what it shows; asked at the root only, for it takes long."""
        search, place = self._frame.search, action.option.index
        if node is not search.root:
            return True
        if action.id not in self._known:
            stops, start = search.decision.stops, int(search.decision.starts[place])
            best: set[tuple[str, int]] = set()
            for group in range(max(self._frame.groups[place]) + 1):
                after = search.after_outcome(place, group)
                if stops is not None and stops[start + group]:
                    best.add(("stop", 0))
                elif after.weights.sum() > 0:
                    option = search.choose("quick", after).best
                    best.add((option.kind, option.index))
            self._known[action.id] = len(best) > 1
        return self._known[action.id]

    def action(self, option: Option, node: Node) -> Action:
        """An option of the search as a step of the model."""
        model, ground = self._model, self._model.ground
        minutes = self._frame.search.own_minutes(option, node)
        if option.kind == "way_out":
            return Action("refer", -1, "", option.cost, option.minutes, option.fixed, 0, minutes, option)
        if option.kind == "test":
            index = int(self._frame.tests[option.index])
            name, state = model.tests.records[index].id, int(model.tests.state[index])
        else:
            index = int(self._frame.repairs[option.index])
            name, state = model.repairs.records[index].id, int(model.repairs.state[index])
        risk = ground.states[state].risk
        return Action(option.kind, index, name, option.cost, option.minutes, option.fixed, risk, minutes, option)

    def _alarming(self, left: list[Action], node: Node) -> Action | None:
        """The test that looks for a likely hazard."""
        enough = (BEFORE_LEAVING if left[0].kind == "refer" else ALARMING) * float(node.weights.sum())
        found = [a for a in left if a.kind == "test" and self._alarm(a, node) >= enough]
        return min(found, key=lambda a: (a.risk, a.minutes, a.id), default=None)

    def _alarm(self, action: Action, node: Node) -> float:
        """Weight of the outcomes of a test after which everything stops."""
        decision, place = self._frame.search.decision, action.option.index
        rows = range(int(decision.starts[place]), int(decision.starts[place + 1]))
        return sum(
            float(node.weights @ decision.outcome[row])
            for group, row in enumerate(rows)
            if decision.stops is not None and decision.stops[row] and self._stops(action.id, place, group)
        )

    def _stops(self, test: str, place: int, group: int) -> bool:
        hazard = self._model.hazard(test, self._belief.outcomes[test], self._frame.groups[place].index(group))
        return hazard is not None and hazard.kind == "stop"

    @staticmethod
    def _sure(left: list[Action], cured: Array, present: Array) -> Action | None:
        """The cheapest sure repair where several faults are proven."""
        if int((present[1:-1] >= PROVEN).sum()) < 2:
            return None
        return next((a for a in left if a.kind == "repair" and cured[a.index] >= PROVEN), None)

    def _doubted(self, left: list[Action]) -> Action | None:
        """A reading to be put right before anything else."""
        margin = NO_HASTE if left[0].kind == "refer" else RIGHT_FIRST
        again = (a for a in left if a.kind == "test" and self._here.read.get(a.id))
        return next((a for a in again if a.cost <= left[0].cost * (1 + margin)), None)

    def _first(self, left: list[Action], cured: Array, node: Node) -> Action | None:
        """What comes before the cheapest: a test before leaving, or proof for a repair."""
        least = left[0]
        tests = [action for action in left if action.kind == "test"]
        if least.kind == "refer":
            return self._before_leaving(least, tests)
        if least.kind == "test" or cured[least.index] >= PROVEN:
            return None
        repair, wanted = (least.option.kind, least.option.index), PROVES * (1.0 - float(cured[least.index]))
        takes_a_part = self._model.repairs.price[least.index] > 0
        margin = PROOF if takes_a_part else PROOF_OF_WORK
        proofs = (a for a in tests if a.cost <= least.cost * (1 + margin))
        proof = next((a for a in proofs if 1.0 - self._follows(a, node).get(repair, 0.0) >= wanted), None)
        if proof is None and takes_a_part:
            work = (a for a in left if a.kind == "repair" and not self._model.repairs.price[a.index] > 0)
            proof = next((a for a in work if a.cost <= least.cost * (1 + PROOF)), None)
        return proof

    @staticmethod
    def _before_leaving(least: Action, tests: list[Action]) -> Action | None:
        """A test that may yet end the job at this visit, where handing over is hardly cheaper."""
        near = (a for a in tests if a.cost <= least.cost * (1 + NO_HASTE))
        return next((a for a in near if a.fixed >= MAY_END), None)

    def _follows(self, action: Action, node: Node) -> dict[tuple[str, int], float]:
        """What may follow a test, and how likely each is."""
        search, place, mass = self._frame.search, action.option.index, float(node.weights.sum())
        found: dict[tuple[str, int], float] = {}
        for group in range(max(self._frame.groups[place]) + 1):
            after = search.after_outcome(place, group, node)
            share = float(after.weights.sum()) / mass
            if share > 0:
                lead = search.lead(after)
                found[lead.kind, lead.index] = found.get((lead.kind, lead.index), 0.0) + share
        return found

    def _turns(self, action: Action, node: Node) -> float:
        """How likely a test is to turn what follows from what mostly follows it."""
        return 1.0 - max(self._follows(action, node).values())

    def _best_of_near(self, left: list[Action], cured: Array, node: Node) -> Action:
        """The safer, quicker of the actions that cost nearly the least; ``left`` is sorted by cost.

        A repair that is proven needs no more tests; and one that is not is no better than a test that costs less.  A
        test that is much less likely to turn what follows is not equal, however quick it is.
        """
        least = left[0]
        if least.kind == "repair" and cured[least.index] >= PROVEN:
            return least
        near = [a for a in left if a.cost <= least.cost * (1 + NEAR) and a.kind != "refer"]
        if least.kind == "test":
            near = [a for a in near if a.kind == "test" or cured[a.index] >= PROVEN]
        if least.kind == "test" and len(near) > 1:
            enough = self._turns(least, node) / 2
            near = [a for a in near if a is least or a.kind == "repair" or self._turns(a, node) > enough]
        longest = LONGER * min((a.minutes for a in near if a.kind == "test"), default=0.0)
        equal = [a for a in near if a.kind == "repair" or a.minutes <= longest]
        return min(equal, key=lambda a: (a.risk, a.minutes, a.cost, a.id))
