"""The family: all that a pack says."""

from __future__ import annotations

from dataclasses import dataclass

from probewright.circuit.parts import Circuit
from probewright.figures import Figure, Spread
from probewright.packs.model.build import Option, State, Supply, Zone
from probewright.packs.model.duties import Complaint, Function
from probewright.packs.model.faults import Closing, DefaultCosts, Fault, Repair, ReplaceablePart
from probewright.packs.model.questions import Question
from probewright.packs.model.reviewing import Accepted
from probewright.packs.model.safety import Interlock
from probewright.packs.model.tests import Test


@dataclass(frozen=True, slots=True)
class Family:
    """An appliance family: all a pack says.

    ``ambient`` is the spread of the temperature (degC) at a part when nobody gave it.  ``unknown_rate`` is the prior
    probability of something that the pack does not know.  ``checklist`` names tests in the order in which the trade
    usually does them; it is what advice is compared with in simulation, and no advice depends on it.  ``questions``
    are for the customer, before a visit.  ``van`` lists the parts that are on the van of whoever uses the family, at
    hand where a case does not say what is; None where nobody said, and every part counts as at hand.  ``accepted``
    are the warnings of ``probewright pack check`` that the author knows of and accepts, each with the reason.

    >>> import dataclasses
    >>> [field.name for field in dataclasses.fields(Family)][:4]
    ['id', 'title', 'version', 'supply']
    """

    id: str
    title: str
    version: str
    supply: Supply
    ambient: Spread
    options: tuple[Option, ...]
    states: tuple[State, ...]
    zones: tuple[Zone, ...]
    circuits: tuple[Circuit, ...]
    functions: tuple[Function, ...]
    complaints: tuple[Complaint, ...]
    tests: tuple[Test, ...]
    faults: tuple[Fault, ...]
    parts: tuple[ReplaceablePart, ...]
    repairs: tuple[Repair, ...]
    interlocks: tuple[Interlock, ...]
    closings: tuple[Closing, ...]
    costs: DefaultCosts
    unknown_rate: Figure
    cautions: tuple[str, ...]
    notice: str
    demo: bool = False
    checklist: tuple[str, ...] = ()
    questions: tuple[Question, ...] = ()
    van: tuple[str, ...] | None = None
    accepted: tuple[Accepted, ...] = ()
