"""The motor's circuit, and everything under which the motor does not run.

Live side, door switch, belt switch, thermal fuse, the control's contact, start switch (of a timer), motor.
"""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import Capacitance, Change, Circuit, Open, Part, Requirement, Resistance, Stuck, Switch
from probewright_packs.clothes_dryer.commands import ALL, DOOR_OPEN, RUNNING, START, all_but
from probewright_packs.clothes_dryer.options_and_states import ELECTRONIC, TIMER
from probewright_packs.clothes_dryer.options_and_states import RUNNING as IN_USE
from probewright_packs.clothes_dryer.supplies import coupling, fed, fed_changes
from probewright_packs.common.changes import fitting, of_faults, together, under_all
from probewright_packs.common.motor import motor_changes, split_phase_motor, windings_circuit
from probewright_packs.common.numbers import evenly
from probewright_packs.common.relay_board import relay, relay_changes, undriven
from probewright_packs.common.supply import FREQUENCY
from probewright_packs.common.thermostat import cutoff

#: Faults of the motor itself under which it stands.
_OF_MOTOR = (
    "motor_main_open", "motor_start_open", "motor_start_contact_open", "motor_bearings_seized",
)  # fmt: skip
#: What holds the drum or the blower, and the motor with them.
JAMMED = ("drum_jammed", "blower_jammed")
#: The thermal fuse, blown by itself or by a blocked vent.
FUSE_BLOWN = ("thermal_fuse_open", "thermal_fuse_blown_by_vent")
#: A belt that is not there lets its switch open.
_BELT_SWITCH_OPEN = ("belt_switch_open", "belt_broken")
#: A board that drives nothing.
BOARD_IDLE = ("board_dead", "control_locked")
#: What keeps the motor from being fed.
_UNFED = (
    "door_switch_open", *_BELT_SWITCH_OPEN, *FUSE_BLOWN, "start_switch_open", "timer_motor_contact_open",
    "motor_relay_open", *BOARD_IDLE,
    "both_legs_dead", "leg_one_dead", "legs_neutral_open", "block_neutral_burnt",
    "no_supply", "supply_connection_bad", "neutral_connection_bad", "neutral_open", "supply_cord_open",
)  # fmt: skip
#: All faults under which the motor does not run.
MOTOR_STANDS = (*_OF_MOTOR, *JAMMED, *_UNFED)

#: Amperes of main and start winding, standing, from which the motor gets going: some 70 to 85 % of what it draws at
#: the nominal voltage, as the turning force goes with the square.
_MAIN_STARTS, _START_STARTS = evenly(15.0, 19.0), evenly(8.0, 11.0)


def _contact(name: str, a: str, b: str, closed_in: tuple[str, ...], when: dict[str, str] | None = None) -> Switch:
    return Switch(name, a, b, closed_in, evenly(0.02, 0.1), when=when or {})


def _chain() -> tuple[Part | Switch, ...]:
    moving = (START, *RUNNING)
    return (
        _contact("door_switch", "leg_one", "door_out", all_but(DOOR_OPEN)),
        _contact("belt_switch", "door_out", "belt_out", ALL),
        cutoff("thermal_fuse", "belt_out", "fuse_out"),
        _contact("timer_motor_contact", "fuse_out", "contact_out", (DOOR_OPEN, *moving), TIMER),
        relay("motor_relay", "fuse_out", "contact_out", moving, ELECTRONIC),
        _contact("start_switch", "contact_out", "motor_line", moving, TIMER),
        Part("motor_lead", "contact_out", "motor_line", Resistance(evenly(0.02, 0.1)), ELECTRONIC),
        Part("motor_stray", "leg_one", "motor_line", Capacitance(coupling())),
    )


def _changes() -> dict[str, tuple[Change, ...]]:
    opened = {
        **under_all(("door_switch_open",), (Stuck("door_switch", "open"),)),
        **under_all(_BELT_SWITCH_OPEN, (Stuck("belt_switch", "open"),)),
        **under_all(FUSE_BLOWN, (Open("thermal_fuse"),)),
        "timer_motor_contact_open": (Stuck("timer_motor_contact", "open"),),
        "start_switch_open": (Stuck("start_switch", "open"),),
    }
    of_motor = of_faults((*_OF_MOTOR, *JAMMED), motor_changes("motor", held_by=JAMMED))
    of_relay = of_faults(("motor_relay_open",), relay_changes("motor_relay"))
    return together(fed_changes(heavy=True), opened, of_relay, undriven(BOARD_IDLE, "motor_relay"), of_motor)


_PARTS = (
    *fed(two_legs=False),
    *_chain(),
    *split_phase_motor("motor", "motor_line", "neutral", commands=ALL, running=RUNNING),
)
MOTOR = Circuit("motor", "earth", _PARTS, fitting(_PARTS, _changes()), FREQUENCY)
_READ_COLD = windings_circuit("motor_windings", "motor")
WINDINGS = replace(_READ_COLD, changes=of_faults(("motor_main_open", "motor_start_open"), _READ_COLD.changes))

#: What the motor needs to get going.
MOTOR_STARTS = (
    Requirement("motor", "motor_main", "current", START, IN_USE, _MAIN_STARTS),
    Requirement("motor", "motor_start", "current", START, IN_USE, _START_STARTS),
)


def motor_fed(state: str) -> Requirement:
    """What the motor needs to make itself heard at all."""
    return Requirement("motor", "motor_protector", "current", START, state, evenly(4.0, 8.0))

