"""What planning needs of a family in one configuration, compiled to arrays once and kept by the caller.

Everything is sorted by id, so that no advice depends on the order in which a pack declares things.

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
from probewright.packs.model import Closing, Family, Repair, ReplaceablePart, Test
from probewright.planning.ground import Ground, Told
from probewright.planning.repair_order import Blocks

Array = NDArray[np.float64]
Index = NDArray[np.intp]
Configuration = Mapping[str, str | None] | None

#: Kinds of test that are done without power only.
DEAD_ONLY: Final = frozenset({"resistance", "continuity", "capacitance"})

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
    test_state, test_zone : ndarray of int, shape (n_tests,)
    test_minutes : ndarray of shape (n_tests,)
        Of the test itself.
    test_told : tuple of (Told, Told)
        Each test with the way to it, when its zone is open and when it is closed.
    reach : ndarray of shape (2, n_present_states, n_tests)
        Minutes to reach a test's state when its zone is open (0) or still closed (1), without opening it.
    cures, inverse : ndarray of shape (n_repairs, n_hypotheses)
        Chance to cure, and one over it (infinite for 0).
    needs : ndarray of shape (n_repairs, n_zones), 0 or 1
    blocks : Blocks
        The repairs grouped by zones.
    repair_minutes : ndarray of shape (n_repairs,)
        Of the repair itself.
    repair_reach : ndarray of shape (n_present_states, n_repairs)
        Minutes to reach a repair's state, without opening.
    repair_back : ndarray of shape (n_repairs,)
        Minutes from there to the running state, where the function is verified.
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
    ground: Ground
    parts: Mapping[str, ReplaceablePart]
    closings: Mapping[str, Closing]
    tests: tuple[Test, ...]
    test_state: Index
    test_zone: Index
    test_minutes: Array
    test_told: tuple[tuple[Told, Told], ...]
    reach: Array
    repairs: tuple[Repair, ...]
    cures: Array
    inverse: Array
    needs: Array
    blocks: Blocks
    repair_minutes: Array
    repair_reach: Array
    repair_back: Array
    price: Array
    read_in: Mapping[str, int]
    read_at: Mapping[str, int]


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
    tests = tuple(t for t in _kept(family.tests, configuration) if _state_of(t, ground) is not None)
    repairs = _kept(family.repairs, configuration)
    _check_references(repairs, parts, closings)
    places = [(_state_of(t, ground) or 0, _zone_of(t, ground)) for t in tests]
    states, zones = [state for state, _ in places], [zone for _, zone in places]
    needs, cures = _incidence(repairs, ground), _cures(repairs, faults)
    there, back = _repair_ways(repairs, ground, needs)
    rates = {fault.id: float(fault.rate) for fault in family.faults}
    return PlanningModel(
        family=family,
        configuration=configuration,
        faults=tuple(faults),
        rates=np.array([rates.get(fault, 0.0) for fault in faults], dtype=np.float64),
        hypotheses=_hypotheses(family, faults),
        ground=ground,
        parts=parts,
        closings=closings,
        tests=tests,
        test_state=np.array(states, dtype=np.intp),
        test_zone=np.array(zones, dtype=np.intp),
        test_minutes=np.array([float(t.minutes) for t in tests], dtype=np.float64),
        test_told=tuple(_told(t, ground, *place) for t, place in zip(tests, places, strict=True)),
        reach=np.stack([ground.reach(states, [closed] * len(tests)) for closed in (False, True)]),
        repairs=repairs,
        cures=cures,
        inverse=np.divide(1.0, cures, out=np.full_like(cures, np.inf), where=cures > 0),
        needs=needs,
        blocks=Blocks.by_zones(needs),
        repair_minutes=np.array([float(r.minutes) for r in repairs], dtype=np.float64),
        repair_reach=there,
        repair_back=back,
        price=np.array([float(parts[r.part].price) if r.part else 0.0 for r in repairs], dtype=np.float64),
        read_in={t.id: _state_of(t, ground) or 0 for t in reversed(family.tests)},
        read_at={t.id: _zone_of(t, ground) for t in reversed(family.tests)},
    )


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


def _state_of(test: Test, ground: Ground) -> int | None:
    places = [ground.state(name, f"test {test.id!r}") for name in test.states]
    if test.kind in DEAD_ONLY:
        places = [place for place in places if not ground.states[place].powered]
    return places[0] if places else None


def _zone_of(test: Test, ground: Ground) -> int:
    return ground.zone(test.zone, f"test {test.id!r}")


def _told(test: Test, ground: Ground, state: int, zone: int) -> tuple[Told, Told]:
    return (
        ground.tell(state, [zone], [], test.steps, test.cautions),
        ground.tell(state, [zone], [zone], test.steps, test.cautions),
    )


def _incidence(repairs: Sequence[Repair], ground: Ground) -> Array:
    needs = np.zeros((len(repairs), len(ground.zones)))
    for row, repair in zip(needs, repairs, strict=True):
        for zone in repair.zones:
            row[ground.zone(zone, f"repair {repair.id!r}")] = 1.0
    return needs


def _cures(repairs: Sequence[Repair], faults: Sequence[str]) -> Array:
    cures = np.zeros((len(repairs), len(faults) + 2))
    for row, repair in zip(cures, repairs, strict=True):
        row[1:-1] = [float(repair.cures.get(fault, 0.0)) for fault in faults]
    return cures


def _repair_ways(repairs: Sequence[Repair], ground: Ground, needs: Array) -> tuple[Array, Array]:
    """Minutes to each repair's state from each present state, and from there to the running state."""
    states = [ground.state(r.state, f"repair {r.id!r}") for r in repairs]
    there = ground.reach(states, (needs @ ground.opens > 0).tolist())
    back = [ground.minutes(ground.trip(state, ground.running, opening=False)) for state in states]
    return there, np.array(back, dtype=np.float64)


def _hypotheses(family: Family, faults: Sequence[str]) -> tuple[str, ...]:
    titles = {fault.id: in_sentence(fault.title) for fault in family.faults}
    return (NOTHING_WRONG, *(titles.get(fault, fault) for fault in faults), UNKNOWN)


def in_sentence(title: str) -> str:
    """A title as it stands inside a sentence: its capital goes, unless the word is an abbreviation."""
    return title[0].lower() + title[1:] if title[:1].isupper() and not title[1:2].isupper() else title
