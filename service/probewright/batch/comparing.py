"""An earlier answer beside the one of today: what is different, and by how much."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass

from probewright.engine import Brief
from probewright.engine.many import FaultChance
from probewright.inference.evaluate import Told
from probewright.packs.model import Family
from probewright_schemas.batch_records import Change, EarlierAnswer, EarlierFault, EarlierReading, Held
from probewright_schemas.dump import significant
from probewright_schemas.records import CheckedReading, Diagnosis, RankedFault

#: A replaced part was bad if that is likelier than not, and looks good when it is hardly likely (choices of ours).
BAD, GOOD = 0.5, 0.1
NO_FAULT, UNKNOWN = "no_fault", "unknown"
#: More than rounding to six digits moves the difference of two probabilities.
_ROUNDING = 2e-6
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
    faults: Sequence[RankedFault] | Sequence[EarlierFault] | Sequence[FaultChance], unexplained: float | None,
    no_fault: float | None,
) -> Held | None:  # fmt: skip
    """What an answer holds likeliest, by probabilities as answers are written; None where it says nothing of any."""
    told = [(significant(fault.probability), fault.fault) for fault in faults[:1]]
    if no_fault is not None:
        told.append((significant(no_fault), NO_FAULT))
    if unexplained is not None:
        told.append((significant(unexplained), UNKNOWN))
    if not told:
        return None
    chance, name = max(told, key=_chance)  # of several the first
    return Held(name, chance)


def _chance(told: tuple[float, str]) -> float:
    return told[0]


def shift(earlier: EarlierAnswer, now: Diagnosis | Brief) -> float | None:
    """The largest change of any probability; None where the earlier answer tells none.

    What an answer leaves out it held for all but ruled out.  Stored answers were rounded when they were written, so
    that of today is taken as it would be: the same computation is no change.
    """
    before = {fault.fault: fault.probability for fault in earlier.faults}
    after = {fault.fault: fault.probability for fault in now.faults}
    pairs = [(chance, after.pop(name, 0.0)) for name, chance in before.items()]
    if earlier.no_fault is not None:
        pairs.append((earlier.no_fault, now.no_fault))
    if earlier.unexplained is not None:
        pairs.append((earlier.unexplained, now.unexplained))
    if not pairs:
        return None
    pairs += [(0.0, chance) for chance in after.values()]
    # Only those that rounding could make the largest need to be rounded, and what rounding alone can do is nothing.
    close = max([abs(a - b) for a, b in pairs]) - _ROUNDING
    if close <= 0.0:
        return 0.0
    return min(1.0, max([abs(significant(a) - significant(b)) for a, b in pairs if abs(a - b) >= close]))


@dataclass(frozen=True, slots=True)
class Both:
    """An earlier answer and today's, and what each held likeliest; ``before`` is None where that was not told."""

    earlier: EarlierAnswer
    now: Diagnosis | Brief
    before: Held | None
    after: Held


def differences(both: Both, hazards: Set[str], swapped: Sequence[Swapped]) -> tuple[Change, ...]:
    """What is different, the gravest first; ``hazards`` are the ids of the family's."""
    earlier, now = both.earlier, both.now
    found = [
        *_hazards(earlier, now, hazards),
        *_swapped(swapped),
        *_leading(both.before, both.after),
        *_steps(earlier, now, hazards),
        *_verdicts(earlier.readings, now),
    ]
    if not (found or compared(both)):
        found.append(Change("not_computed", "answer"))
    if len(found) > 1:
        found.sort(key=lambda change: _ORDER.index(change.kind))
    return tuple(found)


def hazards_of(now: Diagnosis | Brief, hazards: Set[str]) -> tuple[Change, ...]:
    """The hazard that a first answer shows."""
    return (Change("hazard_shows", now.next.id, after=now.next.id),) if now.next and now.next.id in hazards else ()


def compared(both: Both) -> tuple[str, ...]:
    """What both answers tell, and so what can be said to be different or not."""
    told = (
        ("the verdicts", bool(both.earlier.readings)),
        ("the leading fault", both.before is not None),
        ("the next step", both.earlier.next is not None and both.now.next is not None),
    )
    return tuple([name for name, is_told in told if is_told])


def _hazards(earlier: EarlierAnswer, now: Diagnosis | Brief, hazards: Set[str]) -> Iterator[Change]:
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


def _leading(before: Held | None, after: Held) -> Iterator[Change]:
    if before is not None and before.fault != after.fault:
        yield Change(
            "leading_fault", before=before.fault, after=after.fault,
            probability_before=before.probability, probability_after=after.probability,
        )  # fmt: skip


def _steps(earlier: EarlierAnswer, now: Diagnosis | Brief, hazards: Set[str]) -> Iterator[Change]:
    before, after = earlier.next, now.next
    if before is None or after is None or before.id in hazards or after.id in hazards:
        return
    if (before.kind, before.id) != (after.kind, after.id):
        yield Change("next_step", before=f"{before.kind}:{before.id}", after=f"{after.kind}:{after.id}")


def _verdicts(earlier: Sequence[EarlierReading], now: Diagnosis | Brief) -> Iterator[Change]:
    """By place, as both are in the order of the case."""
    if not earlier:
        return
    if [reading.test for reading in earlier] != [reading.test for reading in now.readings]:
        yield Change("not_computed", "readings")
        return
    today: Sequence[CheckedReading | Told] = now.readings
    for place, (before, after) in enumerate(zip(earlier, today, strict=True)):
        if before.verdict != after.verdict:
            yield Change(
                "verdict", after.test, place, before.verdict, after.verdict,
                before.probability_within, after.probability_within,
            )  # fmt: skip


def titles(family: Family) -> Mapping[str, str]:
    """Titles of what changes are about, with the two that are no faults: by ``kind:id``, and by the id alone.

    A test and a part may share an id; then it stands for the part.
    """
    named = {NO_FAULT: "nothing wrong", UNKNOWN: "something unknown"}
    named |= {f"fault:{name}": title for name, title in named.items()}
    titled = (
        *(("test", test.id, test.title) for test in family.tests),
        *(("part", part.id, part.title) for part in family.parts),
        *(("hazard", lock.id, lock.title) for lock in family.interlocks),
        *(("repair", repair.id, repair.title) for repair in family.repairs),
        *(("fault", fault.id, fault.title) for fault in family.faults),
    )
    for kind, name, title in titled:
        named[name] = named[f"{kind}:{name}"] = title
    return named
