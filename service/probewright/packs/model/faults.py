"""What can be wrong, what cures it, what proves it, and what that costs."""

from __future__ import annotations

from dataclasses import dataclass, field

from probewright.circuit.parts import When
from probewright.figures import Figure
from probewright.packs.model.chances import Chances
from probewright.packs.model.tests import Limit


@dataclass(frozen=True, slots=True)
class ReplaceablePart:
    """A part that can be carried and replaced; the price is in the currency of the costs.

    >>> float(ReplaceablePart("gear_motor", "Gear motor", from_memory(60.0)).price)
    60.0
    """

    id: str
    title: str
    price: Figure


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that can be wrong.

    ``rate`` is the prior probability that an appliance on which a call is made has it.  ``changes`` to circuits stand
    in the circuits.  ``excludes`` names faults that cannot be there at the same time; two faults of the same ``part``
    exclude each other anyway.

    >>> Fault("gear_stripped", "Gear of the ejector stripped", from_memory(0.04), part="gear_motor").excludes
    ()
    """

    id: str
    title: str
    rate: Figure
    part: str | None = None
    excludes: tuple[str, ...] = ()
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Repair:
    """Something that may cure faults: ``cures`` gives the probability for each when it is done properly.

    >>> repair = Repair(
    ...     "replace_motor", "Replace the gear motor", {"gear_stripped": from_memory(0.97)}, from_memory(20.0),
    ...     "isolated", ("rear",), part="gear_motor", closing_checks=("it_turns",),
    ... )
    >>> repair.state
    'isolated'
    """

    id: str
    title: str
    cures: Chances
    minutes: Figure
    state: str
    zones: tuple[str, ...]
    part: str | None = None
    skill: str | None = None
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    closing_checks: tuple[str, ...] = ()
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Closing:
    """What must be shown before the job is left, by a reading of ``test`` that was taken after the repair.

    A measured test shows it within ``limits`` (those of the test where there are none); a seen one by an outcome of
    ``passes`` (the test's healthy one where there are none).  It falls away where the appliance lacks the test.
    ``guarded``: safety depends on it, so nothing but a reading that clearly conforms will do.  Without a test it is
    told before leaving, and nothing asks whether it was shown.

    >>> Closing("it_turns", "The ejector turns once around.", test="ejector", passes=("turns",)).guarded
    False
    """

    id: str
    text: str
    test: str | None = None
    limits: tuple[Limit, ...] = ()
    passes: tuple[str, ...] = ()
    guarded: bool = False


@dataclass(frozen=True, slots=True)
class DefaultCosts:
    """Costs when the case gives none, in one currency.

    Labour an hour, a callback or referral, minutes to verify a repair, and a second trip for a part that is missing.

    >>> costs = DefaultCosts(
    ...     labour_per_hour=from_memory(90.0), callback=from_memory(150.0), verification_minutes=from_memory(5.0),
    ...     return_visit=from_memory(110.0),
    ... )
    >>> float(costs.labour_per_hour)
    90.0
    """

    labour_per_hour: Figure
    callback: Figure
    verification_minutes: Figure
    return_visit: Figure
