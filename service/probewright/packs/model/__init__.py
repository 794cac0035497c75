"""The records that describe an appliance family.

All are frozen and made once, when the pack is loaded.  Ids are ``snake_case`` and unique within their kind.  Numbers
are :class:`~probewright.figures.Figure`; distributions are :class:`~probewright.figures.Spread`.  ``when`` restricts a
record to configurations (see :mod:`probewright.circuit.parts`).  A record refuses nothing when it is made:
:func:`~probewright.packs.check.check_family` names every broken one of a family at once, when the pack is loaded.
"""

from probewright.packs.model.build import Option, OptionValue, State, Supply, Tap, Zone
from probewright.packs.model.chances import Chances, Outcomes
from probewright.packs.model.duties import Complaint, Function, Requirement
from probewright.packs.model.family import Family
from probewright.packs.model.faults import Closing, DefaultCosts, Fault, Repair, ReplaceablePart
from probewright.packs.model.questions import Answer, Question
from probewright.packs.model.reviewing import Accepted
from probewright.packs.model.safety import Interlock
from probewright.packs.model.tests import (
    DEAD_KINDS,
    LIVE_KINDS,
    Between,
    Limit,
    Model,
    Shows,
    Stated,
    Table,
    Test,
    TestKind,
    Through,
)

__all__ = [
    "DEAD_KINDS",
    "LIVE_KINDS",
    "Accepted",
    "Answer",
    "Between",
    "Chances",
    "Closing",
    "Complaint",
    "DefaultCosts",
    "Family",
    "Fault",
    "Function",
    "Interlock",
    "Limit",
    "Model",
    "Option",
    "OptionValue",
    "Outcomes",
    "Question",
    "Repair",
    "ReplaceablePart",
    "Requirement",
    "Shows",
    "State",
    "Stated",
    "Supply",
    "Table",
    "Tap",
    "Test",
    "TestKind",
    "Through",
    "Zone",
]
