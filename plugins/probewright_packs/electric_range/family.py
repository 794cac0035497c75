"""The electric range, put together."""

from __future__ import annotations

from probewright.packs import Family, from_memory
from probewright_packs.common.costs import USUAL_COSTS
from probewright_packs.common.numbers import decades
from probewright_packs.common.two_legs import TWO_LEGS
from probewright_packs.electric_range.checklist import CHECKLIST
from probewright_packs.electric_range.closings import CLOSINGS
from probewright_packs.electric_range.complaints import COMPLAINTS
from probewright_packs.electric_range.faults import FAULTS
from probewright_packs.electric_range.functions import FUNCTIONS
from probewright_packs.electric_range.options_and_states import OPTIONS, STATES, ZONES
from probewright_packs.electric_range.parts import PARTS
from probewright_packs.electric_range.questions import QUESTIONS
from probewright_packs.electric_range.repairs import REPAIRS
from probewright_packs.electric_range.safety import CAUTIONS, INTERLOCKS, NOTICE
from probewright_packs.electric_range.tests import TESTS
from probewright_packs.electric_range.wiring import CIRCUITS

FAMILY = Family(
    id="electric_range",
    title="Electric range",
    version="1.0.0",
    supply=TWO_LEGS,
    # An oven may be at room temperature, or still hot from use: a sensor reading alone cannot tell.
    ambient=decades(15.0, 200.0),
    options=OPTIONS,
    states=STATES,
    zones=ZONES,
    circuits=CIRCUITS,
    functions=FUNCTIONS,
    complaints=COMPLAINTS,
    tests=TESTS,
    faults=FAULTS,
    parts=PARTS,
    repairs=REPAIRS,
    interlocks=INTERLOCKS,
    closings=CLOSINGS,
    costs=USUAL_COSTS,
    unknown_rate=from_memory(0.005),
    cautions=CAUTIONS,
    notice=NOTICE,
    checklist=CHECKLIST,
    questions=QUESTIONS,
)
