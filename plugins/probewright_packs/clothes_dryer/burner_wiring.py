"""The gas burner: igniter, flame sensor, and a valve with a holding, a booster and a secondary coil.

The sensor's contact is closed while it is cold: igniter and booster coil have the whole voltage, holding and booster
together open the first valve, and the secondary coil is bridged.  Heat opens the contact.  The secondary coil then has
the voltage, through the igniter, which goes out; it opens the second valve, the igniter's last glow lights the gas, and
the flame keeps the contact open.
"""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import Change, Open, Part, Requirement, Resistance, Short, Stuck, Switch, from_memory
from probewright_packs.clothes_dryer.commands import ALL, BURN, HEAT, RELIGHT, STILL_HOT, all_but
from probewright_packs.clothes_dryer.options_and_states import GAS
from probewright_packs.clothes_dryer.options_and_states import RUNNING as IN_USE
from probewright_packs.common.numbers import decades, evenly
from probewright_packs.common.thermostat import thermostat
from probewright_packs.common.valve import glowing, igniter, two_coil_changes, two_coil_valve

#: The circuit of the heat under the faults that leave the drum turning.
HEAT_IN_MOTION = "heat_in_motion"

#: Amperes of a glowing igniter at 120 V.
IGNITER_BAND = (from_memory(2.8), from_memory(3.9))
#: Amperes under which an igniter does not glow visibly, and under which its glow is not white.
GLOW = (evenly(0.7, 1.2), evenly(2.2, 2.6))
#: Amperes from which it lights gas, and opens the flame sensor.
_LIGHTS = evenly(2.2, 2.6)
#: Amperes at which a coil still pulls: some half of what it draws.
_HOLDS, _BOOSTS, _PULLS = evenly(0.025, 0.035), evenly(0.06, 0.09), evenly(0.025, 0.035)
#: Amperes of an igniter that has gone out.
_OUT = evenly(0.5, 0.8)


def _secondary() -> tuple[Part | Switch, ...]:
    """A joint in the secondary coil that parts with heat: bridged as long as the coil is cold."""
    cold = Switch("coil_joint_cold", "secondary_end", "neutral", all_but(RELIGHT, STILL_HOT), evenly(0.01, 0.05),
                  when=GAS)  # fmt: skip
    return (cold, Part("coil_joint_hot", "secondary_end", "neutral", Resistance(evenly(0.01, 0.05)), GAS))


def burner(feed: str) -> tuple[Part | Switch, ...]:
    """The burner between ``feed`` and neutral; ``sensed`` is the node between igniter and flame sensor."""
    coils = {part.id: part for part in two_coil_valve("valve", feed, "sensed", "neutral", GAS)}
    coils["valve_secondary_coil"] = replace(coils["valve_secondary_coil"], b="secondary_end")
    return (
        igniter("igniter", feed, "sensed", glowing(*IGNITER_BAND, from_memory(0.1)), GAS),
        thermostat("flame_sensor", "sensed", "neutral", ALL, (BURN, RELIGHT), GAS),
        *coils.values(),
        *_secondary(),
    )


def burner_changes() -> dict[str, tuple[Change, ...]]:
    """What the burner's own faults do."""
    return {
        "igniter_open": (Open("igniter"),),
        "flame_sensor_open": (Stuck("flame_sensor", "open"),),
        "flame_sensor_stuck_closed": (Short("flame_sensor", decades(0.005, 0.1)),),
        **two_coil_changes("valve"),
        "valve_coils_fail_hot": (Open("coil_joint_hot"),),
    }


def igniter_glows(state: str, circuit: str = "heat") -> Requirement:
    """What the igniter needs to light gas, and to open the flame sensor."""
    return Requirement(circuit, "igniter", "current", HEAT, state, _LIGHTS, GAS)


def igniter_goes_out(state: str, circuit: str = "heat") -> Requirement:
    """What tells that the flame sensor has opened."""
    return Requirement(circuit, "igniter", "current", BURN, state, when=GAS, at_most=_OUT)


def first_valve_opens(state: str, circuit: str = "heat") -> tuple[Requirement, ...]:
    """What holding and booster coil need."""
    return (
        Requirement(circuit, "valve_holding_coil", "current", HEAT, state, _HOLDS, GAS),
        Requirement(circuit, "valve_booster_coil", "current", HEAT, state, _BOOSTS, GAS),
    )


def second_valve_opens(state: str, command: str = BURN, circuit: str = "heat") -> Requirement:
    """What the secondary coil needs."""
    return Requirement(circuit, "valve_secondary_coil", "current", command, state, _PULLS, GAS)


BURNER_LIGHTS = (
    igniter_glows(IN_USE, HEAT_IN_MOTION), *first_valve_opens(IN_USE, HEAT_IN_MOTION),
    igniter_goes_out(IN_USE, HEAT_IN_MOTION), second_valve_opens(IN_USE, circuit=HEAT_IN_MOTION),
)  # fmt: skip
BURNER_LIGHTS_AGAIN = second_valve_opens(IN_USE, RELIGHT, HEAT_IN_MOTION)
