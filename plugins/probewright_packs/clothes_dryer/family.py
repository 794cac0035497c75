"""The clothes dryer, put together."""

from __future__ import annotations

from probewright.packs import Family, from_memory
from probewright_packs.clothes_dryer.checklist import CHECKLIST
from probewright_packs.clothes_dryer.closings import CLOSINGS
from probewright_packs.clothes_dryer.complaints import COMPLAINTS
from probewright_packs.clothes_dryer.faults import FAULTS
from probewright_packs.clothes_dryer.functions import FUNCTIONS
from probewright_packs.clothes_dryer.options_and_states import OPTIONS, STATES, ZONES
from probewright_packs.clothes_dryer.parts import PARTS
from probewright_packs.clothes_dryer.questions import QUESTIONS
from probewright_packs.clothes_dryer.repairs import REPAIRS
from probewright_packs.clothes_dryer.safety import CAUTIONS, INTERLOCKS, NOTICE
from probewright_packs.clothes_dryer.supplies import SUPPLY
from probewright_packs.clothes_dryer.tests import TESTS
from probewright_packs.clothes_dryer.wiring import CIRCUITS
from probewright_packs.common.costs import USUAL_COSTS
from probewright_packs.common.numbers import decades

FAMILY = Family(
    id="clothes_dryer",
    title="Clothes dryer",
    version="1.0.0",
    supply=SUPPLY,
    # A dryer may be at room temperature, or still warm from use: a sensor reading alone cannot tell.
    ambient=decades(12.0, 65.0),
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
