"""Which of the steps that the search has priced is taken, where cost alone does not say.

1. **Doubts first.**  A reading that can be put right is read again before anything else, as long as that costs at most
   :data:`RIGHT_FIRST` more than the least: until then a wire is live, a number is not one.
2. **Several proven.**  Where two faults or more are present with a probability of at least :data:`PROVEN`, the cheapest
   repair that is as sure comes next: no test could tell one from the other.
3. **Parts on proof.**  A part that would cure with a probability under :data:`PROVEN` is not fitted while a test that
   may change what follows costs at most :data:`PROOF` more than the least: a good part swapped costs trust, too.
4. **Near-equal.**  Among tests and repairs within :data:`NEAR` of the least cost the one in the safer state is taken,
   then the one of fewer minutes, then by id.  A test that takes more than :data:`LONGER` times the minutes of the
   quickest of them is not its equal: what is quick is looked at first, and the other can still follow.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from probewright.decision.policy import Choice, Node, Option
from probewright.planning.framing import Frame
from probewright.planning.model import PlanningModel
from probewright.planning.standing import Standing

Array = NDArray[np.float64]

NEAR: Final = 0.01
LONGER: Final = 2.0
RIGHT_FIRST: Final = 0.05
PROVEN: Final = 0.8
PROOF: Final = 0.05
#: A repair below this chance is not worth a line.
SLIGHT: Final = 0.02


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

    def __init__(self, model: PlanningModel, frame: Frame, here: Standing) -> None:
        self._model, self._frame, self._here = model, frame, here

    def best(self, effort: str, node: Node) -> Action:
        """What is advised at a node."""
        return self.order(self._frame.search.choose(effort, node), node, most=1)[0]

    def order(self, choice: Choice, node: Node, most: int) -> list[Action]:
        """The advice at a node, and what else could be done, the best first; at most ``most``."""
        present = self._frame.present(node, len(self._model.hypotheses))
        cured = self._model.repairs.cures @ present
        unproven = (cured < PROVEN) & (self._model.repairs.price > 0)
        left = [self.action(option, node) for option in choice.options]
        kept = [a for i, a in enumerate(left) if i == 0 or a.kind != "repair" or cured[a.index] >= SLIGHT]
        left = sorted(kept, key=lambda action: (action.cost, action.id))
        first = self._sure(left, cured, present) or self._first(left, unproven, node)
        order = [first] if first is not None else []
        left = [action for action in left if action is not first]
        while left and len(order) < most:
            best = left[0] if left[0].kind == "refer" else _best_of_near(left, unproven)
            order.append(best)
            left.remove(best)
        return order

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

    @staticmethod
    def _sure(left: list[Action], cured: Array, present: Array) -> Action | None:
        """The cheapest sure repair where several faults are proven."""
        if int((present[1:-1] >= PROVEN).sum()) < 2:
            return None
        return next((a for a in left if a.kind == "repair" and cured[a.index] >= PROVEN), None)

    def _first(self, left: list[Action], unproven: NDArray[np.bool_], node: Node) -> Action | None:
        """What comes before the cheapest: a reading to be put right, or proof for a part."""
        least = left[0]
        if least.kind == "refer":
            return None
        tests = [action for action in left if action.kind == "test"]
        again = [a for a in tests if a.cost <= least.cost * (1 + RIGHT_FIRST) and self._here.read.get(a.id)]
        if again:
            return again[0]
        if least.kind == "test" or not unproven[least.index]:
            return None
        proofs = (a for a in tests if a.cost <= least.cost * (1 + PROOF))
        return next((a for a in proofs if self._matters(a, node)), None)

    def _matters(self, action: Action, node: Node) -> bool:
        """Whether what follows a test depends on what it shows."""
        search, place = self._frame.search, action.option.index
        outcomes = [search.after_outcome(place, k, node) for k in range(max(self._frame.groups[place]) + 1)]
        follow = [search.lead(after) for after in outcomes if after.weights.sum() > 0]
        return len({(option.kind, option.index) for option in follow}) > 1


def _best_of_near(left: list[Action], unproven: NDArray[np.bool_]) -> Action:
    """The safer, quicker of the actions that cost nearly the least; ``left`` is sorted by cost.

    A repair that is proven, or costs no part, needs no more tests; and a part that is not proven is no better than a
    test that costs less.
    """
    if left[0].kind == "repair" and not unproven[left[0].index]:
        return left[0]
    near = [a for a in left if a.cost <= left[0].cost * (1 + NEAR) and a.kind != "refer"]
    if left[0].kind == "test":
        near = [a for a in near if a.kind == "test" or not unproven[a.index]]
    longest = LONGER * min((a.minutes for a in near if a.kind == "test"), default=0.0)
    equal = [a for a in near if a.kind == "repair" or a.minutes <= longest]
    return min(equal, key=lambda a: (a.risk, a.minutes, a.id))
