"""The records a pack describes its wiring with: parts, switches, sources, and faults as changes to them.

Nodes are names.  Parts have two terminals, ``a`` and ``b``.  ``when`` restricts a record to configurations, for example
``{"igniter_style": "flat"}`` or ``{"oven_ignition": ("spark", "standing_pilot")}``; two records may share an id when no
configuration has both.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from probewright.circuit.laws import Law
from probewright.figures import Figure, Spread

When = Mapping[str, str | tuple[str, ...]]


def holds(when: When, configuration: Mapping[str, str]) -> bool:
    """Whether a configuration (option to value) satisfies every condition of ``when``.

    An option that the configuration lacks, because it does not apply, satisfies no condition.
    """
    for option, allowed in when.items():
        value = configuration.get(option)
        if value is None or not (value == allowed or (isinstance(allowed, tuple) and value in allowed)):
            return False
    return True


@dataclass(frozen=True, slots=True)
class Part:
    """A part with a law between two nodes."""

    id: str
    a: str
    b: str
    law: Law
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Switch:
    """A contact that is closed under some commands.

    ``closed_in`` lists the commands under which it is closed.  ``driven`` contacts (relays) move only when the
    appliance has power; without it they rest open, or closed when ``rests_closed``.  ``contact`` is the resistance
    in ohm when closed.
    """

    id: str
    a: str
    b: str
    closed_in: tuple[str, ...]
    contact: Spread
    driven: bool = False
    rests_closed: bool = False
    when: When = field(default_factory=dict)

    def closed(self, command: str, powered: bool) -> bool:
        """Whether it conducts under a command."""
        if self.driven and not powered:
            return self.rests_closed
        return command in self.closed_in


@dataclass(frozen=True, slots=True)
class Source:
    """An ideal alternating source from ``a`` (its hot side) to ``b``.

    ``volts`` is the nominal effective value, scaled by the case's supply voltage.  It is connected in powered states
    only: otherwise its terminals are open, as when the cord is unplugged.  ``phase`` in degrees is for split-phase
    supplies (0 and 180).
    """

    id: str
    a: str
    b: str
    volts: Figure
    phase: float = 0.0
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Open:
    """The part or switch conducts no more."""

    part: str


@dataclass(frozen=True, slots=True)
class Short:
    """The part or switch is bridged by ``ohms``."""

    part: str
    ohms: Spread


@dataclass(frozen=True, slots=True)
class Drift:
    """The impedance of the part is multiplied by ``factor``."""

    part: str
    factor: Spread


@dataclass(frozen=True, slots=True)
class Contact:
    """A bad contact of ``ohms`` in series with the part, switch or source."""

    part: str
    ohms: Spread


@dataclass(frozen=True, slots=True)
class Leak:
    """Insulation failure: ``ohms`` between two nodes."""

    a: str
    b: str
    ohms: Spread


@dataclass(frozen=True, slots=True)
class Stuck:
    """A switch stays as it is, whatever the command."""

    switch: str
    position: Literal["open", "closed"]


@dataclass(frozen=True, slots=True)
class Swap:
    """Two parts' ``b`` ends are exchanged, as two crossed conductors."""

    first: str
    second: str


@dataclass(frozen=True, slots=True)
class Level:
    """The source's voltage is multiplied by ``factor``; 0 is a dead supply that still has its other conductors.

    In the circuit in which the supply is measured, levels count against the usual supply.  In any other they count on
    top of the case's own supply voltage, which may hold the fault already: there they are best left to dead supplies.
    """

    source: str
    factor: Spread


Change = Open | Short | Drift | Contact | Leak | Stuck | Swap | Level


@dataclass(frozen=True, slots=True)
class Circuit:
    """A network of parts that share nodes; ``reference`` is the node that counts as 0 V (protective earth, say).

    ``changes`` maps a fault id to what it does to this network.  Faults not named leave it as it is.  A pack may
    describe several circuits: they share nothing but faults and commands, so each stays small.
    """

    id: str
    reference: str
    parts: tuple[Part | Switch | Source, ...]
    changes: Mapping[str, tuple[Change, ...]]
    frequency: Figure
    when: When = field(default_factory=dict)
