"""What an appliance must do, and what customers say when it does not."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from probewright.circuit.parts import When
from probewright.figures import Figure, Spread
from probewright.packs.model.chances import Chances


@dataclass(frozen=True, slots=True)
class Requirement:
    """A circuit value that a function needs: at least ``at_least`` (A for ``current``, V for ``voltage``, rms).

    ``of`` names a part (current through it, or voltage across it) of ``circuit``, under ``command`` in ``state``.  In
    place of ``at_least``, ``at_most`` says what must not flow: a heater whose control is off, say.

    >>> turns = Requirement("drive", "motor", "voltage", "run", "live", exactly(invented(95.0)))
    >>> turns.at_least.median
    95.0
    >>> rests = Requirement("drive", "motor", "current", "off", "live", at_most=exactly(invented(0.1)))
    >>> rests.at_least is None
    True
    """

    circuit: str
    of: str
    quantity: Literal["current", "voltage"]
    command: str
    state: str
    at_least: Spread | None = None
    when: When = field(default_factory=dict)
    at_most: Spread | None = None

    @property
    def threshold(self) -> Spread:
        """Whichever of the two limits there is; the loader refuses a requirement with none or both."""
        limit = self.at_most if self.at_least is None else self.at_least
        if limit is None:
            raise ValueError(f"requirement of {self.of!r} has no limit")
        return limit


@dataclass(frozen=True, slots=True)
class Function:
    """Something the appliance must do.

    It works when every requirement is met and no fault defeats it: ``fails_with`` gives, for each fault that can, the
    probability that it does.  ``fails_anyway`` is the chance that it fails with nothing wrong that the pack knows of.

    >>> turns = Requirement("drive", "motor", "voltage", "run", "live", exactly(invented(95.0)))
    >>> ejects = Function("ejects", "It ejects", (turns,), {"gear_stripped": from_memory(0.9)}, from_memory(0.002))
    >>> sorted(ejects.fails_with)
    ['gear_stripped']
    """

    id: str
    title: str
    requires: tuple[Requirement, ...] = ()
    fails_with: Chances = field(default_factory=dict)
    fails_anyway: Figure | None = None
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Complaint:
    """What a customer says.

    Either about a function (``function``: reported with ``if_failed`` when it fails, with ``if_working`` when it
    works), or a symptom of faults (``shown_by``: noisy-or over the faults present, over ``if_working``).  Both may
    be given together.  ``cautions`` stand in every answer to a case that makes the complaint.

    >>> no_ice = Complaint("no_ice", "No ice", from_memory(0.01), function="ejects", if_failed=from_memory(0.9))
    >>> no_ice.function
    'ejects'
    >>> squeals = Complaint("squeals", "It squeals", from_memory(0.01), shown_by={"gear_stripped": from_memory(0.4)})
    >>> float(squeals.shown_by["gear_stripped"])
    0.4
    """

    id: str
    title: str
    if_working: Figure
    function: str | None = None
    if_failed: Figure | None = None
    shown_by: Chances = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    when: When = field(default_factory=dict)
