"""What planning needs of a family in one configuration, compiled to arrays once and kept by the caller.

Everything is sorted by id, so that no advice depends on the order in which a pack declares things.

States and zones
    A state costs its minutes each time it is entered.  Covers are
    opened in the *safe* state only: the one without power and gas that has the lowest risk.  To take a reading with
    power behind a closed cover therefore costs the way through the safe state.  The function is verified after each
    repair in the *running* state: powered, with gas where the family has it.
Where a test may be done
    In its recommended state, the first that its pack lists.  Resistance, continuity and capacitance are read without
    power only: for them the first listed state without power counts, and without one the test is never proposed.
Open options
    A record is kept when its ``when`` holds for the options known.  An option mapped to None is open and satisfies
    every condition on it; one that is absent does not apply and satisfies none.  Without a configuration everything
    is kept.  Of records that then share an id the first counts.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.parts import When, holds
from probewright.errors import PackModelError
from probewright.packs.model import Closing, Family, Repair, ReplaceablePart, State, Test, Zone
from probewright.planning.repair_order import Blocks

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Configuration = Mapping[str, str | None] | None

#: Kinds of test that are done without power only.
DEAD_ONLY: Final = frozenset({"resistance", "continuity", "capacitance"})

NOTHING_WRONG: Final = "nothing wrong"
UNKNOWN: Final = "something this model does not know"


class _Named(Protocol):
    @property
    def id(self) -> str: ...


class _Conditional(_Named, Protocol):
    @property
    def when(self) -> When: ...


N = TypeVar("N", bound=_Named)
C = TypeVar("C", bound=_Conditional)


@dataclass(frozen=True, slots=True, eq=False)
class PlanningModel:
    """A family in one configuration, as arrays.

    Axes: hypotheses (no fault, each of ``faults``, something unknown), tests, repairs, zones, and *present states*
    (each of ``states``, and last: nobody knows).

    Attributes
    ----------
    rates : ndarray of shape (n_faults,)
        Prior probabilities.
    hypotheses : tuple of str
        What each hypothesis is called in a sentence.
    safe, running : int
        Positions in ``states``.
    opens : ndarray of shape (n_zones,)
        1 for zones that are closed until somebody opens them.
    zone_minutes : ndarray of shape (n_zones,)
    test_state, test_zone : ndarray of int, shape (n_tests,)
    test_minutes : ndarray of shape (n_tests,)
        Of the test itself.
    reach : ndarray of shape (2, n_present_states, n_tests)
        Minutes to reach a test's state when its zone is open (0) or still closed (1), without opening it.
    cures, inverse : ndarray of shape (n_repairs, n_hypotheses)
        Chance to cure, and one over it (infinite for 0).
    needs : ndarray of shape (n_repairs, n_zones), 0 or 1
    blocks : Blocks
        The repairs grouped by zones.
    repair_minutes : ndarray of shape (n_repairs,)
        From the running state and back to it, with the repair itself, without opening and verification.
    set_up_minutes : ndarray of shape (n_present_states, n_repairs)
        What the repair takes more than that from another state.
    price : ndarray of shape (n_repairs,)
        Of its part, from the pack.
    read_in, read_at : mapping of test id to int
        The state and zone of every test of the family, whatever the configuration.
    """

    family: Family
    configuration: Configuration
    faults: tuple[str, ...]
    rates: Array
    hypotheses: tuple[str, ...]
    states: tuple[State, ...]
    zones: tuple[Zone, ...]
    tests: tuple[Test, ...]
    repairs: tuple[Repair, ...]
    parts: Mapping[str, ReplaceablePart]
    closings: Mapping[str, Closing]
    state_at: Mapping[str, int]
    zone_at: Mapping[str, int]
    safe: int
    running: int
    opens: Array
    zone_minutes: Array
    test_state: Index
    test_zone: Index
    test_minutes: Array
    reach: Array
    cures: Array
    inverse: Array
    needs: Array
    blocks: Blocks
    repair_minutes: Array
    set_up_minutes: Array
    price: Array
    read_in: Mapping[str, int]
    read_at: Mapping[str, int]

    def trip(self, present: int, state: int, opening: bool) -> tuple[int, ...]:
        """The states to enter, one after the other, to work in a state; ``opening`` when a cover comes off first."""
        return _trip(self.states, self.safe, present, state, opening)


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
    if not family.states:
        raise PackModelError(f"family {family.id!r} has no states to work in")
    states, zones = _sorted(family.states), _sorted(family.zones)
    state_at, zone_at = _places(states), _places(zones)
    tests = tuple(t for t in _kept(family.tests, configuration) if _test_state(t, states, state_at) is not None)
    repairs = _kept(family.repairs, configuration)
    safe, running = _safe(states), _running(states)
    opens = np.array([float(bool(z.minutes > 0 or z.steps)) for z in zones])
    parts, closings = {p.id: p for p in family.parts}, {c.id: c for c in family.closings}
    _check_references(repairs, parts, closings)
    needs = _incidence(repairs, zone_at)
    test_state = np.array([_test_state(t, states, state_at) or 0 for t in tests], dtype=np.intp)
    repair_state = [_place(state_at, r.state, f"repair {r.id!r}", "state") for r in repairs]
    cures = _cures(repairs, tuple(faults))
    back = [_minutes(states, _trip(states, safe, s, running, opening=False)) for s in repair_state]
    there = _ways(states, safe, repair_state, [bool((row * opens).any()) for row in needs])
    readable, rates = _sorted(family.tests), {fault.id: float(fault.rate) for fault in family.faults}
    return PlanningModel(
        family=family,
        configuration=configuration,
        faults=tuple(faults),
        rates=np.array([rates.get(fault, 0.0) for fault in faults], dtype=np.float64),
        hypotheses=_hypotheses(family, faults),
        states=states,
        zones=zones,
        tests=tests,
        repairs=repairs,
        parts=parts,
        closings=closings,
        state_at=state_at,
        zone_at=zone_at,
        safe=safe,
        running=running,
        opens=opens,
        zone_minutes=np.array([float(z.minutes) for z in zones]),
        test_state=test_state,
        test_zone=np.array([_place(zone_at, t.zone, f"test {t.id!r}", "zone") for t in tests], dtype=np.intp),
        test_minutes=np.array([float(t.minutes) for t in tests]),
        reach=np.stack([_ways(states, safe, test_state.tolist(), [closed] * len(tests)) for closed in (False, True)]),
        cures=cures,
        inverse=np.divide(1.0, cures, out=np.full_like(cures, np.inf), where=cures > 0),
        needs=needs,
        blocks=Blocks.by_zones(needs),
        repair_minutes=there[running] + np.array([float(r.minutes) for r in repairs]) + np.array(back),
        set_up_minutes=there - there[running],
        price=np.array([float(parts[r.part].price) if r.part else 0.0 for r in repairs]),
        read_in={t.id: _test_state(t, states, state_at) or 0 for t in readable},
        read_at={t.id: _place(zone_at, t.zone, f"test {t.id!r}", "zone") for t in readable},
    )


def _sorted(records: Iterable[N]) -> tuple[N, ...]:
    return tuple(sorted(records, key=lambda record: record.id))


def _places(records: Sequence[_Named]) -> dict[str, int]:
    return {record.id: i for i, record in enumerate(records)}


def _kept(records: Iterable[C], configuration: Configuration) -> tuple[C, ...]:
    first: dict[str, C] = {}
    for record in records:
        if _may_hold(record.when, configuration):
            first.setdefault(record.id, record)
    return _sorted(first.values())


def _may_hold(when: When, configuration: Configuration) -> bool:
    if configuration is None:
        return True
    known = {option: value for option, value in configuration.items() if value is not None}
    asked = {option: allowed for option, allowed in when.items() if configuration.get(option, "") is not None}
    return holds(asked, known)


def _place(places: Mapping[str, int], name: str, record: str, kind: str) -> int:
    if name not in places:
        raise PackModelError(f"{record} names {kind} {name!r}, which the family does not have")
    return places[name]


def _check_references(
    repairs: Sequence[Repair], parts: Mapping[str, ReplaceablePart], closings: Mapping[str, Closing]
) -> None:
    for repair in repairs:
        if repair.part is not None and repair.part not in parts:
            raise PackModelError(f"repair {repair.id!r} names part {repair.part!r}, which the family does not have")
        for check in repair.closing_checks:
            if check not in closings:
                raise PackModelError(f"repair {repair.id!r} names closing check {check!r}, which the family lacks")


def _test_state(test: Test, states: Sequence[State], state_at: Mapping[str, int]) -> int | None:
    places = [_place(state_at, name, f"test {test.id!r}", "state") for name in test.states]
    if test.kind in DEAD_ONLY:
        places = [place for place in places if not states[place].powered]
    return places[0] if places else None


def _safe(states: Sequence[State]) -> int:
    """Where covers come off: no power, then no gas, then the lowest risk."""
    return min(range(len(states)), key=lambda i: (states[i].powered, states[i].gas_on, states[i].risk, states[i].id))


def _running(states: Sequence[State]) -> int:
    """Where the function is verified: powered, then with gas, then the lowest risk."""
    return min(
        range(len(states)), key=lambda i: (not states[i].powered, not states[i].gas_on, states[i].risk, states[i].id)
    )


def _trip(states: Sequence[State], safe: int, present: int, state: int, opening: bool) -> tuple[int, ...]:
    wanted = [safe, state] if opening and (states[state].powered or states[state].gas_on) else [state]
    return tuple(wanted[1:] if wanted[0] == present else wanted)


def _minutes(states: Sequence[State], trip: Iterable[int]) -> float:
    return sum(float(states[i].minutes) for i in trip)


def _ways(states: Sequence[State], safe: int, wanted: Sequence[int], opening: Sequence[bool]) -> Array:
    """Minutes from each present state (rows; the last is unknown) to each wanted state."""
    works = list(zip(wanted, opening, strict=True))
    ways = [
        [_minutes(states, _trip(states, safe, present, state, covers)) for state, covers in works]
        for present in [*range(len(states)), -1]
    ]
    return np.array(ways, dtype=np.float64).reshape(len(states) + 1, len(wanted))


def _incidence(repairs: Sequence[Repair], zone_at: Mapping[str, int]) -> Array:
    needs = np.zeros((len(repairs), len(zone_at)))
    for row, repair in zip(needs, repairs, strict=True):
        for zone in repair.zones:
            row[_place(zone_at, zone, f"repair {repair.id!r}", "zone")] = 1.0
    return needs


def _cures(repairs: Sequence[Repair], faults: tuple[str, ...]) -> Array:
    cures = np.zeros((len(repairs), len(faults) + 2))
    for row, repair in zip(cures, repairs, strict=True):
        row[1:-1] = [float(repair.cures.get(fault, 0.0)) for fault in faults]
    return cures


def _hypotheses(family: Family, faults: Sequence[str]) -> tuple[str, ...]:
    titles = {fault.id: in_sentence(fault.title) for fault in family.faults}
    return (NOTHING_WRONG, *(titles.get(fault, fault) for fault in faults), UNKNOWN)


def in_sentence(title: str) -> str:
    """A title as it stands inside a sentence: its capital goes, unless the word is an abbreviation."""
    return title[0].lower() + title[1:] if title[:1].isupper() and not title[1:2].isupper() else title
