"""Hazards that come before everything else.

An interlock is judged on what was reported and read, never on what is likely and never against a cost:

- A complaint that names it raises it, before any reading.
- A reading that shows one of its outcomes raises it.
- A number raises it when the true value exceeds the limit with a probability of at least :data:`GUARD`: for a normal
  error of the reading, guarded acceptance as in JCGM 106:2012, section 8.  Without an uncertainty the number itself is
  compared; over range counts as exceeding.
- A reading that was rejected as evidence raises it all the same.

What clears it depends on the pack.  Where it says ``cleared_by``, every test named there must be read after the last
thing that raised the interlock, and the latest such reading must show a clearing outcome; a numeric test shows its
verdict, so ``{"carbon_monoxide": ("within",)}`` can clear.  Rejected and inconclusive readings clear nothing, nor does
one that raises the interlock itself.  Where the pack names nothing, the latest reading of each test prevails, and a
complaint is never cleared.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

from probewright.packs.model import Family, Interlock
from probewright_schemas.records import Case, CheckedReading

#: The chance of exceeding a limit from which a reading raises an interlock: the usual five per cent, one-sided.
GUARD: Final = 0.05

_BY_COMPLAINT = -1


def probability_above(value: float, limit: float, standard_uncertainty: float | None) -> float:
    """Probability that the true value exceeds a limit, for a normal error (JCGM 106:2012, 7.3).

    Parameters
    ----------
    value, limit : float
        In the same unit.
    standard_uncertainty : float or None
        In that unit; None or 0 compares the numbers, and a value on the limit counts as above.
    """
    if not standard_uncertainty:
        return 1.0 if value >= limit else 0.0
    return 0.5 * math.erfc((limit - value) / (standard_uncertainty * math.sqrt(2.0)))


def raised(family: Family, case: Case, checked_readings: Sequence[CheckedReading]) -> tuple[Interlock, ...]:
    """The interlocks that hold, the worst first: ``stop`` before ``refer``, then by id."""
    holding = [lock for lock in family.interlocks if _holds(lock, case, checked_readings)]
    return tuple(sorted(holding, key=lambda lock: (lock.kind != "stop", lock.id)))


def _holds(lock: Interlock, case: Case, readings: Sequence[CheckedReading]) -> bool:
    complained = any(complaint in lock.complaints for complaint in case.complaints)
    raising = [i for i, reading in enumerate(readings) if _raises(lock, reading)]
    if lock.cleared_by:
        last = max(raising, default=_BY_COMPLAINT)
        return (complained or bool(raising)) and not _cleared(lock, readings[last + 1 :])
    latest = {reading.test: i for i, reading in enumerate(readings)}
    return complained or any(latest[readings[i].test] == i for i in raising)


def _raises(lock: Interlock, reading: CheckedReading) -> bool:
    if reading.seen is not None and reading.seen in lock.seen.get(reading.test, ()):
        return True
    limit = lock.above.get(reading.test)
    if limit is None:
        return False
    if reading.over_range:
        return True
    if reading.value is None:
        return False
    return probability_above(reading.value, float(limit), reading.standard_uncertainty) >= GUARD


def _cleared(lock: Interlock, later: Sequence[CheckedReading]) -> bool:
    latest = {reading.test: reading for reading in later}
    return all(test in latest and _clears(latest[test], outcomes) for test, outcomes in lock.cleared_by.items())


def _clears(reading: CheckedReading, outcomes: Sequence[str]) -> bool:
    if reading.verdict in ("rejected", "inconclusive"):
        return False
    return (reading.seen if reading.seen is not None else reading.verdict) in outcomes
