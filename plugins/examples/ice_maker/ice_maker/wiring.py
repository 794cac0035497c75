"""The wiring, and what each fault does to it.

The outlet behind the refrigerator feeds the ice maker through a harness.  Its control closes one relay to harvest, for
the heater that loosens the ice and the motor that pushes it out, and another one to fill, for the water valve.
"""

from __future__ import annotations

from ice_maker.made_up import between
from probewright.packs import (
    Circuit,
    Level,
    Open,
    Part,
    Resistance,
    Source,
    Stuck,
    Switch,
    Winding,
    exactly,
    invented,
)  # fmt: skip

CIRCUIT = Circuit(
    id="ice_maker",
    reference="neutral",
    frequency=invented(60.0),
    parts=(
        Source("line", "outlet", "neutral", invented(120.0)),
        Part("harness", "outlet", "plug", Resistance(between(0.05, 0.3))),
        Switch("harvest_relay", "plug", "harvest_feed", ("harvest",), between(0.01, 0.1), driven=True),
        Part("cutout", "harvest_feed", "heater_feed", Resistance(between(0.01, 0.05))),
        Part("heater", "heater_feed", "neutral", Resistance(between(72.0, 84.0))),
        Part("motor", "harvest_feed", "neutral", Winding(between(2800.0, 3400.0), between(4.0, 8.0))),
        Switch("fill_relay", "plug", "fill_feed", ("fill",), between(0.01, 0.1), driven=True),
        Part("valve", "fill_feed", "neutral", Winding(between(170.0, 230.0), between(0.4, 0.8))),
    ),
    changes={
        "no_supply": (Level("line", exactly(invented(0.0))),),
        "harness_open": (Open("harness"),),
        "harvest_relay_open": (Stuck("harvest_relay", "open"),),
        "fill_relay_open": (Stuck("fill_relay", "open"),),
        "cutout_open": (Open("cutout"),),
        "heater_open": (Open("heater"),),
        "motor_open": (Open("motor"),),
        "valve_open": (Open("valve"),),
    },
)
