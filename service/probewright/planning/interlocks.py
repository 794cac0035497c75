"""Hazards that come before everything else.

An interlock is judged on what was reported and read, never on what is likely and never against a cost:

- A complaint that names it raises it, before any reading.
- A reading that shows one of its outcomes raises it.
- A number raises it when the true value exceeds the limit with a probability of at least :data:`GUARD`: for a normal
  error of the reading, guarded acceptance as in JCGM 106:2012, 8.3.2.  Without an uncertainty the number itself is
  compared, and one on the limit counts as exceeding it; so does over range.
- A reading that was rejected as evidence raises it all the same.
- A shop may set a stricter limit for a gas, as a limit of the case's technical sheet; a looser one changes nothing.

What clears it depends on the pack. Where it says ``cleared_by``, every test named there, but for those that the case's
options rule out, must be read after the last thing that raised the interlock, and the latest such reading must show a
clearing outcome; a numeric test shows its verdict, so ``{"carbon_monoxide": ("within",)}`` can clear. Rejected and
inconclusive readings and those under range clear nothing, nor does one that raises the interlock itself. Where the
pack names nothing, a later usable reading of the same test prevails, and a complaint is never cleared. Later means
after a later repair first, and then as given.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from typing import Final, Protocol

from probewright.circuit.parts import may_hold
from probewright.inference.prepared import repairs_before
from probewright.packs.model import Family, Interlock
from probewright.quantities.conformity import probability_above
from probewright.quantities.units import convert
from probewright_schemas.records import Case, Verdict

#: The chance of exceeding a limit from which a reading raises an interlock: the usual five per cent, one-sided.
GUARD: Final = 0.05

_BY_COMPLAINT = -1


class Looked(Protocol):
    """What is looked at of a reading: a ``CheckedReading`` in its test's own unit has it."""

    @property
    def test(self) -> str:
        """The test."""

    @property
    def verdict(self) -> Verdict:
        """Its verdict."""

    @property
    def value(self) -> float | None:
        """The number, where it is one."""

    @property
    def standard_uncertainty(self) -> float | None:
        """The number's own."""

    @property
    def seen(self) -> str | None:
        """What was seen, where it is no number."""

    @property
    def over_range(self) -> bool:
        """Whether the display showed that."""

    @property
    def under_range(self) -> bool:
        """Whether the display showed that."""


def raised(family: Family, case: Case, checked_readings: Sequence[Looked]) -> tuple[Interlock, ...]:
    """The interlocks that hold, the worst first: ``stop`` before ``refer``, then by id."""
    read = {reading.test for reading in checked_readings}
    locks = [lock for lock in family.interlocks if _concerned(lock, case, read)]
    if not locks:
        return ()
    told = [(lock, _limits(lock, case, family), _clearing(lock, family, case)) for lock in locks]
    # In the order in which they were taken, as far as the case tells: after one repair, and after the next.
    order = sorted(range(len(checked_readings)), key=lambda i: repairs_before(case, case.readings[i]))
    taken = [checked_readings[i] for i in order]
    holding = [lock for lock, limits, clearing in told if _holds(lock, case, taken, limits, clearing)]
    return tuple(sorted(holding, key=lambda lock: (lock.kind != "stop", lock.id)))


def _concerned(lock: Interlock, case: Case, read: Set[str]) -> bool:
    """Whether anything could raise an interlock: a complaint that names it, or a reading that it looks at."""
    return _complained(lock, case) or not (read.isdisjoint(lock.seen) and read.isdisjoint(lock.above))


def _complained(lock: Interlock, case: Case) -> bool:
    return any(complaint in lock.complaints for complaint in case.complaints)


def _limits(lock: Interlock, case: Case, family: Family) -> Mapping[str, float]:
    """The limits of an interlock; for a gas a stricter one of the case's technical sheet, never a looser one."""
    sheets = {test: sheet for test, sheet in case.tech_sheet.items() if test in lock.above and sheet.high is not None}
    if not sheets:
        return lock.above
    limits: dict[str, float] = dict(lock.above)
    for test in family.tests:
        sheet = sheets.get(test.id)
        if sheet is not None and sheet.high is not None and test.kind == "concentration":
            limits[test.id] = min(limits[test.id], convert(sheet.high, sheet.unit, str(test.unit), "concentration"))
    return limits


def _holds(
    lock: Interlock, case: Case, readings: Sequence[Looked], limits: Mapping[str, float],
    clearing: Mapping[str, Sequence[str]],
) -> bool:  # fmt: skip
    complained = _complained(lock, case)
    raising = [i for i, reading in enumerate(readings) if _raises(lock, reading, limits)]
    if lock.cleared_by:
        last = max(raising, default=_BY_COMPLAINT)
        # Where the options rule out every test that could clear it, it stands.
        return (complained or bool(raising)) and not (clearing and _cleared(clearing, readings[last + 1 :]))
    sound = {reading.test: i for i, reading in enumerate(readings) if _usable(reading) and i not in set(raising)}
    return complained or any(sound.get(readings[i].test, _BY_COMPLAINT) < i for i in raising)


def _usable(reading: Looked) -> bool:
    """Whether a reading may clear; under range may as well be a meter at fault."""
    return reading.verdict not in ("rejected", "inconclusive") and not reading.under_range


def _raises(lock: Interlock, reading: Looked, limits: Mapping[str, float]) -> bool:
    if reading.seen is not None and reading.seen in lock.seen.get(reading.test, ()):
        return True
    limit = limits.get(reading.test)
    if limit is None:
        return False
    if reading.over_range:
        return True
    if reading.value is None:
        return False
    if not reading.standard_uncertainty:
        return reading.value >= limit
    return probability_above(reading.value, reading.standard_uncertainty, limit) >= GUARD


def _clearing(lock: Interlock, family: Family, case: Case) -> Mapping[str, Sequence[str]]:
    """What clears an interlock, without tests that an appliance with the case's options cannot have."""
    if not lock.cleared_by:
        return {}
    lacking = {test.id for test in family.tests if not may_hold(test.when, case.options)}
    return {test: outcomes for test, outcomes in lock.cleared_by.items() if test not in lacking}


def _cleared(clearing: Mapping[str, Sequence[str]], later: Sequence[Looked]) -> bool:
    latest = {reading.test: reading for reading in later}
    return all(test in latest and _clears(latest[test], outcomes) for test, outcomes in clearing.items())


def _clears(reading: Looked, outcomes: Sequence[str]) -> bool:
    if not _usable(reading):
        return False
    return (reading.seen if reading.seen is not None else reading.verdict) in outcomes
