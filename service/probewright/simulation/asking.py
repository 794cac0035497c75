"""Which tests are made on a call: mostly those that bear on what was complained of, the telling ones more often."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from probewright.packs.model import Repair, Test
from probewright.simulation.bearing import BEARS, told, verdicts
from probewright.simulation.ledger import remedy
from probewright.simulation.luck import Luck
from probewright.simulation.world import Options, World

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Called:
    """What a complaint of a build calls for.

    Attributes
    ----------
    tests : tuple of Test
        All that a technician makes before a repair.
    weights : ndarray of shape (n_tests,)
        Nats that each tells of what is wrong, nothing where that is too little to bear on it.
    likely : mapping of str to float
        How likely each fault is, given the complaint alone.
    """

    tests: tuple[Test, ...]
    weights: Array
    likely: dict[str, float]


class Asking:
    """A family's complaints, and what they call for."""

    def __init__(self, world: World) -> None:
        self.world = world
        self._tables = lru_cache(maxsize=128)(self._verdicts)
        self.called = lru_cache(maxsize=4096)(self._called)
        self.remedy = lru_cache(maxsize=4096)(self._remedy)

    def _verdicts(self, options: Options) -> tuple[tuple[Test, ...], list[Array]]:
        compiled = self.world.compiled(options).singly()
        tests = tuple(test for test in compiled.tests.values() if not (test.closing or test.reported))
        return tests, [verdicts(compiled, test) for test in tests]

    def _called(self, options: Options, complaint: str) -> Called:
        compiled = self.world.compiled(options).singly()
        weights = np.exp(compiled.hypotheses.log_prior) * compiled.complained(complaint, None)
        weights /= weights.sum()
        tests, tables = self._tables(options)
        tells = np.array([told(weights, table) for table in tables])
        likely = dict(zip(compiled.hypotheses.faults, weights[1:-1].tolist(), strict=True))
        return Called(tests, np.where(tells > BEARS, tells, 0.0), likely)

    def _remedy(self, options: Options, fault: str) -> Repair | None:
        repairs = self.world.compiled(options).repairs
        return remedy(self.world.family, [repairs[name] for name in sorted(repairs)], fault)

    def tempting(self, options: Options, complaint: str, faults: Collection[str], luck: Luck) -> Repair | None:
        """A part that is replaced for nothing: none of these faults is its, and the complaint makes it look likely."""
        likely, repairs = self.called(options, complaint).likely, self.world.compiled(options).repairs
        wrong = [
            repair for _, repair in sorted(repairs.items())
            if repair.part is not None and not any(fault in faults and cure > 0 for fault, cure in repair.cures.items())
        ]  # fmt: skip
        chances = [sum(float(cure) * likely.get(fault, 0.0) for fault, cure in r.cures.items()) for r in wrong]
        return wrong[luck.pick(chances, "swapped")] if sum(chances) > 0 else None


def chosen(called: Called, count: int, others: float, luck: Luck) -> list[Test]:
    """Tests in the order in which they are made.

    Each is the likelier the more it tells; a share of ``others``, and what is left when no telling one is, is any.
    Only where a build has fewer tests than are wanted, there are fewer.
    """
    left = np.ones(len(called.tests))
    found: list[Test] = []
    for place in range(min(count, len(called.tests))):
        weights = left * called.weights
        if luck.uniform("another", place) < others or not weights.any():
            weights = left
        summed = np.cumsum(weights)
        pick = int(np.searchsorted(summed, luck.uniform("makes", place) * summed[-1], side="right"))
        left[pick] = 0.0
        found.append(called.tests[pick])
    return found
