"""Builds of electric ranges, the states in which work is done, and the places that must be opened."""

from __future__ import annotations

from probewright.packs import Option, OptionValue, State, Zone, from_memory
from probewright_packs.common.cautions import CLIP_FIRST, HOT_PARTS, LIVE_PARTS, PROVE_DEAD, SHARP_EDGES
from probewright_packs.common.platinum import curve_option

COIL = {"cooktop": "coil"}
RADIANT = {"cooktop": "radiant"}
VISIBLE = {"bake_element": "visible"}
HIDDEN = {"bake_element": "hidden"}

ISOLATED, POWERED, IN_USE = "isolated", "powered", "in_use"

#: What the controls are set to.  One surface unit stands for the one in question, another for all the others.
BAKE, BROIL, SURFACE, SURFACE_LOW, OTHER, LOCK = "bake", "broil", "surface", "surface_low", "surface_other", "lock"

TWO_LEGS_LIVE = (
    "One leg stays on the elements though every control is at off: only the plug or both poles of the breaker make "
    "the range dead."
)
HOT_GLASS = "Glass, coils and oven walls burn skin long after they have stopped glowing."
HEAVY = (
    "The range is heavy, and the anti-tip bracket lets go of it: let nobody lean on the open door, and hook the range "
    "back in before it is used."
)
BROKEN_GLASS = "Cracked glass cuts, and lets water reach live parts: do not switch a cracked cooktop on."


def _value(id_: str, title: str, share: float) -> OptionValue:
    return OptionValue(id_, title, from_memory(share))


OPTIONS = (
    Option("cooktop", "Cooktop", (
        _value("coil", "Coil units that plug in", 0.4),
        _value("radiant", "Radiant units under glass, with limiters", 0.6))),
    Option("bake_element", "Bake element", (
        _value("visible", "Seen in the oven", 0.55), _value("hidden", "Hidden under the oven floor", 0.45))),
    curve_option({}),
)  # fmt: skip

STATES = (
    State(
        ISOLATED, "Unplugged, or both poles of the breaker off, and proven dead", powered=False, gas_on=False,
        minutes=from_memory(4.0), risk=0,
        steps=(*PROVE_DEAD, "Prove each leg dead against neutral and against the other leg: one may be off alone."),
        cautions=(TWO_LEGS_LIVE, SHARP_EDGES, HOT_PARTS),
    ),
    State(
        IN_USE, "Put together and powered", powered=True, gas_on=False, minutes=from_memory(4.0), risk=1,
        steps=("Put back every cover that guards live parts, and set every control to off.", "Restore power."),
        cautions=(HOT_GLASS,),
    ),
    State(
        POWERED, "Powered for a reading, a cover off", powered=True, gas_on=False, minutes=from_memory(4.0), risk=2,
        steps=("Set every control to off.", *CLIP_FIRST),
        cautions=(LIVE_PARTS, TWO_LEGS_LIVE, HOT_PARTS),
    ),
)  # fmt: skip

ZONES = (
    Zone("outside", "Controls, display and cooktop as they stand", from_memory(0.0)),
    Zone("oven_cavity", "Oven cavity", from_memory(4.0),
         ("Take out the racks; undo the fixing of the element and draw its terminals forward without straining the "
          "wires.",), (HOT_PARTS, SHARP_EDGES)),
    Zone("unit_well", "A surface unit in its place", from_memory(2.0),
         ("Coils: lift the unit and pull it out of its receptacle.",), (HOT_GLASS,)),
    Zone("under_cooktop", "Under the cooktop", from_memory(8.0),
         ("Release the cooktop, lift it and prop it safely; glass is held by two people or a prop made for it.",),
         (SHARP_EDGES, BROKEN_GLASS)),
    Zone("rear_panel", "Behind the range: terminal block, element and sensor plugs", from_memory(12.0),
         ("Protect the floor and pull the range out without straining the cord.", "Take off the rear cover."),
         (HEAVY, SHARP_EDGES)),
    Zone("control_panel", "Behind the control panel: board and surface switches", from_memory(9.0),
         ("Release the control panel and support it so that no wire carries its weight.",), (SHARP_EDGES,)),
)  # fmt: skip
