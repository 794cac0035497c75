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

    >>> holds({"fuel": ("natural_gas", "propane")}, {"fuel": "propane"}), holds({"fuel": "propane"}, {})
    (True, False)
    """
    for option, allowed in when.items():
        value = configuration.get(option)
        if value is None or not (value == allowed or (isinstance(allowed, tuple) and value in allowed)):
            return False
    return True


def may_hold(when: When, options: Mapping[str, str]) -> bool:
    """Whether the options that are known leave a condition open, or meet it."""
    for option, allowed in when.items():
        values = allowed if isinstance(allowed, tuple) else (allowed,)
        if option in options and options[option] not in values:
            return False
    return True


@dataclass(frozen=True, slots=True)
class Part:
    """A part with a law between two nodes.

    ``like`` names another part of the circuit, with the same law, that always has the same values: two halves of one
    coil, say, however much coils differ.

    >>> Part("heater", "switched", "neutral", Resistance(tolerance(common_practice(216.0), from_memory(0.05)))).b
    'neutral'
    >>> half = Resistance(uniform(from_memory(9.0), from_memory(15.0)))
    >>> Part("other_half", "middle", "neutral", half, like="one_half").like
    'one_half'
    """

    id: str
    a: str
    b: str
    law: Law
    when: When = field(default_factory=dict)
    like: str | None = None


@dataclass(frozen=True, slots=True)
class Switch:
    """A contact that is closed under some commands.

    ``closed_in`` lists the commands under which it is closed.  ``driven`` contacts (relays) move only when the
    appliance has power; without it they rest open, or closed when ``rests_closed``.  ``contact`` is the resistance
    in ohm when closed.

    >>> relay = Switch("relay", "line", "switched", ("run",), exactly(from_memory(0.05)), driven=True)
    >>> relay.closed("run", powered=True), relay.closed("run", powered=False)
    (True, False)
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

    >>> Source("mains", "line", "neutral", published(120.0, "ANSI C84.1, nominal voltage")).phase
    0.0
    """

    id: str
    a: str
    b: str
    volts: Figure
    phase: float = 0.0
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Open:
    """The part or switch conducts no more.

    >>> {"heater_open": (Open("heater"),)}
    {'heater_open': (Open(part='heater'),)}
    """

    part: str


@dataclass(frozen=True, slots=True)
class Short:
    """The part or switch is bridged by ``ohms``.

    >>> Short("heater", exactly(from_memory(0.5))).part
    'heater'
    """

    part: str
    ohms: Spread


@dataclass(frozen=True, slots=True)
class Drift:
    """The impedance of the part is multiplied by ``factor``.

    >>> Drift("heater", uniform(from_memory(1.3), from_memory(2.0))).factor.median
    1.65
    """

    part: str
    factor: Spread


@dataclass(frozen=True, slots=True)
class Contact:
    """A bad contact of ``ohms`` in series with the part, switch or source.

    >>> Contact("relay", log_uniform(from_memory(2.0), from_memory(200.0))).part
    'relay'
    """

    part: str
    ohms: Spread


@dataclass(frozen=True, slots=True)
class Leak:
    """Insulation failure: ``ohms`` between two nodes.

    >>> Leak("switched", "earth", log_uniform(from_memory(1e2), from_memory(1e5))).b
    'earth'
    """

    a: str
    b: str
    ohms: Spread


@dataclass(frozen=True, slots=True)
class Stuck:
    """A switch stays as it is, whatever the command.

    >>> Stuck("relay", "closed").position
    'closed'
    """

    switch: str
    position: Literal["open", "closed"]


@dataclass(frozen=True, slots=True)
class Swap:
    """Two parts' ``b`` ends are exchanged, as two crossed conductors.

    >>> Swap("line_conductor", "neutral_conductor").first
    'line_conductor'
    """

    first: str
    second: str


@dataclass(frozen=True, slots=True)
class Level:
    """The source's voltage is multiplied by ``factor``; 0 is a dead supply that still has its other conductors.

    In the circuit in which the supply is measured, levels count against the usual supply.  In any other they count on
    top of the case's own supply voltage, which may hold the fault already: there they are best left to dead supplies.
    ``turned`` degrees are added to the source's phase: two legs of a 208 V network stand 120 degrees apart, not 180.

    >>> Level("mains", exactly(derived(0.0, "zero by definition"))).factor.median
    0.0
    >>> whole = exactly(derived(1.0, "unchanged"))
    >>> Level("leg_two", whole, turned=derived(60.0, "from 180 to 240 degrees")).turned
    60.0
    """

    source: str
    factor: Spread
    turned: Figure | None = None


Change = Open | Short | Drift | Contact | Leak | Stuck | Swap | Level


@dataclass(frozen=True, slots=True)
class Circuit:
    """A network of parts that share nodes; ``reference`` is the node that counts as 0 V (protective earth, say).

    ``changes`` maps a fault id to what it does to this network.  Faults not named leave it as it is.  A pack may
    describe several circuits: they share nothing but faults and commands, so each stays small.

    >>> wiring = Circuit(
    ...     "heating", "neutral",
    ...     (
    ...         Source("mains", "line", "neutral", published(120.0, "ANSI C84.1, nominal voltage")),
    ...         Switch("relay", "line", "switched", ("heat",), exactly(from_memory(0.05)), driven=True),
    ...         Part("heater", "switched", "neutral", Resistance(tolerance(common_practice(216.0), from_memory(0.05)))),
    ...     ),
    ...     {"heater_open": (Open("heater"),), "relay_stuck_open": (Stuck("relay", "open"),)},
    ...     common_practice(60.0),
    ... )
    >>> sorted(wiring.changes)
    ['heater_open', 'relay_stuck_open']
    """

    id: str
    reference: str
    parts: tuple[Part | Switch | Source, ...]
    changes: Mapping[str, tuple[Change, ...]]
    frequency: Figure
    when: When = field(default_factory=dict)
