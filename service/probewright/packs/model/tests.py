"""What a technician measures or looks at, and what it should give."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from probewright.circuit.parts import When
from probewright.figures import Basis, Figure, Spread, weakest
from probewright.packs.model.chances import Outcomes
from probewright.packs.model.duties import Requirement

TestKind = Literal[
    "voltage", "current", "resistance", "continuity", "capacitance", "temperature", "pressure", "concentration",
    "duration", "seen",
]  # fmt: skip

DEAD_KINDS: Final[frozenset[TestKind]] = frozenset({"resistance", "continuity", "capacitance"})
"""Kinds of test that are never done under power."""

LIVE_KINDS: Final[frozenset[TestKind]] = frozenset({"voltage", "current"})
"""Kinds of test that say nothing without power."""


@dataclass(frozen=True, slots=True)
class Between:
    """A meter between two nodes of a circuit: volts in a powered state, ohms, continuity or farads in a dead one.

    ``apart`` lists parts that are disconnected for this test (a plug pulled), so that nothing reads in parallel.

    >>> Between("drive", "switched", "neutral", apart=("motor",)).apart
    ('motor',)
    """

    circuit: str
    plus: str
    minus: str
    apart: tuple[str, ...] = ()
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Through:
    """A clamp around a part: the current through it.

    >>> Through("drive", "motor").part
    'motor'
    """

    circuit: str
    part: str
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Shows:
    """What an eye sees of a circuit value: bands of the current through, or voltage across, a part.

    ``outcomes`` are those of the test, each once, one more than ``edges``: the first is seen below the first edge.
    Edges are spreads (A or V), for glow fades and eyes differ.  A part that is open itself shows in its current alone:
    across it there is still all the voltage.

    >>> dim, bright = exactly(invented(0.1)), exactly(invented(0.5))
    >>> Shows("lamp", "filament", "current", (dim, bright), ("dark", "dim", "bright")).outcomes
    ('dark', 'dim', 'bright')
    """

    circuit: str
    of: str
    quantity: Literal["current", "voltage"]
    edges: tuple[Spread, ...]
    outcomes: tuple[str, ...]
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Stated:
    """A distribution of the reading that no circuit gives: healthy, and under named faults.

    ``relative_to="set_point"`` means the spread is of the difference to that condition (same unit, kelvin for
    temperatures).  With two such faults at once the reading is as likely to follow either.

    >>> cold = normal(from_memory(-16.0), from_memory(2.0))
    >>> Stated(cold, {"fan_stopped": uniform(from_memory(-8.0), from_memory(4.0))}).healthy.median
    -16.0
    """

    healthy: Spread
    by_fault: Mapping[str, Spread] = field(default_factory=dict)
    relative_to: Literal["set_point", "ambient"] | None = None
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Table:
    """Probabilities of what is seen: healthy, and under named faults; the first outcome of the test is the healthy one.

    With two such faults at once the later outcome of two independent draws is seen.  ``without`` gives the outcome
    that is seen for certain when a function of the appliance that this needs does not work (no supply, no spark).

    >>> sound = {"turns": from_memory(0.98), "stands": from_memory(0.02)}
    >>> stuck = {"turns": from_memory(0.05), "stands": from_memory(0.95)}
    >>> table = Table(sound, {"gear_stripped": stuck})
    >>> sum(table.by_fault["gear_stripped"].values())
    1.0
    """

    healthy: Outcomes
    by_fault: Mapping[str, Outcomes] = field(default_factory=dict)
    without: tuple[tuple[Requirement, str], ...] = ()
    when: When = field(default_factory=dict)

Model = Between | Through | Shows | Stated | Table


@dataclass(frozen=True, slots=True)
class Limit:
    """Limits that a standard or the trade sets, used for the verdict instead of the model's own healthy band.

    ``scales_with_supply``: given at the nominal supply, so scaled with it.

    >>> Limit(low=published(108.0, "ANSI C84.1, range A utilization"), high=from_memory(126.0)).basis
    'from_memory'
    """

    low: Figure | None = None
    high: Figure | None = None
    scales_with_supply: bool = False
    when: When = field(default_factory=dict)

    @property
    def basis(self) -> Basis:
        """The weaker basis of the two."""
        return weakest(f.basis for f in (self.low, self.high) if f is not None)


@dataclass(frozen=True, slots=True)
class Test:
    """Something a technician measures or looks at.

    Attributes
    ----------
    unit : str or None
        The unit the answer uses, None for kinds ``seen`` and ``continuity``.
    states : tuple of str
        States it may be done in, the recommended one first.
    command : str
        What the controls are set to (``"bake"``, ``"light"``, ``"off"``), for circuits and for the instructions.
    models : tuple
        The first whose ``when`` holds says what the test should give.
    outcomes : tuple of str
        For kinds ``seen`` and ``continuity``: what may be seen, the healthy outcome first, then from mild to severe.
        Of a continuity test between two nodes they are ``"closed"`` (it beeps) and ``"open"``, the healthy one first.
    needs : tuple of str
        Conditions without which the reading decides nothing (``"ambient"``, ``"set_point"``).
    measures : str or None
        ``"supply_voltage"`` when the reading itself is that condition.
    closing : bool
        Done to prove a repair only, never proposed to find a fault; a reading of it counts as evidence as any other.
    reported : bool
        Told by the customer only, in answer to a question, and never proposed; a reading of it counts likewise.

    >>> test = Test(
    ...     "outlet_voltage", "Voltage at the outlet", "voltage", ("live",), "outside", from_memory(2.0),
    ...     (Between("drive", "line", "neutral"),), unit="V", measures="supply_voltage",
    ...     instrument="multimeter", cautions=("Mains voltage: touch nothing but the probes' grips.",),
    ... )
    >>> test.unit
    'V'
    """

    __test__ = False  # not a pytest class

    id: str
    title: str
    kind: TestKind
    states: tuple[str, ...]
    zone: str
    minutes: Figure
    models: tuple[Model, ...]
    unit: str | None = None
    command: str = "off"
    outcomes: tuple[str, ...] = ()
    limits: tuple[Limit, ...] = ()
    needs: tuple[str, ...] = ()
    measures: Literal["supply_voltage"] | None = None
    instrument: str | None = None
    skill: str | None = None
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    closing: bool = False
    reported: bool = False
    when: When = field(default_factory=dict)
