"""Where the technician stands: in which state, what is open, and what has been read.

A case does not say so.  It follows from the readings: the state of the last one (its test's own state where the reading
names none), and the zones of all, which count as open and paid for, as do those of repairs already done.  After a
repair the function was tried, so the appliance runs.  Without any reading or repair the state is unknown and every way
is paid.

A test that has been read is not proposed again.  Two exceptions carry their reason: the reading was rejected, or it
was inconclusive or doubtful for something that can be put right, which shows as a finding of severity ``doubt`` with a
remedy (a missing temperature, a meter with the wrong input, a unit that looks mistaken).  The latest reading of a test
decides.  And a reading that clashes with other evidence is worth one more, for one of them is mistaken.

What was read before a repair counts as not read, if the repair could have changed it: it cures a fault that the test
shows.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from probewright.inference.prepared import repairs_before
from probewright.packs.model import Family, Stated, Table, Test
from probewright.planning.model import PlanningModel
from probewright_schemas.records import Case, CheckedReading

Array = NDArray[np.float64]

#: Findings that doubt the reading itself, whatever its verdict.
_SLIPS = frozenset({"decade_suspect", "fits_nothing"})
#: A reading that clashes is taken again as long as there are fewer than this.
READ_TWICE: Final = 2
#: Nobody is asked for a reading more often than this, whatever is wrong with it.
MOST_TIMES: Final = 3
CLASHES: Final = "it clashes with what else is known"


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """The situation on the spot.

    Attributes
    ----------
    state : int
        Position in the model's states; their number when nobody knows.
    closed : ndarray of shape (n_zones,)
        1 for zones still to be opened.
    read : mapping of test id to str or None
        Tests read so far, with the reason to read them again, if there is one.
    tried : frozenset of str
        Repairs already done.
    """

    state: int
    closed: Array
    read: Mapping[str, str | None]
    tried: frozenset[str]


def standing(
    model: PlanningModel, case: Case, checked: Sequence[CheckedReading], clashing: Collection[str] = ()
) -> Standing:
    """Work out the situation from a case; ``clashing`` are the tests whose readings clash with other evidence."""
    closed = model.ground.opens.copy()
    for reading in case.readings:
        if reading.test in model.read_at:
            closed[model.read_at[reading.test]] = 0.0
    tried = frozenset(done.repair for done in case.repairs_done)
    for repair, needs in zip(model.repairs.records, model.repairs.needs, strict=True):
        if repair.id in tried:
            closed = closed * (1.0 - needs)
    latest, outdated = _latest(case, checked), _outdated(model.family, case)
    times = Counter(reading.test for reading in case.readings)
    doubted = {test for test in clashing if times[test] < READ_TWICE}
    read = {
        test: (again(reading) or (CLASHES if test in doubted else None)) if times[test] < MOST_TIMES else None
        for test, reading in latest.items()
        if test not in outdated
    }
    return Standing(_state(model, case), closed, read, tried)


def _latest(case: Case, checked: Sequence[CheckedReading]) -> dict[str, CheckedReading]:
    """The latest reading of each test: after the last repair, and then as given."""
    if not case.repairs_done or not checked:
        return {reading.test: reading for reading in checked}
    order = sorted(zip(case.readings, checked, strict=True), key=lambda pair: repairs_before(case, pair[0]))
    return {reading.test: reading for _, reading in order}


def _outdated(family: Family, case: Case) -> frozenset[str]:
    """The tests that a repair may have changed since they were last read."""
    if not case.repairs_done:
        return frozenset()
    cures = {repair.id: repair.cures.keys() for repair in family.repairs}
    tests = {test.id: test for test in family.tests}
    since: dict[str, int] = {}
    for reading in case.readings:
        since[reading.test] = max(since.get(reading.test, 0), repairs_before(case, reading))
    return frozenset(
        test
        for test, repairs in since.items()
        if any(shows(family, tests[test], cures[done.repair]) for done in case.repairs_done[repairs:])
    )


def shows(family: Family, test: Test, faults: Collection[str]) -> bool:
    """Whether what a test gives depends on any of some faults."""
    circuits = {circuit.id: circuit.changes.keys() for circuit in family.circuits}
    for model in test.models:
        if isinstance(model, Table | Stated):
            needed = [r.circuit for r, _ in model.without] if isinstance(model, Table) else []
            shown = set(model.by_fault).union(*(circuits[name] for name in needed))
        else:
            shown = set(circuits[model.circuit])
        if not shown.isdisjoint(faults):
            return True
    return False


def _state(model: PlanningModel, case: Case) -> int:
    nobody_knows = len(model.ground.states)
    latest = max(enumerate(case.readings), key=lambda entry: (repairs_before(case, entry[1]), entry[0]), default=None)
    if case.repairs_done and (latest is None or repairs_before(case, latest[1]) < len(case.repairs_done)):
        return model.ground.running  # where the function was tried
    if latest is None:
        return nobody_knows
    last = latest[1]
    if last.state is not None:
        return model.ground.state_at.get(last.state, nobody_knows)
    return model.read_in.get(last.test, nobody_knows)


def again(reading: CheckedReading) -> str | None:
    """Why a test is worth reading again, or None."""
    if reading.verdict == "rejected":
        wanted = [f for f in reading.findings if f.severity == "reject"]
        return wanted[0].remedy or wanted[0].message if wanted else "the reading could not be used"
    if reading.verdict == "inconclusive" or any(finding.code in _SLIPS for finding in reading.findings):
        return next((f.remedy for f in reading.findings if f.severity == "doubt" and f.remedy), None)
    return None
