"""The records of batches and of re-evaluation.  As of all records: fields may be added, never renamed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from probewright_schemas.records import Case, Correction, Diagnosis, Limits, PackIdentity, StepKind, Verdict

#: What became of a stored case: the very same computation, asked again without a difference, with one, or never
#: answered before.
Status = Literal["same", "unchanged", "changed", "new"]
ChangeKind = Literal[
    "verdict", "leading_fault", "next_step", "hazard_shows", "hazard_gone", "swapped_part_good", "not_computed"
]


@dataclass(frozen=True, slots=True)
class MeterCorrection:
    """A correction of one instrument's readings of one kind, over a range of days (both ends included)."""

    meter: str
    kind: str
    correction: Correction
    since: date | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class ReplacedLimits:
    """Limits of a test that take the place of the pack's and of the case's own, for builds with some options."""

    family: str
    test: str
    limits: Limits
    when: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Changes:
    """What is different from when the stored answers were given."""

    corrections: tuple[MeterCorrection, ...] = ()
    limits: tuple[ReplacedLimits, ...] = ()


@dataclass(frozen=True, slots=True)
class EarlierReading:
    """What an earlier answer said of one reading."""

    test: str
    verdict: Verdict
    probability_within: float | None = None


@dataclass(frozen=True, slots=True)
class EarlierFault:
    """How likely an earlier answer held a fault."""

    fault: str
    probability: float


@dataclass(frozen=True, slots=True)
class EarlierStep:
    """What an earlier answer advised."""

    kind: StepKind
    id: str


@dataclass(frozen=True, slots=True)
class EarlierAnswer:
    """What re-evaluation reads of an earlier answer; the rest of it may be there and is not looked at."""

    pack: PackIdentity
    readings: tuple[EarlierReading, ...] = ()
    faults: tuple[EarlierFault, ...] = ()
    unexplained: float | None = None
    no_fault: float | None = None
    next: EarlierStep | None = None
    computation: str | None = None


@dataclass(frozen=True, slots=True)
class StoredJob:
    """A case as it was stored, and the answer that it was given then, if any."""

    case: Case
    answer: EarlierAnswer | None = None

    @property
    def told(self) -> Case:
        """What has the members of the case: the case."""
        return self.case


@dataclass(frozen=True, slots=True)
class Held:
    """What is held likeliest: a fault's id, ``no_fault`` or ``unknown``, and its probability."""

    fault: str
    probability: float


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that is different.

    ``of`` is what it is about: a test's id, a part's, a hazard's; ``reading`` is the reading's place in the case.
    ``before`` and ``after`` are verdicts, faults or steps (``kind:id``), and the probabilities those of what is told:
    that the reading is within, of the leading fault, or that the swapped part was bad.
    """

    kind: ChangeKind
    of: str | None = None
    reading: int | None = None
    before: str | None = None
    after: str | None = None
    probability_before: float | None = None
    probability_after: float | None = None


@dataclass(frozen=True, slots=True)
class CorrectedReading:
    """A reading that a correction changed, both values in the unit in which it was given."""

    reading: int
    test: str
    meter: str
    as_read: float
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Reevaluation:
    """What became of one stored case.

    ``shift`` is the largest change of any fault's probability, of ``no_fault`` and ``unexplained`` included; None
    where there was no earlier answer.  ``computation`` is the digest of everything that the new answer depends on, and
    ``answer`` that answer, where it was asked for and is not the same.
    """

    family: str
    status: Status
    why: str
    pack: PackIdentity
    after: Held
    computation: str
    reference: str | None = None
    before: Held | None = None
    shift: float | None = None
    changes: tuple[Change, ...] = ()
    corrected: tuple[CorrectedReading, ...] = ()
    notes: tuple[str, ...] = ()
    answer: Diagnosis | None = None
