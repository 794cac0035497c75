"""Builds of clothes dryers, the states in which work is done, and the places that must be opened."""

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

ELECTRIC = {"heat": "electric"}
GAS = {"heat": "gas"}
NATURAL_GAS = {"fuel": "natural_gas"}
TIMER = {"control": "timer"}
ELECTRONIC = {"control": "electronic"}

ISOLATED, POWERED, RUNNING = "isolated", "powered", "running"
#: For looks from outside at a dryer that stands: no change of state is worth them.
ANY_STATE = (ISOLATED, POWERED, RUNNING)

DRUM_MOVES = "Drum, belt, pulleys and fan start without warning: no loose sleeves, cords or hair, and hands well clear."
TWO_LEGS_LIVE = (
    "In an electric dryer a leg stays live at the terminals though the control is at off: only the plug or both poles "
    "of the breaker make it dead."
)
LINT_BURNS = "Lint burns like tinder: clear it away from wiring, motor and heater before power is restored."
HEAT_WITHOUT_TURNING = "Stop at once when it heats and the drum stands: clothes and lint catch fire."


def _value(id_: str, title: str, share: float) -> OptionValue:
    return OptionValue(id_, title, from_memory(share))


OPTIONS = (
    Option("heat", "Heat", (
        _value("electric", "Electric, 120/240 V", 0.78), _value("gas", "Gas, 120 V", 0.22))),
    Option("fuel", "Fuel", (
        _value("natural_gas", "Natural gas", 0.88), _value("propane", "Propane", 0.12)), GAS),
    Option("control", "Control", (
        _value("timer", "Timer, with a cycling thermostat", 0.5),
        _value("electronic", "Electronic board, with an outlet sensor and moisture bars", 0.5))),
)  # fmt: skip

_SHUT_GAS = "Of a gas dryer, shut the gas at the appliance valve, noting how it stood"

STATES = (
    State(
        ISOLATED, "Unplugged or breaker off and proven dead, gas shut", powered=False, gas_on=False,
        minutes=from_memory(4.0), risk=0,
        steps=(*PROVE_DEAD, f"{_SHUT_GAS}."),
        cautions=(TWO_LEGS_LIVE, SHARP_EDGES, HOT_PARTS),
    ),
    State(
        POWERED, "Powered for a reading, gas shut", powered=True, gas_on=False, minutes=from_memory(4.0), risk=1,
        steps=(f"{_SHUT_GAS}.",
               "See that the drum is empty and that nothing lies against belt, pulleys or fan.", *CLIP_FIRST,
               "Set the control to off before power is restored, and as soon as the reading is taken."),
        cautions=(LIVE_PARTS, TWO_LEGS_LIVE, DRUM_MOVES, HOT_PARTS),
    ),
    State(
        RUNNING, "Put together and running, gas on", powered=True, gas_on=True, minutes=from_memory(5.0), risk=2,
        steps=("Put back every panel and guard, the lint screen and the vent.",
               "Of a gas dryer, smell for gas; when there is none, open the gas at the appliance valve and smell "
               "again. Check a joint that was opened with leak solution before anything is lit.",
               "Restore power."),
        cautions=(HEAT_WITHOUT_TURNING, NO_FLAME, ODOUR_FIRST, HOT_PARTS),
    ),
)  # fmt: skip

ZONES = (
    Zone("outside", "Controls, door, drum and lint screen", from_memory(0.0)),
    Zone("behind", "Behind the dryer: outlet, terminals and vent connection", from_memory(6.0),
         ("Protect the floor; of a stacked dryer secure both machines first. Pull the dryer out without straining the "
          "cord, the vent or the gas connector.",
          "Take off the cover of the cord's terminals where it is needed."),
         (SHARP_EDGES, TWO_LEGS_LIVE)),
    Zone("vent", "The vent, from the dryer to the hood outdoors", from_memory(8.0),
         ("Pull the dryer out, take the duct off its outlet, and open the hood outdoors.",),
         ("The edges of ducts and clamps cut: wear gloves, and a mask against the dust.",)),
    Zone("console", "Behind the control panel", from_memory(7.0),
         ("Release the control panel and support it so that no wire carries its weight.",), (SHARP_EDGES,)),
    Zone("cabinet", "Inside the cabinet: motor, belt, switches and blower", from_memory(14.0),
         ("Take off the front and note how the belt runs.",
          "Clear away the lint that lies about, and support the drum."),
         (SHARP_EDGES, LINT_BURNS)),
    Zone("heat_source", "At the heat: element box, or burner and its funnel", from_memory(9.0),
         ("Take off the panel in front of the element box, or of the burner, and clear away lint.",),
         (HOT_PARTS, SHARP_EDGES)),
    Zone("gas_line", "Appliance valve, connector and pipe", from_memory(6.0),
         ("Pull the dryer out without straining the connector, and reach the appliance valve.",), (NO_FLAME,)),
    # Fitted with everything shut: gas comes back on the way to the reading.
    Zone("pressure_tap", "Pressure tap of the burner's valve", from_memory(10.0),
         ("With the gas shut, reach the tap of the valve, take out its plug and fit the manometer to it.",),
         (NO_FLAME,)),
)  # fmt: skip
