"""Which parts to carry: those that leave the least to be expected of the whole job.

A part that is not carried costs another trip when it is wanted, and what is advised before that changes with it; so
every set of parts is priced by planning anew with it.  To the job's expected cost comes :data:`CARRYING`, a share of
the price of each part that is carried, for stock that drives about: without a budget, too, a part has to be worth that.

Sets are tried one and all as long as there are at most :data:`MOST_PLANS` of them.  Beyond that the set is sought which
would be best if parts did not depend on each other (each saves the return visits that its use would cost), and is then
changed by the one part added, left out or exchanged that helps most, until none does.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

from probewright.decision.policy import Search
from probewright.figures import common_practice
from probewright.planning.choosing import Action, Chooser
from probewright.planning.next_step import Job

Array = NDArray[np.float64]
Parts = frozenset[str]

#: What it costs to carry a part to a job that does not use it, as a share of its price: a working day's part of what it
#: costs to hold stock, about a quarter of its price a year.
CARRYING: Final = common_practice(0.001)
#: Sets of parts that are planned with, at most.
MOST_PLANS: Final = 64
#: Parts among which is chosen, at most: the most useful ones.
MOST_PARTS: Final = 14
#: Parts are changed as long as that saves this much of the whole.
_LEAST_GAIN: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Bounds:
    """What may be carried: the money that the parts cost, and their number; None where nothing is set."""

    budget: float | None = None
    most: int | None = None

    def allow(self, parts: Parts, price: Mapping[str, float]) -> bool:
        """Whether some parts may be carried together."""
        dear = self.budget is not None and sum(price[part] for part in sorted(parts)) > self.budget * (1 + 1e-12)
        return not dear and (self.most is None or len(parts) <= self.most)


class Carrier:
    """Plans a job with any parts carried.

    Parameters
    ----------
    job : Job
    stock : sequence of str
        Parts that can be carried; others are fetched whatever is carried.
    van : collection of str
        Parts that go along whatever is chosen, and cost nothing to carry that is not paid already.
    """

    def __init__(self, job: Job, stock: Sequence[str], van: Collection[str] = ()) -> None:
        self.job, self.stock = job, tuple(sorted(stock))
        work = job.problem.model.repairs
        listed = zip(work.records, job.prices.part.tolist(), strict=True)
        self.price = {record.part: price for record, price in listed if record.part is not None}
        self.van: Parts = frozenset(part for part in van if part in self.price)
        self._plans: dict[Parts, Action] = {}

    @property
    def plans(self) -> int:
        """How many sets have been planned with."""
        return len(self._plans)

    def with_parts(self, parts: Parts) -> Job:
        """The job with some parts, and no others, carried."""
        job, repairs = self.job, self.job.frame.repairs.tolist()
        records = [job.problem.model.repairs.records[r] for r in repairs]
        away = np.array([r.part is not None and r.part not in parts for r in records], dtype=np.bool_)
        extra = job.prices.part[job.frame.repairs] + job.prices.return_visit * away
        search = Search(replace(job.frame.search.decision, away=away, repair_extra=extra))
        framed = replace(job.frame, search=search)
        visit = replace(job.problem.case.visit, parts_on_hand=tuple(sorted(parts)))
        problem = replace(job.problem, case=replace(job.problem.case, visit=visit))
        chooser = Chooser(job.problem.model, job.problem.belief, framed, job.here)
        return replace(job, problem=problem, prices=replace(job.prices, on_hand=parts), frame=framed, chooser=chooser)

    def plan(self, parts: Parts) -> Action:
        """What is advised first with some parts, and no others, carried, and what comes of it."""
        if parts not in self._plans:
            job = self.with_parts(parts)
            self._plans[parts] = job.chooser.best("quick", job.frame.search.root)
        return self._plans[parts]

    def cost(self, parts: Parts) -> float:
        """What is to be expected in all with some parts beside the van, carrying included."""
        return self.plan(parts | self.van).cost + float(CARRYING) * sum(self.price[part] for part in sorted(parts))

    def choose(self, used: Mapping[str, float], bounds: Bounds) -> Parts:
        """The parts to carry, with what is on the van.

        Parameters
        ----------
        used : mapping of part to float
            How likely the job uses each part when all are at hand.
        bounds : Bounds
        """
        choice = [part for part in used if part in self.stock and part not in self.van]
        wanted = sorted(choice, key=lambda p: (-self._saves(p, used), p))[:MOST_PARTS]
        wanted = [part for part in wanted if bounds.allow(frozenset([part]), self.price)]
        sets = list(_within(_sets(wanted, bounds, self.price), MOST_PLANS + 1))
        if len(sets) <= MOST_PLANS:
            best: Parts = min(sets, key=lambda parts: (self.cost(parts), len(parts), sorted(parts)))
            return self.van | best
        return self.van | self._improved(self._apart(wanted, used, bounds), wanted, bounds)

    def _saves(self, part: str, used: Mapping[str, float]) -> float:
        """What a part saves by itself, less what it costs to carry it."""
        return used[part] * self.job.prices.return_visit - float(CARRYING) * self.price[part]

    def _apart(self, wanted: Sequence[str], used: Mapping[str, float], bounds: Bounds) -> Parts:
        """The best set if parts did not depend on each other, of all sets there are."""
        saves = np.array([self._saves(part, used) for part in wanted])
        price = np.array([self.price[part] for part in wanted])
        taken = (np.arange(1 << len(wanted))[:, None] >> np.arange(len(wanted))) & 1
        allowed = np.ones(len(taken), dtype=np.bool_)
        if bounds.budget is not None:
            allowed &= taken @ price <= bounds.budget * (1 + 1e-12)
        if bounds.most is not None:
            allowed &= taken.sum(axis=1) <= bounds.most
        best = int(np.argmax(np.where(allowed, taken @ saves, -np.inf)))
        return frozenset(part for part, here in zip(wanted, taken[best].tolist(), strict=True) if here)

    def _improved(self, parts: Parts, wanted: Sequence[str], bounds: Bounds) -> Parts:
        """A set changed by one part at a time, as long as that helps and plans may be made."""
        while True:
            tried = []
            for changed in _changed(parts, wanted):
                if self.plans >= MOST_PLANS and changed | self.van not in self._plans:
                    break
                if bounds.allow(changed, self.price):
                    tried.append(changed)
                    self.plan(changed | self.van)
            best = min(tried, key=lambda s: (self.cost(s), len(s), sorted(s)), default=parts)
            if self.cost(best) >= self.cost(parts) * (1 - _LEAST_GAIN):
                return parts
            parts = best


def _sets(wanted: Sequence[str], bounds: Bounds, price: Mapping[str, float]) -> Iterator[Parts]:
    """All sets that may be carried, small ones first; none follows where no set of a size is allowed."""
    for size in range(len(wanted) + 1):
        allowed = False
        for some in combinations(wanted, size):
            if bounds.allow(frozenset(some), price):
                allowed = True
                yield frozenset(some)
        if not allowed:
            return


def _within(sets: Iterator[Parts], most: int) -> Iterator[Parts]:
    for _, parts in zip(range(most), sets, strict=False):
        yield parts


def _changed(parts: Parts, wanted: Sequence[str]) -> Iterator[Parts]:
    """Sets that differ by one part: added, left out, or exchanged for another."""
    outside = [part for part in wanted if part not in parts]
    yield from (parts | {part} for part in outside)
    yield from (parts - {part} for part in sorted(parts))
    yield from ((parts - {one}) | {other} for one in sorted(parts) for other in outside)
