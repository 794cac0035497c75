"""A control board: what feeds it, the contacts that it drives, and what can be wrong with both.

Contacts are driven: without power they rest open.  What keeps a board from driving them (no supply of its own, a sensor
that it misses, a lock) is told by :func:`undriven`.
"""

from __future__ import annotations

from collections.abc import Iterable

from probewright.packs import Change, Open, Part, Resistance, Short, Stuck, Switch, When
from probewright_packs.common.changes import rests, under_all
from probewright_packs.common.numbers import decades, evenly

#: Ohms of a sound relay contact, with its terminals.
CLOSED = evenly(0.01, 0.1)
#: Ohms of a contact that has welded.
WELDED = decades(0.005, 0.1)
#: Volts that a control, or a module fed with mains, needs.
ENOUGH_VOLTS = evenly(75.0, 95.0)


def relay(name: str, a: str, b: str, closed_in: tuple[str, ...], when: When | None = None) -> Switch:
    """A contact that a board drives, closed under some commands.

    >>> bake = relay("bake_relay", "leg_one", "bake_out", ("bake",))
    >>> bake.closed("bake", powered=True), bake.closed("bake", powered=False)
    (True, False)
    """
    return Switch(name, a, b, closed_in, CLOSED, driven=True, when=when or {})


def relay_changes(name: str) -> dict[str, tuple[Change, ...]]:
    """Faults ``name``_open and ``name``_welded of one contact.

    A welded contact stays bridged, whatever else keeps it from being driven.

    >>> sorted(relay_changes("bake_relay"))
    ['bake_relay_open', 'bake_relay_welded']
    """
    return {f"{name}_open": (Stuck(name, "open"),), f"{name}_welded": (Short(name, WELDED),)}


def undriven(faults: Iterable[str], *contacts: str) -> dict[str, tuple[Change, ...]]:
    """Faults under which a board drives none of its contacts: it is dead, not fed, locked, or misses its sensor.

    >>> undriven(("board_dead",), "bake_relay")
    {'board_dead': (Stuck(switch='bake_relay', position='open'),)}
    """
    return under_all(faults, rests(*contacts))


def board(hot: str = "hot", neutral: str = "neutral", when: When | None = None) -> tuple[Part, ...]:
    """The board as a load: ``board_wire`` from ``hot`` to node ``board_hot``, and ``board`` from there to neutral.

    >>> [part.id for part in board("leg_one")]
    ['board_wire', 'board']
    """
    return (
        Part("board_wire", hot, "board_hot", Resistance(evenly(0.02, 0.2)), when or {}),
        Part("board", "board_hot", neutral, Resistance(decades(1500.0, 15000.0)), when or {}),
    )


def board_changes() -> dict[str, tuple[Change, ...]]:
    """What cuts the board off: ``board_wire_open``.

    >>> board_changes()
    {'board_wire_open': (Open(part='board_wire'),)}
    """
    return {"board_wire_open": (Open("board_wire"),)}
