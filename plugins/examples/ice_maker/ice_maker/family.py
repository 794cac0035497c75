"""The ice maker, put together."""

from __future__ import annotations

from ice_maker.complaints import COMPLAINTS, FUNCTIONS
from ice_maker.faults import FAULTS, PARTS
from ice_maker.made_up import between
from ice_maker.places import STATES, ZONES
from ice_maker.repairs import CLOSINGS, REPAIRS
from ice_maker.safety import CAUTIONS, INTERLOCKS, NOTICE
from ice_maker.tests import TESTS
from ice_maker.wiring import CIRCUIT
from probewright.packs import DefaultCosts, Family, Supply, invented, normal

FAMILY = Family(
    id="ice_maker",
    title="Ice maker",
    version="0.1.0",
    demo=True,
    supply=Supply(invented(120.0), normal(invented(120.0), invented(2.5))),
    ambient=between(-20.0, 30.0),
    options=(),
    states=STATES,
    zones=ZONES,
    circuits=(CIRCUIT,),
    functions=FUNCTIONS,
    complaints=COMPLAINTS,
    tests=TESTS,
    faults=FAULTS,
    parts=PARTS,
    repairs=REPAIRS,
    interlocks=INTERLOCKS,
    closings=CLOSINGS,
    costs=DefaultCosts(
        labour_per_hour=invented(90.0),
        callback=invented(180.0),
        verification_minutes=invented(6.0),
        return_visit=invented(110.0),
    ),
    unknown_rate=invented(0.004),
    cautions=CAUTIONS,
    notice=NOTICE,
    checklist=(
        "arm_position", "fill_tube", "mould_warmth", "ejector_motion", "fill_stream", "plug_voltage",
        "outlet_voltage", "heater_feed_voltage", "cutout_continuity", "heater_resistance", "motor_resistance",
        "valve_feed_voltage", "valve_resistance", "water_line", "fill_tube_drip", "wiring_condition",
        "mould_insulation",
    ),
)  # fmt: skip
