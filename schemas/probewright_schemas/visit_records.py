"""The records of a visit planned beforehand.  As of all records: fields may be added, never renamed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from probewright_schemas.records import (
    Case,
    CaseCosts,
    Conditions,
    PackIdentity,
    PlannerNote,
    Reading,
    Step,
    Visit,
)


@dataclass(frozen=True, slots=True)
class VisitRequest:
    """What is known before the visit, and what may be carried.

    ``visit.parts_on_hand`` are the parts in stock, beside those on the shop's van; ``budget`` is the money that carried
    parts may cost together, and ``most_parts`` how many they may be.  ``asked`` are questions that are not to be asked
    again.
    """

    family: str
    reference: str | None = None
    options: Mapping[str, str] = field(default_factory=dict)
    complaints: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
    conditions: Conditions = field(default_factory=Conditions)
    readings: tuple[Reading, ...] = ()
    costs: CaseCosts = field(default_factory=CaseCosts)
    visit: Visit = field(default_factory=Visit)
    budget: float | None = None
    most_parts: int | None = None
    asked: tuple[str, ...] = ()

    def case(self) -> Case:
        """The case that it is about."""
        return Case(
            self.family,
            self.reference,
            options=self.options,
            complaints=self.complaints,
            working=self.working,
            conditions=self.conditions,
            readings=self.readings,
            costs=self.costs,
            visit=self.visit,
        )


@dataclass(frozen=True, slots=True)
class CaseFragment:
    """What an answer adds to a case."""

    options: Mapping[str, str] = field(default_factory=dict)
    complaints: tuple[str, ...] = ()
    working: tuple[str, ...] = ()
    readings: tuple[Reading, ...] = ()


@dataclass(frozen=True, slots=True)
class AnswerChoice:
    """One answer to a question.

    ``probability`` is how likely it is by what is known so far (None where that is not worked out); ``stop`` what the
    customer is told at once when this is the answer.
    """

    id: str
    text: str
    adds: CaseFragment = CaseFragment()
    probability: float | None = None
    stop: Step | None = None


@dataclass(frozen=True, slots=True)
class CustomerQuestion:
    """A question for the customer; ``value`` is what asking saves, None where safety asks it whatever it saves."""

    id: str
    text: str
    why: str
    answers: tuple[AnswerChoice, ...]
    value: float | None = None


@dataclass(frozen=True, slots=True)
class PlannedPart:
    """A part that the job may use, and whether to carry it.

    ``probability_used`` holds when it is at hand; ``ends_with`` and ``ends_without`` are the probabilities that the
    visit ends the job with the other carried parts and this one, or without it.  ``on_van``: it goes along anyway.
    """

    part: str
    title: str
    price: float
    carry: bool
    probability_used: float
    ends_with: float
    ends_without: float
    on_van: bool = False


@dataclass(frozen=True, slots=True)
class ToolChance:
    """An instrument, and how likely the visit needs it."""

    tool: str
    probability: float


@dataclass(frozen=True, slots=True)
class SkillChance:
    """A skill or licence, and how likely the visit needs it."""

    skill: str
    probability: float


@dataclass(frozen=True, slots=True)
class VisitMinutes:
    """Minutes on the spot: expected, and those that are exceeded by nine, and by one, in ten visits.

    ``closing_checks`` is the part of the expected minutes that they take.
    """

    expected: float
    low: float
    high: float
    closing_checks: float


@dataclass(frozen=True, slots=True)
class WorkItem:
    """A test or repair that the visit may come to; ``minutes`` are those of work and way."""

    kind: Literal["test", "repair"]
    id: str
    title: str
    minutes: float
    probability: float


@dataclass(frozen=True, slots=True)
class WorkGroup:
    """Work that is done in one state and place; ``steps`` lead there."""

    state: str
    steps: tuple[str, ...]
    work: tuple[WorkItem, ...]
    cautions: tuple[str, ...] = ()
    zone: str | None = None


@dataclass(frozen=True, slots=True)
class FaultChance:
    """A fault, and how likely it is."""

    fault: str
    title: str
    probability: float


@dataclass(frozen=True, slots=True)
class VisitPlan:
    """The visit, planned before anybody drives.

    With ``stop`` a hazard comes before everything else, and nothing is planned.
    """

    pack: PackIdentity
    notice: str
    reference: str | None = None
    stop: Step | None = None
    questions: tuple[CustomerQuestion, ...] = ()
    parts: tuple[PlannedPart, ...] = ()
    tools: tuple[ToolChance, ...] = ()
    skills: tuple[SkillChance, ...] = ()
    minutes: VisitMinutes | None = None
    first_visit_probability: float | None = None
    expected_cost: float | None = None
    order: tuple[WorkGroup, ...] = ()
    likeliest: tuple[FaultChance, ...] = ()
    cautions: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    planner: PlannerNote | None = None
