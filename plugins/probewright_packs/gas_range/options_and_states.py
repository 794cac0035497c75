"""Builds of gas ranges, the states in which work is done, and the places that must be opened."""

from __future__ import annotations

from probewright.packs import Option, OptionValue, State, Zone, from_memory
from probewright_packs.common.cautions import (
    CLIP_FIRST,
    HOT_PARTS,
    LIVE_PARTS,
    NO_FLAME,
    ODOUR_FIRST,
    PROVE_DEAD,
    SHARP_EDGES,
)  # fmt: skip
from probewright_packs.common.platinum import curve_option

ELECTRONIC = {"oven_control": "electronic"}
MECHANICAL = {"oven_control": "mechanical"}
HOT_SURFACE = {"oven_ignition": "hot_surface"}
OVEN_SPARK = {"oven_ignition": "spark"}
OVEN_PILOT = {"oven_ignition": "standing_pilot"}
#: Ovens whose burners are started by electricity.
OVEN_ELECTRIC = {"oven_ignition": ("hot_surface", "spark")}
COOKTOP_SPARK = {"cooktop_ignition": ("spark", "spark_flame_sensing")}
FLAME_SENSING = {"cooktop_ignition": "spark_flame_sensing"}
COOKTOP_PILOT = {"cooktop_ignition": "standing_pilot"}

ISOLATED, LIVE_GAS_OFF, LIVE = "isolated", "live_gas_off", "live"

_SHUT_GAS = "Shut the gas at the appliance valve, noting how it stood"


def _value(id_: str, title: str, share: float) -> OptionValue:
    return OptionValue(id_, title, from_memory(share))


OPTIONS = (
    Option("fuel", "Fuel", (
        _value("natural_gas", "Natural gas", 0.88), _value("propane", "Propane", 0.12))),
    Option("oven_ignition", "Ignition of the oven", (
        _value("hot_surface", "Hot-surface igniter", 0.86), _value("spark", "Spark", 0.1),
        _value("standing_pilot", "Standing pilot", 0.04))),
    Option("igniter_style", "Style of the hot-surface igniter", (
        _value("flat", "Flat, about 3.2 to 3.6 A", 0.6), _value("round", "Round, about 2.5 to 3.0 A", 0.4)),
        HOT_SURFACE),
    Option("cooktop_ignition", "Ignition of the cooktop", (
        _value("spark", "Spark while a knob is at light", 0.8),
        _value("spark_flame_sensing", "Spark that senses the flame and lights again by itself", 0.12),
        _value("standing_pilot", "Standing pilots", 0.08))),
    Option("oven_control", "Oven control", (
        _value("electronic", "Electronic, with a temperature sensor", 0.88),
        _value("mechanical", "Mechanical thermostat", 0.12))),
    curve_option(ELECTRONIC),
)  # fmt: skip

STATES = (
    State(
        ISOLATED, "Cord unplugged or breaker off and proven dead, gas shut", powered=False, gas_on=False,
        minutes=from_memory(4.0), risk=0,
        steps=(*PROVE_DEAD, f"{_SHUT_GAS}."),
        cautions=(SHARP_EDGES, HOT_PARTS),
    ),
    State(
        LIVE_GAS_OFF, "Powered, gas shut", powered=True, gas_on=False, minutes=from_memory(4.0), risk=1,
        steps=(f"{_SHUT_GAS}; air the room if any gas has come out, and set every knob to off.", *CLIP_FIRST),
        cautions=(LIVE_PARTS, HOT_PARTS),
    ),
    State(
        LIVE, "Powered, gas on", powered=True, gas_on=True, minutes=from_memory(4.0), risk=2,
        steps=("Close every panel that guards live parts, and set every knob to off.",
               "Smell for gas; when there is none, open the gas at the appliance valve and smell again. Check a joint "
               "that was opened with leak solution before anything is lit.",
               "Restore power."),
        cautions=(NO_FLAME, ODOUR_FIRST, HOT_PARTS, "Ventilate the room while burners are tried."),
    ),
)  # fmt: skip

ZONES = (
    Zone("outside", "Outlet, controls and display", from_memory(0.0)),
    Zone("oven_cavity", "Oven cavity", from_memory(6.0),
         ("Take out the racks and the oven bottom, and the flame spreader where it hides the burner.",),
         (HOT_PARTS, SHARP_EDGES)),
    Zone("cooktop", "Grates, caps and burner heads", from_memory(3.0),
         ("Take off the grates, note how each burner's head and cap sits, and take them off.",), (HOT_PARTS,)),
    Zone("under_cooktop", "Under the cooktop", from_memory(10.0),
         ("Take off the grates and caps, release the cooktop, lift it and prop it safely.",), (SHARP_EDGES,)),
    Zone("rear_panel", "Behind the range", from_memory(14.0),
         ("Protect the floor and pull the range out without straining the cord or the gas connector.",
          "Take off the rear cover."),
         ("The range is heavy, and the anti-tip bracket lets go of it: let nobody lean on the open door, and hook the "
          "range back in before it is used.", SHARP_EDGES)),
    Zone("control_panel", "Behind the control panel", from_memory(12.0),
         ("Release the control panel and support it so that no wire carries its weight.",), (SHARP_EDGES,)),
    Zone("gas_line", "Gas valve, regulator and pipe", from_memory(8.0),
         ("Reach the regulator and the appliance valve, through the drawer or the rear.",), (NO_FLAME,)),
    # Fitted with everything shut: gas comes back on the way to the reading.
    Zone("pressure_tap", "Pressure tap of the regulator or the manifold", from_memory(12.0),
         ("Reach the pressure tap, take out its plug and fit the manometer to it.",), (NO_FLAME,)),
)  # fmt: skip
