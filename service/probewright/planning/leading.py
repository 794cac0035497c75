"""What each way in which a step may turn out would lead to."""

from __future__ import annotations

from collections.abc import Sequence

from probewright.decision.policy import Node
from probewright.planning.belief import Belief
from probewright.planning.choosing import Action, Chooser
from probewright.planning.framing import Frame
from probewright.planning.model import PlanningModel, in_sentence
from probewright.planning.steps import handed_over
from probewright_schemas.records import LeadsTo, StepOutcome

#: Outcomes less likely than this are not told, unless they show a hazard.
_LEAST = 0.005
#: What follows when the complaint is gone.
CLOSE = LeadsTo("done", "closing_checks", "Make the closing checks")


class Leads:
    """Looks one step beyond a step."""

    def __init__(self, model: PlanningModel, belief: Belief, frame: Frame, chooser: Chooser) -> None:
        self._model, self._belief, self._frame, self._chooser = model, belief, frame, chooser
        self._hazards = {lock.id for lock in model.family.interlocks}

    def of(self, action: Action, *, thorough: bool) -> tuple[StepOutcome, ...]:
        """The outcomes of a step, the likeliest first; ``thorough`` to choose what follows as a next step is chosen.

        Otherwise what follows is what the policy does with which the step was priced.
        """
        if action.kind == "test":
            return self._of_test(action, thorough=thorough)
        return self._of_repair(action, thorough=thorough) if action.kind == "repair" else ()

    def _of_test(self, action: Action, *, thorough: bool) -> tuple[StepOutcome, ...]:
        place = action.option.index
        groups = self._frame.groups[place]
        led = [self._after(action, k, thorough=thorough) for k in range(max(groups) + 1)]
        groups, led = _alike(groups, led, measured=self._belief.outcomes[action.id].unit is not None)
        labels = self._belief.told(action.id, groups)
        found = [
            StepOutcome(label, f"{label[0].upper()}{label[1:]}: {in_sentence(to.title)}.", round(probability, 4), to)
            for label, (probability, to) in zip(labels, led, strict=True)
            if probability >= _LEAST or (to.id in self._hazards and probability > 0)
        ]
        return tuple(sorted(found, key=lambda outcome: -outcome.probability))

    def _after(self, action: Action, group: int, *, thorough: bool) -> tuple[float, LeadsTo]:
        """How likely a group of outcomes is, and what it leads to."""
        search, place = self._frame.search, action.option.index
        node = search.after_outcome(place, group)
        probability = float(node.weights.sum()) / float(search.root.weights.sum())
        shown = self._frame.groups[place].index(group)
        hazard = self._model.hazard(action.id, self._belief.outcomes[action.id], shown)
        if hazard is not None:
            return probability, LeadsTo(hazard.kind, hazard.id, hazard.title)
        if not probability > 0:
            return 0.0, CLOSE  # never shown, so never told
        return probability, self._next(node, thorough=thorough)

    def _of_repair(self, action: Action, *, thorough: bool) -> tuple[StepOutcome, ...]:
        search = self._frame.search
        node = search.after_failed(action.option.index)
        remains = float(node.weights.sum()) / float(search.root.weights.sum())
        gone = f"The complaint is gone: {in_sentence(CLOSE.title)}."
        found = [StepOutcome("complaint gone", gone, round(1.0 - remains, 4), CLOSE)]
        if remains >= _LEAST:
            leads_to = self._next(node, thorough=thorough)
            text = f"The complaint remains: {in_sentence(leads_to.title)}."
            found.append(StepOutcome("complaint remains", text, round(remains, 4), leads_to))
        return tuple(found)

    def _next(self, node: Node, *, thorough: bool) -> LeadsTo:
        if thorough:
            action = self._chooser.best("quick", node)
        else:
            action = self._chooser.action(self._frame.search.lead(node), node)
        return self._told(action, node)

    def _told(self, action: Action, node: Node) -> LeadsTo:
        option = action.option
        if option.kind == "test":
            return LeadsTo("test", action.id, self._model.tests.records[action.index].title)
        if option.kind == "repair":
            return LeadsTo("repair", action.id, self._model.repairs.records[action.index].title)
        present = self._frame.present(node, len(self._model.hypotheses))
        return LeadsTo("refer", *handed_over(int(present.argmax()), len(present)))


def _alike(
    groups: Sequence[int], led: list[tuple[float, LeadsTo]], *, measured: bool
) -> tuple[tuple[int, ...], list[tuple[float, LeadsTo]]]:
    """Outcomes that lead to the same taken together; of measured tests only neighbours."""
    number: dict[int, int] = {}
    kept: list[tuple[float, LeadsTo]] = []
    for group, (probability, to) in enumerate(led):
        places = range(len(kept) - 1, len(kept)) if measured else range(len(kept))
        same = next((i for i in places if i >= 0 and kept[i][1] == to), None)
        if same is None:
            kept.append((probability, to))
            number[group] = len(kept) - 1
        else:
            kept[same] = (kept[same][0] + probability, to)
            number[group] = same
    return tuple(number[group] for group in groups), kept
