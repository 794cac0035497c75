"""A capacitorless split-phase motor with its centrifugal switch.

Main and start winding stand side by side.  At standstill they draw their locked-rotor current, some 35 A; once the
motor turns, the centrifugal switch opens the start winding, and what the turning rotor induces holds the current of the
main winding down to some 5 A.  A second contact of the same switch closes as the motor turns: a heater behind it is on
only then.

Two commands tell the two apart: one at which the motor stands and has just been switched on, one at which it runs.
Whatever keeps it from running leaves the switch as it is at standstill, under either command: :func:`motor_stands`.  It
then hums, and its protector opens within a minute or so; until then it draws what it draws at standstill.
"""

from __future__ import annotations

from collections.abc import Iterable

from probewright.packs import (
    Change,
    Circuit,
    Copper,
    Drift,
    Leak,
    Open,
    Part,
    Resistance,
    Short,
    Stuck,
    Switch,
    When,
    Winding,
)
from probewright_packs.common.changes import together, under_all
from probewright_packs.common.numbers import decades, evenly
from probewright_packs.common.supply import FREQUENCY

#: Ohms and henries of a motor of a quarter to a third of a horsepower at 120 V: main winding, and the start winding,
#: which is of thinner wire and fewer turns, so that its current leads.
_MAIN = (evenly(1.8, 2.8), evenly(0.009, 0.013))
_START = (evenly(4.5, 7.5), evenly(0.007, 0.011))
#: What the turning rotor adds to the main winding: leaves it 4.5 to 6.5 A at 120 V.
_TURNING = Winding(evenly(8.0, 13.0), evenly(0.03, 0.042))
#: What is left of the main winding's impedance where turns are shorted.
_TURNS_LEFT = evenly(0.35, 0.7)
_CLOSED = evenly(0.01, 0.1)
_WELDED = decades(0.005, 0.1)


def split_phase_motor(
    name: str, hot: str, neutral: str, *, commands: tuple[str, ...], running: tuple[str, ...],
    when: When | None = None,
) -> tuple[Part | Switch, ...]:  # fmt: skip
    """The motor between two nodes, with the node ``name``_feed behind its thermal protector.

    ``commands`` are all commands of the family, the one at off among them; under ``running`` it turns, under all others
    it stands.

    >>> parts = split_phase_motor(
    ...     "motor", "motor_hot", "neutral", commands=("off", "start", "run"), running=("run",))
    >>> [part.id for part in parts]
    ['motor_protector', 'motor_main', 'motor_turning', 'motor_still', 'motor_start_contact', 'motor_start']
    """
    feed, turning, start = f"{name}_feed", f"{name}_induced", f"{name}_start_feed"
    # The contact of the centrifugal switch rests closed, which an ohmmeter sees.
    still = tuple(command for command in commands if command not in running)
    condition = when or {}
    return (
        Part(f"{name}_protector", hot, feed, Resistance(evenly(0.02, 0.1)), condition),
        Part(f"{name}_main", feed, turning, Winding(*_MAIN), condition),
        Part(f"{name}_turning", turning, neutral, _TURNING, condition),
        Switch(f"{name}_still", turning, neutral, still, evenly(0.01, 0.02), when=condition),
        Switch(f"{name}_start_contact", feed, start, still, _CLOSED, when=condition),
        Part(f"{name}_start", start, neutral, Winding(*_START), condition),
    )


def windings_circuit(circuit: str, name: str, when: When | None = None) -> Circuit:
    """The two windings of a motor that is unplugged, as an ohmmeter sees them: copper, which follows the temperature.

    Under power what the windings' warmth changes lies within what motors differ by; there it is left out, and solving
    the circuit at many temperatures with it.  Nodes: ``name``_feed, ``name``_start_feed and ``common``.

    >>> sorted(windings_circuit("windings", "motor").changes)
    ['motor_main_open', 'motor_start_open', 'motor_turns_shorted']
    """
    return Circuit(
        circuit, "common",
        (Part(f"{name}_main", f"{name}_feed", "common", Copper(*_MAIN)),
         Part(f"{name}_start", f"{name}_start_feed", "common", Copper(*_START))),
        {f"{name}_main_open": (Open(f"{name}_main"),), f"{name}_start_open": (Open(f"{name}_start"),),
         f"{name}_turns_shorted": (Drift(f"{name}_main", _TURNS_LEFT),)},
        FREQUENCY, when or {},
    )  # fmt: skip


def heater_contact(name: str, a: str, b: str, running: tuple[str, ...], when: When | None = None) -> Switch:
    """The contact of the centrifugal switch that closes as the motor turns; its id is ``name``_heater_contact.

    >>> heater_contact("motor", "heater_end", "leg_two", ("run",)).closed("start", powered=True)
    False
    """
    return Switch(f"{name}_heater_contact", a, b, running, _CLOSED, when=when or {})


def motor_stands(name: str) -> tuple[Change, ...]:
    """What every fault brings that keeps the motor from running: its switch as at standstill, and nothing induced.

    The heater's contact is among it, which may stand in a circuit of its own: see :func:`fitting`.

    >>> len(motor_stands("motor"))
    3
    """
    return (
        Stuck(f"{name}_still", "closed"),
        Stuck(f"{name}_start_contact", "closed"),
        Stuck(f"{name}_heater_contact", "open"),
    )


def motor_changes(name: str, held_by: Iterable[str] = (), ground: str = "chassis") -> dict[str, tuple[Change, ...]]:
    """Faults of the motor, whose ids begin with ``name``, and of all else that holds it.

    ``held_by`` names faults of the pack under which the motor does not run: a jammed drum or blower, and whatever takes
    its supply away; ``ground`` is the node of its frame.  A winding that is open, a start contact that does not close:
    it hums and stands.  A start contact that sticks leaves it running, growling, with the start winding's current on
    top.

    >>> changes = motor_changes("motor", held_by=("drum_jammed",))
    >>> changes["drum_jammed"] == motor_stands("motor")
    True
    """
    stands = motor_stands(name)
    of_motor: dict[str, tuple[Change, ...]] = {
        f"{name}_main_open": (Open(f"{name}_main"), *stands),
        f"{name}_start_open": (Open(f"{name}_start"), *stands),
        f"{name}_start_contact_open": (Open(f"{name}_start_contact"), *stands),
        f"{name}_start_contact_stuck": (Short(f"{name}_start_contact", _WELDED),),
        f"{name}_protector_open": (Open(f"{name}_protector"), *stands),
        f"{name}_bearings_seized": stands,
        f"{name}_turns_shorted": (Drift(f"{name}_main", _TURNS_LEFT), *stands),
        f"{name}_grounded": (Leak(f"{name}_feed", ground, decades(0.5, 5e4)),),
    }
    return together(of_motor, under_all(held_by, stands))


def heater_contact_changes(name: str) -> dict[str, tuple[Change, ...]]:
    """Faults of the heater's contact: ``name``_heater_contact_open, and _welded: it heats while nothing turns.

    >>> sorted(heater_contact_changes("motor"))
    ['motor_heater_contact_open', 'motor_heater_contact_welded']
    """
    contact = f"{name}_heater_contact"
    return {f"{contact}_open": (Open(contact),), f"{contact}_welded": (Short(contact, _WELDED),)}
