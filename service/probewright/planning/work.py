"""Tests and repairs as work: where each is done, what it takes, and what it achieves, as arrays side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np
from numpy.typing import NDArray

from probewright.packs.model import DEAD_KINDS, Repair, ReplaceablePart, Test
from probewright.planning.ground import Ground, Told

Array = NDArray[np.float64]
Index = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class TestWork:
    """Tests, each in the state where it may be done.

    Attributes
    ----------
    state, zone : ndarray of int, shape (n_tests,)
    anywhere : ndarray of bool, shape (n_tests,)
        Whether it is done in whatever state the appliance is.
    minutes : ndarray of shape (n_tests,)
        Of the test itself.
    told : tuple of (Told, Told)
        Each test with the way to it, when its zone is open and when it is closed.
    reach : ndarray of shape (2, n_present_states, n_tests)
        Minutes to reach a test's state when its zone is open (0) or still closed (1), without opening it.
    """

    __test__ = False  # not a pytest class

    records: tuple[Test, ...]
    state: Index
    zone: Index
    anywhere: NDArray[np.bool_]
    minutes: Array
    told: tuple[tuple[Told, Told], ...]
    reach: Array

    @classmethod
    def of(cls, tests: tuple[Test, ...], ground: Ground) -> Self:
        """Place tests; those that no state allows are left out.

        Raises
        ------
        PackModelError
            When a test names a state or zone that the family lacks.
        """
        states = [state_of(test, ground) for test in tests]
        placed = [(test, state) for test, state in zip(tests, states, strict=True) if state is not None]
        state, zone = [state for _, state in placed], [zone_of(test, ground) for test, _ in placed]
        return cls(
            records=tuple(test for test, _ in placed),
            state=np.array(state, dtype=np.intp),
            zone=np.array(zone, dtype=np.intp),
            anywhere=np.array([anywhere(test, ground) for test, _ in placed], dtype=np.bool_),
            minutes=np.array([float(test.minutes) for test, _ in placed], dtype=np.float64),
            told=tuple(_told(test, ground, s, z) for (test, s), z in zip(placed, zone, strict=True)),
            reach=np.stack([ground.reach(state, [closed] * len(placed)) for closed in (False, True)])
            * [float(not anywhere(test, ground)) for test, _ in placed],
        )


def state_of(test: Test, ground: Ground) -> int | None:
    """The first listed state that allows the kind of test; None when none does."""
    places = [ground.state(name, f"test {test.id!r}") for name in test.states]
    if test.kind in DEAD_KINDS:
        places = [place for place in places if not ground.states[place].powered]
    return places[0] if places else None


def anywhere(test: Test, ground: Ground) -> bool:
    """Whether a test may be done in every state: it is done in whatever state the appliance is."""
    return set(test.states) == {state.id for state in ground.states}


def minutes_of_all(tests: Sequence[Test], ground: Ground) -> float:
    """Minutes of several tests from the running state: each state is come to once, by risk, and covers are off."""
    places = [ground.running if anywhere(test, ground) else state_of(test, ground) for test in tests]
    minutes, at = sum(float(test.minutes) for test in tests), ground.running
    for place in sorted({p for p in places if p is not None}, key=lambda i: ground.states[i].risk):
        minutes, at = minutes + float(ground.move[at, place]), place
    return minutes


def zone_of(test: Test, ground: Ground) -> int:
    """The zone of a test."""
    return ground.zone(test.zone, f"test {test.id!r}")


def _told(test: Test, ground: Ground, state: int, zone: int) -> tuple[Told, Told]:
    if anywhere(test, ground):
        told = Told(test.steps, tuple(dict.fromkeys((*test.cautions, *ground.zones[zone].cautions))))
        return told, told
    return (
        ground.tell(state, [zone], [], test.steps, test.cautions),
        ground.tell(state, [zone], [zone], test.steps, test.cautions),
    )


@dataclass(frozen=True, slots=True, eq=False)
class RepairWork:
    """Repairs.

    Attributes
    ----------
    cures, inverse : ndarray of shape (n_repairs, n_hypotheses)
        Chance to cure, and one over it (infinite for 0).
    state : ndarray of int, shape (n_repairs,)
    needs : ndarray of shape (n_repairs, n_zones), 0 or 1
    minutes : ndarray of shape (n_repairs,)
        Of the repair itself.
    reach : ndarray of shape (n_present_states, n_repairs)
        Minutes to reach a repair's state, without opening.
    back : ndarray of shape (n_repairs,)
        Minutes from there to the running state, where the function is verified.
    price : ndarray of shape (n_repairs,)
        Of its part, from the pack.
    """

    records: tuple[Repair, ...]
    cures: Array
    inverse: Array
    state: Index
    needs: Array
    minutes: Array
    reach: Array
    back: Array
    price: Array

    @classmethod
    def of(
        cls, repairs: tuple[Repair, ...], ground: Ground, faults: Sequence[str], parts: Mapping[str, ReplaceablePart]
    ) -> Self:
        """Lay out repairs whose parts are known.

        Raises
        ------
        PackModelError
            When a repair names a state or zone that the family lacks.
        """
        needs, cures = _incidence(repairs, ground), _cures(repairs, faults)
        states = [ground.state(repair.state, f"repair {repair.id!r}") for repair in repairs]
        back = [ground.minutes(ground.trip(state, ground.running, opening=False)) for state in states]
        return cls(
            records=repairs,
            cures=cures,
            inverse=np.divide(1.0, cures, out=np.full_like(cures, np.inf), where=cures > 0),
            state=np.array(states, dtype=np.intp),
            needs=needs,
            minutes=np.array([float(repair.minutes) for repair in repairs], dtype=np.float64),
            reach=ground.reach(states, (needs @ ground.opens > 0).tolist()),
            back=np.array(back, dtype=np.float64),
            price=np.array([float(parts[r.part].price) if r.part else 0.0 for r in repairs], dtype=np.float64),
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
