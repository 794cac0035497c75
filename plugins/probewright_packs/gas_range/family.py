"""The gas range, put together."""

from __future__ import annotations

from probewright.packs import Accepted, Family, from_memory
from probewright_packs.common.costs import USUAL_COSTS
from probewright_packs.common.numbers import decades
from probewright_packs.common.supply import SUPPLY
from probewright_packs.gas_range.checklist import CHECKLIST
from probewright_packs.gas_range.closings import CLOSINGS
from probewright_packs.gas_range.complaints import COMPLAINTS
from probewright_packs.gas_range.faults import FAULTS
from probewright_packs.gas_range.functions import FUNCTIONS
from probewright_packs.gas_range.options_and_states import OPTIONS, STATES, ZONES
from probewright_packs.gas_range.parts import PARTS
from probewright_packs.gas_range.questions import QUESTIONS
from probewright_packs.gas_range.repairs import REPAIRS
from probewright_packs.gas_range.safety import CAUTIONS, INTERLOCKS, NOTICE
from probewright_packs.gas_range.tests import TESTS
from probewright_packs.gas_range.wiring import CIRCUITS

#: What a review finds and is left as it is.
ACCEPTED = (
    Accepted(
        "faults_alike", "faults supply_cord_open and board_wire_open",
        "Fewer than one range in ten has pilots on a cooktop with an electronic oven. Whoever looks for either has "
        "both before them behind one panel; only a reading of the cord from end to end would be sure.",
    ),
)  # fmt: skip

FAMILY = Family(
    id="gas_range",
    title="Gas range",
    version="1.0.0",
    supply=SUPPLY,
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
    accepted=ACCEPTED,
)
