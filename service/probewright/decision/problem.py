"""A decision: what may be true, what each test would show, what each repair would cure, and what all of it costs.

Axes, in a fixed order: hypotheses (F), tests (T), outcomes of all tests one after another (O), repairs (R), access
zones (Z, at most 62), states of the appliance (S).  Sets of zones are integers, one bit a zone.

Costs
    A step takes minutes, at ``rate`` a minute, and may cost money besides (``extra``).  Its minutes are the way (states
    to enter, zones to open), its own work, and for a repair the way back to the ``running`` state and the check of the
    function there.  A zone is opened once.  It is opened in a state that allows it: where neither the
    state that a step is done in nor the present one does, the way leads through ``safe``.
Pairs
    A hypothesis may be two faults at once.  A repair that cures one of them leaves the other: ``pair`` says which
    hypotheses these are.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from probewright.errors import EngineError

Array = NDArray[np.float64]
Index = NDArray[np.int64]
Flags = NDArray[np.bool_]

#: In place of a state: a test that is done in any.
ANY: Final = -1
#: The most zones, tests, and repairs: what fits the bits of an integer.
MOST: Final = 62


@dataclass(frozen=True, slots=True, eq=False)
class Decision:
    """One decision to make.

    Attributes
    ----------
    weights : ndarray of shape (F,)
        How likely each hypothesis is; not below 0, and need not add up to 1.
    pair : ndarray of int, shape (F, 2)
        For a hypothesis of two faults, the positions of each of them alone; else -1.
    course : ndarray of int, shape (F,)
        Hypotheses of the same number (from 0 up) call for the same, and need not be told apart.
    way_out : ndarray of shape (F,)
        Money that handing over costs if the hypothesis is true.
    outcome : ndarray of shape (O, F)
        Probability of each outcome under each hypothesis; the rows of one test add up to 1.
    starts : ndarray of int, shape (T + 1,)
        Row at which each test begins, and the end.
    test_minutes, test_extra : ndarray of shape (T,)
        Own work, and money besides.
    test_state, test_zones : ndarray of int, shape (T,)
        The state (or :data:`ANY`), and the zones that must be open.
    cures : ndarray of shape (R, F)
        Probability that a repair ends the job if the hypothesis, of one fault, is true; 0 for pairs.
    repair_minutes, repair_extra : ndarray of shape (R,)
    repair_state, repair_zones : ndarray of int, shape (R,)
    away : ndarray of bool, shape (R,)
        Repairs that take another visit, for their part is not at hand.
    zone_minutes : ndarray of shape (Z,)
    move : ndarray of shape (S + 1, S)
        Minutes from each state (last row: nobody knows which) to each.
    can_open : ndarray of bool, shape (S + 1,)
        States in which zones may be opened.
    safe, running : int
        The state that the way leads through to open a zone, and the one in which functions are checked.
    check_minutes : float
        Of checking the function after a repair.
    rate : float
        Money a minute.
    state : int
        The present state; S when nobody knows.
    opened : int
        The zones that are open.
    finish : ndarray of shape (R,), or None
        Minutes that it takes to prove each repair once it has ended the job; None where that takes none.
    stops : ndarray of bool, shape (O,), or None
        Outcomes after which nothing is left but the way out, for they show a hazard; None when there is none.
    """

    weights: Array
    pair: Index
    course: Index
    way_out: Array
    outcome: Array
    starts: Index
    test_minutes: Array
    test_extra: Array
    test_state: Index
    test_zones: Index
    cures: Array
    repair_minutes: Array
    repair_extra: Array
    repair_state: Index
    repair_zones: Index
    away: Flags
    zone_minutes: Array
    move: Array
    can_open: Flags
    safe: int
    running: int
    check_minutes: float
    rate: float
    state: int
    opened: int = 0
    stops: Flags | None = None
    finish: Array | None = None

    def __post_init__(self) -> None:
        count, tests, repairs = len(self.weights), len(self.test_minutes), len(self.repair_minutes)
        if max(tests, repairs, len(self.zone_minutes)) > MOST:
            raise EngineError(f"a decision takes at most {MOST} tests, repairs and zones")
        shapes = {
            "pair": (count, 2), "course": (count,), "way_out": (count,), "outcome": (int(self.starts[-1]), count),
            "starts": (tests + 1,), "cures": (repairs, count), "away": (repairs,), "repair_extra": (repairs,),
            "repair_state": (repairs,), "repair_zones": (repairs,), "test_extra": (tests,), "test_state": (tests,),
            "test_zones": (tests,), "can_open": (self.move.shape[1] + 1,),
            "move": (self.move.shape[1] + 1, self.move.shape[1]),
            **({} if self.stops is None else {"stops": (int(self.starts[-1]),)}),
            **({} if self.finish is None else {"finish": (repairs,)}),
        }  # fmt: skip
        for name, shape in shapes.items():
            if getattr(self, name).shape != shape:
                raise EngineError(f"{name} of a decision has shape {getattr(self, name).shape}, not {shape}")
        if not float(self.weights.sum()) > 0:
            raise EngineError("there is nothing to decide: no hypothesis has any probability")

    def after_outcome(self, test: int, outcome: int) -> Decision:
        """The decision once a test has shown its k-th outcome; the test is not there any more."""
        row = int(self.starts[test]) + outcome
        state, opened = self.reach(int(self.test_state[test]), int(self.test_zones[test]))
        return self.without_test(test)._with(self.weights * self.outcome[row], state, opened)

    def after_failed(self, repair: int) -> Decision:
        """The decision once a repair has been made and the complaint remains; the repair is not there any more."""
        _, opened = self.reach(int(self.repair_state[repair]), int(self.repair_zones[repair]))
        kept = np.arange(len(self.repair_minutes)) != repair
        rest = replace(
            self,
            cures=self.cures[kept],
            repair_minutes=self.repair_minutes[kept],
            repair_extra=self.repair_extra[kept],
            repair_state=self.repair_state[kept],
            repair_zones=self.repair_zones[kept],
            away=self.away[kept],
            finish=None if self.finish is None else self.finish[kept],
        )
        return rest._with(failed(self.weights, self.pair, self.cures[repair]), self.running, opened)

    def without_test(self, test: int) -> Decision:
        """The same decision without one of its tests."""
        kept = np.arange(len(self.test_minutes)) != test
        counts = np.diff(self.starts)
        return replace(
            self,
            outcome=self.outcome[np.repeat(kept, counts)],
            stops=None if self.stops is None else self.stops[np.repeat(kept, counts)],
            starts=np.concatenate(([0], np.cumsum(counts[kept]))).astype(np.int64),
            test_minutes=self.test_minutes[kept],
            test_extra=self.test_extra[kept],
            test_state=self.test_state[kept],
            test_zones=self.test_zones[kept],
        )

    def reach(self, target: int, zones: int) -> tuple[int, int]:
        """The state and the open zones once a step can be done."""
        opening = zones & ~self.opened
        state = self.state if target == ANY else target
        if opening and not self.can_open[state] and target == ANY:
            state = self.safe
        return state, self.opened | zones

    def _with(self, weights: Array, state: int, opened: int) -> Decision:
        return replace(self, weights=weights, state=state, opened=opened)


def failed(weights: Array, pair: Index, cures: Array) -> Array:
    """Weights after a repair left the complaint in place.

    Parameters
    ----------
    weights : ndarray of shape (F,)
    pair : ndarray of int, shape (F, 2)
    cures : ndarray of shape (F,)
        What the repair cures, of single faults.
    """
    left = weights * (1.0 - cures)
    for both in np.flatnonzero(pair[:, 0] >= 0):
        one, other = pair[both]
        a, b, weight = cures[one], cures[other], weights[both]
        left[both] = weight * (1 - a) * (1 - b)
        left[one] += weight * (1 - a) * b
        left[other] += weight * a * (1 - b)
    return left
