"""The records that cross the boundary.  Field names are the contract: they may be added to, never renamed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

Verdict = Literal["within", "outside", "inconclusive", "rejected"]
Severity = Literal["note", "doubt", "reject"]
StepKind = Literal["test", "repair", "stop", "refer", "done"]
Effort = Literal["none", "quick", "thorough"]
CheckStatus = Literal["open", "passed", "failed"]


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number and the unit it was given in.

    >>> Quantity(20.0, "degC").unit
    'degC'
    """

    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Conditions:
    """What readings depend on: ``ambient`` is the temperature at the part being read.

    >>> Conditions(ambient=Quantity(20.0, "degC")).supply_voltage is None
    True
    """

    ambient: Quantity | None = None
    supply_voltage: Quantity | None = None
    set_point: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Meter:
    """An instrument as its data sheet describes it; what is not given is assumed by kind, and the answer says so.

    ``id`` is the shop's own number of this very instrument, by which a correction finds it.
    """

    kind: str
    percent_of_reading: float | None = None
    counts: float | None = None
    resolution: Quantity | None = None
    lead_resistance: Quantity | None = None
    leads_zeroed: bool | None = None
    input: Literal["high_impedance", "low_impedance"] | None = None
    input_impedance: Quantity | None = None
    sensing: Literal["true_rms", "average"] | None = None
    beeper_threshold: Quantity | None = None
    maximum_resistance: Quantity | None = None
    id: str | None = None


@dataclass(frozen=True, slots=True)
class Correction:
    """What a calibration found of a meter: what was read is ``shown + offset + (gain - 1) * (shown - at)`` in truth.

    ``gain_uncertainty`` and ``offset_uncertainty`` are standard uncertainties, and ``correlation`` that of the two.
    Offsets are differences: of a temperature in kelvin or degrees Fahrenheit, without a zero.  ``at`` is the reading at
    which the offset alone is the correction; nothing where it is None, of a temperature 0 degC.
    """

    gain: float = 1.0
    gain_uncertainty: float = 0.0
    offset: Quantity | None = None
    offset_uncertainty: Quantity | None = None
    at: Quantity | None = None
    correlation: float = 0.0


@dataclass(frozen=True, slots=True)
class Reading:
    """One test's result: a value, repeated values, over or under range, or what was seen.

    ``after_repair`` is the repair of ``repairs_done`` after which, and before the next, it was taken; without it the
    reading is of the appliance before any repair.  ``day`` is the day on which it was taken, where that is not the
    case's; ``correction`` is applied to what was shown before anything else.

    >>> Reading("heater_ohms", value=216.0, unit="ohm", state="isolated").seen is None
    True
    """

    test: str
    value: float | None = None
    values: tuple[float, ...] | None = None
    unit: str | None = None
    over_range: bool = False
    under_range: bool = False
    seen: str | None = None
    state: str | None = None
    meter: str | None = None
    conditions: Conditions | None = None
    after_repair: str | None = None
    day: date | None = None
    correction: Correction | None = None


@dataclass(frozen=True, slots=True)
class Limits:
    """Limits from the maker's technical sheet; either side may be open."""

    unit: str
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class RepairDone:
    """A repair already made, and whether the complaint is still there."""

    repair: str
    complaint_remains: bool


@dataclass(frozen=True, slots=True)
class CaseCosts:
    """A shop's own costs, in its own currency; what is missing comes from the pack."""

    labour_per_hour: float | None = None
    callback: float | None = None
    return_visit: float | None = None
    parts: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Visit:
    """What a visit brings along; None where it was not said, and everything counts as there."""

    tools: tuple[str, ...] | None = None
    skills: tuple[str, ...] | None = None
    parts_on_hand: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class Case:
    """One job: what is known about the appliance, what it does wrong, and what was read.

    ``day`` is the day on which its readings were taken.

    >>> case = Case("ice_maker", complaints=("no_ice",), readings=(Reading("hum", seen="hums"),))
    >>> case.readings[0].test
    'hum'
    """

    family: str
    reference: str | None = None
    options: Mapping[str, str] = field(default_factory=dict)
    complaints: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
    conditions: Conditions = Conditions()
    meters: Mapping[str, Meter] = field(default_factory=dict)
    readings: tuple[Reading, ...] = ()
    tech_sheet: Mapping[str, Limits] = field(default_factory=dict)
    repairs_done: tuple[RepairDone, ...] = ()
    costs: CaseCosts = CaseCosts()
    visit: Visit = Visit()
    effort: Effort = "quick"
    day: date | None = None


@dataclass(frozen=True, slots=True)
class PackIdentity:
    """Which model answered; the digest changes with any number in it."""

    family: str
    version: str
    digest: str


@dataclass(frozen=True, slots=True)
class Finding:
    """Something to know about a reading, and what would mend it.

    >>> Finding("mould_hot", "doubt", "A mould this hot was being emptied.", "Read it ten minutes later.").severity
    'doubt'
    """

    code: str
    severity: Severity
    message: str
    remedy: str | None = None


@dataclass(frozen=True, slots=True)
class UsedCondition:
    """A condition that a band was computed for.

    ``source``, written as ``from`` in JSON, is ``reading``, ``case``, the id of a test that measured it, or
    ``assumed``.
    """

    value: float
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class Expected:
    """What a healthy appliance should read here; either side may be open.  ``seen`` for what is seen, not measured.

    ``conditions`` are those that the band holds for, by name.
    """

    basis: str
    unit: str | None = None
    low: float | None = None
    high: float | None = None
    seen: tuple[str, ...] | None = None
    source: str | None = None
    conditions: Mapping[str, UsedCondition] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class CheckedReading:
    """A reading after validation, in the test's own unit.

    ``as_read`` is the value before the reading's correction, None where it has none.

    >>> def outside(checked: CheckedReading) -> bool:
    ...     return checked.verdict == "outside"
    """

    test: str
    verdict: Verdict
    value: float | None = None
    unit: str | None = None
    seen: str | None = None
    over_range: bool = False
    under_range: bool = False
    expected: Expected | None = None
    standard_uncertainty: float | None = None
    probability_within: float | None = None
    assumed: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    as_read: float | None = None


@dataclass(frozen=True, slots=True)
class Evidence:
    """What one piece of evidence did to a fault: ten times the decimal logarithm of the factor it changed its odds by.

    Pieces count one after another (complaints, what works, readings before any repair, then each repair and what was
    read after it), so they add up to the whole way from the fault's prior odds to its present odds.  A repair counts
    with what it cures and with what became of the complaint.  ``source`` is written as ``from`` in JSON.
    """

    source: str
    decibans: float


@dataclass(frozen=True, slots=True)
class RankedFault:
    """A fault, how likely it is present, and why."""

    fault: str
    title: str
    probability: float
    part: str | None = None
    evidence: tuple[Evidence, ...] = ()


@dataclass(frozen=True, slots=True)
class Clash:
    """Pieces of evidence that no single explanation fits."""

    sources: tuple[str, ...]
    message: str


@dataclass(frozen=True, slots=True)
class LeadsTo:
    """What comes next if things turn out in one way."""

    kind: StepKind
    id: str
    title: str


@dataclass(frozen=True, slots=True)
class StepOutcome:
    """One way in which a step may turn out, how likely it is, and what it would lead to."""

    outcome: str
    text: str
    probability: float
    leads_to: LeadsTo


@dataclass(frozen=True, slots=True)
class Step:
    """Something to do next.

    ``expected_cost`` and ``expected_minutes`` go on to a proven repair; ``first_visit`` is the probability of ending
    at this visit, when this is done next and the plan followed.
    """

    kind: StepKind
    id: str
    title: str
    why: str
    state: str | None = None
    zone: str | None = None
    minutes: float | None = None
    expected_cost: float | None = None
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    expected_minutes: float | None = None
    first_visit: float | None = None
    outcomes: tuple[StepOutcome, ...] = ()


@dataclass(frozen=True, slots=True)
class PartChance:
    """A part and how likely this job needs it."""

    part: str
    title: str
    probability: float


@dataclass(frozen=True, slots=True)
class ClosingCheck:
    """What must be shown before the job is left.

    ``status`` tells of repairs already done whether it was shown since; None where there is nothing to show yet.
    """

    id: str
    text: str
    test: str | None = None
    status: CheckStatus | None = None


@dataclass(frozen=True, slots=True)
class OpenConfiguration:
    """A build of the appliance that the given options leave open, and how likely it is."""

    options: Mapping[str, str]
    probability: float


@dataclass(frozen=True, slots=True)
class PlannerNote:
    """How the plan was made; ``fell_back`` when a quicker way had to do than was asked for, and ``why``."""

    method: str
    fell_back: bool = False
    why: str | None = None


@dataclass(frozen=True, slots=True)
class Outlook:
    """What is to be expected from here to a proven repair, when the plan is followed."""

    expected_cost: float
    expected_minutes: float
    first_visit_probability: float


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The answer to a case.

    ``computation`` is a digest of all that it depends on: the case but for its reference, the pack, the settings, and
    the service's code.  Equal digests are one and the same computation.
    """

    pack: PackIdentity
    readings: tuple[CheckedReading, ...]
    faults: tuple[RankedFault, ...]
    unexplained: float
    no_fault: float
    notice: str
    reference: str | None = None
    configurations: tuple[OpenConfiguration, ...] = ()
    clashes: tuple[Clash, ...] = ()
    next: Step | None = None
    alternatives: tuple[Step, ...] = ()
    parts: tuple[PartChance, ...] = ()
    closing_checks: tuple[ClosingCheck, ...] = ()
    cautions: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    outlook: Outlook | None = None
    planner: PlannerNote | None = None
    computation: str | None = None


@dataclass(frozen=True, slots=True)
class ReadingsReport:
    """The answer of ``POST /v1/readings/check``."""

    pack: PackIdentity
    readings: tuple[CheckedReading, ...]
    notice: str
    reference: str | None = None
    assumptions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ScoredReading:
    """Log-likelihoods in nats of one reading under each hypothesis, aligned with ``ScoreReport.hypotheses``."""

    test: str
    log_likelihoods: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class ScoreReport:
    """The answer of ``POST /v1/readings/score``.

    ``hypotheses`` begins with ``no_fault`` and ends with ``unknown``; between them stands each single fault.
    """

    pack: PackIdentity
    hypotheses: tuple[str, ...]
    readings: tuple[ScoredReading, ...]
    notice: str
    skipped: tuple[CheckedReading, ...] = ()
    reference: str | None = None
