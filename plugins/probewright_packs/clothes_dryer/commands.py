"""What the control is set to, and what the dryer does then: the words that circuits, tests and duties share."""

from __future__ import annotations

#: Door open in a heat cycle: the drum stands, a timer's contacts stay closed.
DOOR_OPEN = "door_open"
#: Start held in a heat cycle, the motor not yet turning.
START = "start"
#: The motor runs without heat.
AIR = "air"
#: The motor runs and heat is called for; a gas burner's igniter heats.
HEAT = "heat"
#: The flame sensor has felt the igniter, or the flame: a gas burner burns.
BURN = "burn"
#: The same at a later call, with the coils of the valve hot.
RELIGHT = "relight"
#: The motor runs in a heat cycle, and the air that leaves is as warm as it should get.
WARM = "warm"
#: Nothing is powered; the coils of the gas valve are still as hot as when the burner failed to light again.
STILL_HOT = "still_hot"

#: Nothing is powered; a wet cloth lies across both moisture bars.
WET = "wet"

RUNNING = (AIR, HEAT, BURN, RELIGHT, WARM)
#: A heat cycle in which more heat is wanted.
CALLS_FOR_HEAT = (HEAT, BURN, RELIGHT)
STANDING = ("off", START, DOOR_OPEN, STILL_HOT, WET)
ALL = (*STANDING, *RUNNING)


def all_but(*commands: str) -> tuple[str, ...]:
    """Every command but these."""
    return tuple(command for command in ALL if command not in commands)
