"""What planning needs of a family in one configuration, compiled to arrays once and kept by the caller.

Everything is sorted by id, so that no advice depends on the order in which a pack declares things.

Where a test may be done
    In its recommended state, the first that its pack lists.  For kinds that are read without power only
    (:data:`~probewright.packs.model.DEAD_KINDS`) the first listed state without power counts, and without one the test
    is never proposed.
Open options
    A record is kept when its ``when`` holds for the options known.  An option mapped to None is open and satisfies
    every condition on it; one that is absent does not apply and satisfies none.  Without a configuration everything
    is kept.  Of records that then share an id the first counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.parts import When, holds
from probewright.errors import PackModelError
from probewright.packs.model import Closing, Family, Interlock, Repair, ReplaceablePart
from probewright.planning.belief import OutcomeTable
from probewright.planning.ground import Ground
from probewright.planning.work import RepairWork, TestWork, minutes_of_all, state_of, zone_of

Array = NDArray[np.float64]
Configuration = Mapping[str, str | None] | None

NOTHING_WRONG: Final = "nothing wrong"
UNKNOWN: Final = "something this model does not know"


class _Conditional(Protocol):
    @property
    def id(self) -> str: ...
    @property
    def when(self) -> When: ...


C = TypeVar("C", bound=_Conditional)


@dataclass(frozen=True, slots=True, eq=False)
class PlanningModel:
    """A family in one configuration, as arrays.

    Axes: hypotheses (no fault, each of ``faults``, something unknown), tests, repairs, zones, and *present states*
    (each state of ``ground``, and last: nobody knows).

    Attributes
    ----------
    rates : ndarray of shape (n_faults,)
        Prior probabilities.
    hypotheses : tuple of str
        What each hypothesis is called in a sentence.
    proof : ndarray of shape (n_repairs,)
        Minutes of the closing checks of each repair, from the running state.
    tests, repairs : TestWork, RepairWork
        Those that the configuration keeps, sorted by id; of the tests those that a technician does to find a fault.
    read_in, read_at : mapping of test id to int
        The state and zone of every test of the family, whatever the configuration.
    alarms : mapping of test id to interlocks
        The hazards that a test may show.
    """

    family: Family
    faults: tuple[str, ...]
    rates: Array
    hypotheses: tuple[str, ...]
    ground: Ground
    parts: Mapping[str, ReplaceablePart]
    closings: Mapping[str, Closing]
    tests: TestWork
    repairs: RepairWork
    proof: Array
    read_in: Mapping[str, int]
    read_at: Mapping[str, int]
    alarms: Mapping[str, tuple[Interlock, ...]] = field(default_factory=dict)

    def hazard(self, test: str, table: OutcomeTable, outcome: int) -> Interlock | None:
        """The worst hazard that an outcome of a test shows, if it shows one."""
        found = [lock for lock in self.alarms.get(test, ()) if _shows(lock, test, table, outcome)]
        return min(found, key=lambda lock: (lock.kind != "stop", lock.id), default=None)

    def hazards(self, test: str, table: OutcomeTable) -> tuple[bool, ...]:
        """Which outcomes of a test show a hazard."""
        return tuple(self.hazard(test, table, outcome) is not None for outcome in range(len(table.labels)))


def compile_model(family: Family, configuration: Configuration, faults: Sequence[str]) -> PlanningModel:
    """Compile a family for planning.

    Parameters
    ----------
    family : Family
        The family, already found to hold together.
    configuration : mapping of option to value, or None
        See the module: a value of None leaves the option open, and None alone leaves all open.
    faults : sequence of str
        The faults of the beliefs that will be planned on, in their order.

    Raises
    ------
    PackModelError
        When a record names a state, zone, part or closing check that the family lacks, or the family has no state.
    """
    ground = Ground.of(family)
    parts, closings = {p.id: p for p in family.parts}, {c.id: c for c in family.closings}
    repairs = _kept(family.repairs, configuration)
    _check_references(repairs, parts, closings)
    rates = {fault.id: float(fault.rate) for fault in family.faults}
    return PlanningModel(
        family=family,
        faults=tuple(faults),
        rates=np.array([rates.get(fault, 0.0) for fault in faults], dtype=np.float64),
        hypotheses=_hypotheses(family, faults),
        ground=ground,
        parts=parts,
        closings=closings,
        tests=TestWork.of(_kept((t for t in family.tests if not (t.closing or t.reported)), configuration), ground),
        repairs=RepairWork.of(repairs, ground, faults, parts),
        proof=np.array([_proof(family, configuration, ground, repair) for repair in repairs], dtype=np.float64),
        read_in={t.id: state_of(t, ground) or 0 for t in reversed(family.tests)},
        read_at={t.id: zone_of(t, ground) for t in reversed(family.tests)},
        alarms=_alarms(family),
    )


def _proof(family: Family, configuration: Configuration, ground: Ground, repair: Repair) -> float:
    """Minutes of a repair's closing checks."""
    named = {closing.test for closing in family.closings if closing.id in repair.closing_checks}
    return minutes_of_all(_kept((test for test in family.tests if test.id in named), configuration), ground)


def _alarms(family: Family) -> dict[str, tuple[Interlock, ...]]:
    """The interlocks that each test may raise."""
    found: dict[str, list[Interlock]] = {}
    for lock in family.interlocks:
        for test in sorted({*lock.seen, *lock.above}):
            found.setdefault(test, []).append(lock)
    return {test: tuple(locks) for test, locks in found.items()}


def _shows(lock: Interlock, test: str, table: OutcomeTable, outcome: int) -> bool:
    if table.unit is None:
        return table.labels[outcome] in lock.seen.get(test, ())
    limit = lock.above.get(test)
    return limit is not None and outcome > 0 and table.edges[outcome - 1] >= float(limit)


def _kept(records: Iterable[C], configuration: Configuration) -> tuple[C, ...]:
    first: dict[str, C] = {}
    for record in records:
        if _may_hold(record.when, configuration):
            first.setdefault(record.id, record)
    return tuple(first[name] for name in sorted(first))


def _may_hold(when: When, configuration: Configuration) -> bool:
    if configuration is None:
        return True
    known = {option: value for option, value in configuration.items() if value is not None}
    asked = {option: allowed for option, allowed in when.items() if configuration.get(option, "") is not None}
    return holds(asked, known)


def _check_references(
    repairs: Sequence[Repair], parts: Mapping[str, ReplaceablePart], closings: Mapping[str, Closing]
) -> None:
    for repair in repairs:
        if repair.part is not None and repair.part not in parts:
            raise PackModelError(f"repair {repair.id!r} names part {repair.part!r}, which the family does not have")
        for check in repair.closing_checks:
            if check not in closings:
                raise PackModelError(f"repair {repair.id!r} names closing check {check!r}, which the family lacks")


def _hypotheses(family: Family, faults: Sequence[str]) -> tuple[str, ...]:
    titles = {fault.id: in_sentence(fault.title) for fault in family.faults}
    return (NOTHING_WRONG, *(titles.get(fault, fault) for fault in faults), UNKNOWN)


def in_sentence(title: str) -> str:
    """A title as it stands inside a sentence: its capital goes, unless the word is an abbreviation."""
    return title[0].lower() + title[1:] if title[:1].isupper() and not title[1:2].isupper() else title


def in_words(name: str | None) -> str:
    """An id as it stands in a sentence."""
    return "" if name is None else name.replace("_", " ")
