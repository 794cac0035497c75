"""An earlier answer beside the one of today: what is different, and by how much."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from probewright.packs.model import Family
from probewright_schemas.batch_records import Change, EarlierAnswer, EarlierFault, EarlierReading, Held
from probewright_schemas.records import Diagnosis, RankedFault

#: A replaced part was bad if that is likelier than not, and looks good when it is hardly likely (choices of ours).
BAD, GOOD = 0.5, 0.1
NO_FAULT, UNKNOWN = "no_fault", "unknown"
#: The gravest first: what may hurt somebody, then what may have been done wrong, then what to do, then why.
_ORDER = (
    "hazard_shows", "hazard_gone", "swapped_part_good", "leading_fault", "next_step", "verdict", "not_computed",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Swapped:
    """A part that was replaced: how likely it was bad, before the changes (None where nobody can tell) and now."""

    repair: str
    part: str
    before: float | None
    after: float


def held(
    faults: Sequence[RankedFault] | Sequence[EarlierFault], unexplained: float | None, no_fault: float | None,
) -> Held | None:  # fmt: skip
    """What an answer holds likeliest; None where it says nothing of any."""
    found = [Held(fault.fault, fault.probability) for fault in faults[:1]]
    found += [Held(name, p) for name, p in ((NO_FAULT, no_fault), (UNKNOWN, unexplained)) if p is not None]
    return max(found, key=lambda one: one.probability, default=None)


def shift(earlier: EarlierAnswer, now: Diagnosis) -> float:
    """The largest change of any probability; what an answer leaves out it held for all but ruled out."""
    before = {fault.fault: fault.probability for fault in earlier.faults}
    after = {fault.fault: fault.probability for fault in now.faults}
    if earlier.no_fault is not None:
        before[NO_FAULT], after[NO_FAULT] = earlier.no_fault, now.no_fault
    if earlier.unexplained is not None:
        before[UNKNOWN], after[UNKNOWN] = earlier.unexplained, now.unexplained
    if not before:
        return 0.0
    return min(1.0, max(abs(after.get(name, 0.0) - before.get(name, 0.0)) for name in before.keys() | after.keys()))


def differences(
    earlier: EarlierAnswer, now: Diagnosis, family: Family, swapped: Sequence[Swapped],
) -> tuple[Change, ...]:  # fmt: skip
    """What is different, the gravest first."""
    hazards = {lock.id for lock in family.interlocks}
    found = [
        *_hazards(earlier, now, hazards),
        *_swapped(swapped),
        *_leading(earlier, now),
        *_steps(earlier, now, hazards),
        *_verdicts(earlier.readings, now),
    ]
    return tuple(sorted(found, key=lambda change: _ORDER.index(change.kind)))


def _hazards(earlier: EarlierAnswer, now: Diagnosis, hazards: set[str]) -> Iterator[Change]:
    before = earlier.next.id if earlier.next is not None and earlier.next.id in hazards else None
    after = now.next.id if now.next is not None and now.next.id in hazards else None
    if before != after and after is not None:
        yield Change("hazard_shows", after, before=before, after=after)
    elif before != after:
        yield Change("hazard_gone", before, before=before)


def _swapped(swapped: Sequence[Swapped]) -> Iterator[Change]:
    for one in swapped:
        if one.after <= GOOD and (one.before is None or one.before >= BAD):
            yield Change(
                "swapped_part_good", one.part, after=one.repair,
                probability_before=one.before, probability_after=one.after,
            )  # fmt: skip


def _leading(earlier: EarlierAnswer, now: Diagnosis) -> Iterator[Change]:
    before = held(earlier.faults, earlier.unexplained, earlier.no_fault)
    after = held(now.faults, now.unexplained, now.no_fault)
    if before is not None and after is not None and before.fault != after.fault:
        yield Change(
            "leading_fault", before=before.fault, after=after.fault,
            probability_before=before.probability, probability_after=after.probability,
        )  # fmt: skip


def _steps(earlier: EarlierAnswer, now: Diagnosis, hazards: set[str]) -> Iterator[Change]:
    before, after = earlier.next, now.next
    if before is None or after is None or before.id in hazards or after.id in hazards:
        return
    if (before.kind, before.id) != (after.kind, after.id):
        yield Change("next_step", before=f"{before.kind}:{before.id}", after=f"{after.kind}:{after.id}")


def _verdicts(earlier: Sequence[EarlierReading], now: Diagnosis) -> Iterator[Change]:
    """By place, as both are in the order of the case."""
    if not earlier:
        return
    if [reading.test for reading in earlier] != [reading.test for reading in now.readings]:
        yield Change("not_computed", "readings")
        return
    for place, (before, after) in enumerate(zip(earlier, now.readings, strict=True)):
        if before.verdict != after.verdict:
            yield Change(
                "verdict", after.test, place, before.verdict, after.verdict,
                before.probability_within, after.probability_within,
            )  # fmt: skip


def titles(family: Family) -> Mapping[str, str]:
    """Titles of what changes are about, by id, with the two that are no faults."""
    named = {NO_FAULT: "nothing wrong", UNKNOWN: "something unknown"}
    for records in (family.tests, family.parts, family.interlocks, family.repairs, family.faults):
        named |= {record.id: record.title for record in records}
    return named
