"""The records that describe an appliance family.

All are frozen and made once, when the pack is loaded.  Ids are ``snake_case`` and unique within their kind.  Numbers
are :class:`~probewright.figures.Figure`; distributions are :class:`~probewright.figures.Spread`.  ``when`` restricts a
record to configurations (see :mod:`probewright.circuit.parts`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from probewright.circuit.parts import Circuit, When
from probewright.figures import Basis, Figure, Spread, weakest

Chances = Mapping[str, Figure]
"""Fault id to a probability."""

Outcomes = Mapping[str, Figure]
"""Outcome id to a probability; the probabilities of one record add up to 1."""

TestKind = Literal[
    "voltage", "current", "resistance", "continuity", "capacitance", "temperature", "pressure", "concentration", "seen",
]  # fmt: skip

DEAD_KINDS: Final[frozenset[TestKind]] = frozenset({"resistance", "continuity", "capacitance"})
"""Kinds of test that are never done under power."""

LIVE_KINDS: Final[frozenset[TestKind]] = frozenset({"voltage", "current"})
"""Kinds of test that say nothing without power."""


@dataclass(frozen=True, slots=True)
class OptionValue:
    """One value of an option, with the share of appliances that have it (given that the option applies)."""

    id: str
    title: str
    share: Figure


@dataclass(frozen=True, slots=True)
class Option:
    """A choice between builds of the appliance; it applies only where ``when`` holds (of options that come earlier)."""

    id: str
    title: str
    values: tuple[OptionValue, ...]
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class State:
    """A state in which tests and repairs are done.

    ``minutes`` and ``steps`` are what it takes to get there from another state, ``cautions`` what to mind in it.
    ``risk`` orders states from the safest (0) upwards.
    """

    id: str
    title: str
    powered: bool
    gas_on: bool
    minutes: Figure
    steps: tuple[str, ...]
    cautions: tuple[str, ...]
    risk: int


@dataclass(frozen=True, slots=True)
class Zone:
    """A place that must be opened to reach what is in it.  ``minutes`` covers opening and closing, paid once."""

    id: str
    title: str
    minutes: Figure
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Requirement:
    """A circuit value that a function needs: at least ``at_least`` (A for ``current``, V for ``voltage``, rms).

    ``of`` names a part (current through it, or voltage across it) of ``circuit``, under ``command`` in ``state``.
    """

    circuit: str
    of: str
    quantity: Literal["current", "voltage"]
    command: str
    state: str
    at_least: Spread
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Function:
    """Something the appliance must do.

    It works when every requirement is met and no fault defeats it: ``fails_with`` gives, for each fault that can, the
    probability that it does.  ``fails_anyway`` is the chance that it fails with nothing wrong that the pack knows of.
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
    """

    id: str
    title: str
    if_working: Figure
    function: str | None = None
    if_failed: Figure | None = None
    shown_by: Chances = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Between:
    """A meter between two nodes of a circuit: volts in a powered state, ohms, continuity or farads in a dead one.

    ``apart`` lists parts that are disconnected for this test (a plug pulled), so that nothing reads in parallel.
    """

    circuit: str
    plus: str
    minus: str
    apart: tuple[str, ...] = ()
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Through:
    """A clamp around a part: the current through it."""

    circuit: str
    part: str
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Shows:
    """What an eye sees of a circuit value: bands of the current through, or voltage across, a part.

    ``outcomes`` has one more entry than ``edges``: the first is seen below the first edge.  Edges are spreads (A or
    V), for glow fades and eyes differ.
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
    needs : tuple of str
        Conditions without which the reading decides nothing (``"ambient"``, ``"set_point"``).
    measures : str or None
        ``"supply_voltage"`` when the reading itself is that condition.
    closing : bool
        Done to prove a repair only, never proposed to find a fault; a reading of it counts as evidence as any other.
    reported : bool
        Told by the customer only, in answer to a question, and never proposed; a reading of it counts likewise.
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


@dataclass(frozen=True, slots=True)
class ReplaceablePart:
    """A part that can be carried and replaced; the price is in the currency of the costs."""

    id: str
    title: str
    price: Figure


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that can be wrong.

    ``rate`` is the prior probability that an appliance on which a call is made has it.  ``changes`` to circuits stand
    in the circuits.  ``excludes`` names faults that cannot be there at the same time; two faults of the same ``part``
    exclude each other anyway.
    """

    id: str
    title: str
    rate: Figure
    part: str | None = None
    excludes: tuple[str, ...] = ()
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Repair:
    """Something that may cure faults: ``cures`` gives the probability for each when it is done properly."""

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
    """

    id: str
    text: str
    test: str | None = None
    limits: tuple[Limit, ...] = ()
    passes: tuple[str, ...] = ()
    guarded: bool = False


@dataclass(frozen=True, slots=True)
class Interlock:
    """A hazard that comes before everything else.

    It holds when any of ``complaints`` is made, any test of ``seen`` shows one of the outcomes, or a test of ``above``
    may exceed its limit (in the test's unit).  It is cleared when every test of ``cleared_by``, read after whatever
    raised it, shows one of the outcomes.  ``kind`` is what is left to do: ``stop`` (leave it, make it safe) or
    ``refer``.
    """

    id: str
    title: str
    kind: Literal["stop", "refer"]
    why: str
    complaints: tuple[str, ...] = ()
    seen: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    above: Mapping[str, Figure] = field(default_factory=dict)
    cleared_by: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to a question, and what it adds to a case.

    ``seen`` gives outcomes of tests that a customer can tell: looked at from outside, on the appliance as it is used.
    ``stop`` names the interlock that the answer raises: the customer is told at once what to do.  An answer that adds
    nothing leaves things as they are; that the customer may not know needs no answer of its own.
    """

    id: str
    text: str
    options: Mapping[str, str] = field(default_factory=dict)
    complaints: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
    seen: Mapping[str, str] = field(default_factory=dict)
    stop: str | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """Something to ask the customer before the visit, in words for a lay person.

    Nothing is opened, taken off, plugged in or lit for it.  ``why`` is its reason in plain words.  A question is asked
    when answers to it may change the plan; one that is for safety is asked ``always``, and comes first.
    """

    id: str
    text: str
    answers: tuple[Answer, ...]
    why: str
    always: bool = False
    when: When = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class DefaultCosts:
    """Costs when the case gives none, in one currency.

    Labour an hour, a callback or referral, minutes to verify a repair, and a second trip for a part that is missing.
    """

    labour_per_hour: Figure
    callback: Figure
    verification_minutes: Figure
    return_visit: Figure


@dataclass(frozen=True, slots=True)
class Supply:
    """The supply: nominal volts, and how it spreads where it was not measured.

    Less than ``least``, or more than ``most``, is a fault to find and not a condition to work under: readings are then
    compared with what the usual supply should give.  Without them 70 % and 115 % of the nominal voltage count.
    """

    nominal: Figure
    unmeasured: Spread
    least: Figure | None = None
    most: Figure | None = None

    def is_condition(self, volts: float) -> bool:
        """Whether an appliance can be expected to work under this voltage."""
        least = 0.7 * float(self.nominal) if self.least is None else float(self.least)
        most = 1.15 * float(self.nominal) if self.most is None else float(self.most)
        return least <= volts <= most


@dataclass(frozen=True, slots=True)
class Family:
    """An appliance family: all a pack says.

    ``ambient`` is the spread of the temperature (degC) at a part when nobody gave it.  ``unknown_rate`` is the prior
    probability of something that the pack does not know.  ``checklist`` names tests in the order in which the trade
    usually does them; it is what advice is compared with in simulation, and no advice depends on it.  ``questions``
    are for the customer, before a visit.
    """

    id: str
    title: str
    version: str
    supply: Supply
    ambient: Spread
    options: tuple[Option, ...]
    states: tuple[State, ...]
    zones: tuple[Zone, ...]
    circuits: tuple[Circuit, ...]
    functions: tuple[Function, ...]
    complaints: tuple[Complaint, ...]
    tests: tuple[Test, ...]
    faults: tuple[Fault, ...]
    parts: tuple[ReplaceablePart, ...]
    repairs: tuple[Repair, ...]
    interlocks: tuple[Interlock, ...]
    closings: tuple[Closing, ...]
    costs: DefaultCosts
    unknown_rate: Figure
    cautions: tuple[str, ...]
    notice: str
    demo: bool = False
    checklist: tuple[str, ...] = ()
    questions: tuple[Question, ...] = ()
