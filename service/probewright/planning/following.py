"""Following the advice to every end that a visit may come to.

The policy is followed from the root as it is advised step by step (a quick choice at each node) while a branch holds at
least :data:`ADVISED` of the probability, then by the cheap base policy with which the search prices what follows, and
below :data:`LEAST` the job is taken as handed over.  Of the branches that are advised no level holds more than
``1 / ADVISED``, and each level is one step further, which bounds the work.

A visit ends where a part has to be fetched: what is done after that is another visit's, and counts for cost alone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from probewright.decision.policy import Node
from probewright.planning.choosing import Action
from probewright.planning.next_step import Job
from probewright.planning.proofs import likely
from probewright.planning.work import minutes_of_all

Array = NDArray[np.float64]

#: Share of the probability from which a branch is advised on, and under which it is not followed.
ADVISED: Final = 0.02
LEAST: Final = 1e-3


@dataclass(frozen=True, slots=True)
class Work:
    """A test or repair of the visit.

    Attributes
    ----------
    action : Action
        As it was advised where it came first.
    probability : float
        That the visit comes to it.
    start : float
        Minutes into the visit at which it is begun, on average.
    minutes : float
        Way and work, on average.
    """

    action: Action
    probability: float
    start: float
    minutes: float


@dataclass(frozen=True, slots=True, eq=False)
class Followed:
    """What comes of following the advice.

    Attributes
    ----------
    works : tuple of Work
        In the order in which they are come to; the first is the next step (none where the job is handed over at once).
    parts, tools, skills : mapping of id to float
        Probability that the job takes a part; that the visit takes an instrument or a skill, closing checks included.
    probability, minutes, closing : ndarray of shape (n_ends,)
        Of each way in which the visit may end: how likely it is, its minutes in all, with verification, and those of
        them that closing checks take.
    cost : float
        Expected cost until the end of the job, closing checks not counted, as for a next step.
    first_visit : float
        Probability that the visit ends the job with the complaint gone.
    """

    works: tuple[Work, ...]
    parts: dict[str, float]
    tools: dict[str, float]
    skills: dict[str, float]
    probability: Array
    minutes: Array
    closing: Array
    cost: float
    first_visit: float

    @property
    def expected_minutes(self) -> float:
        """Of the visit."""
        return float(self.probability @ self.minutes)

    def quantile(self, share: float) -> float:
        """The minutes that the visit does not exceed with a probability of ``share``."""
        order = np.argsort(self.minutes, kind="stable")
        reached = np.cumsum(self.probability[order])
        place = int(np.searchsorted(reached, share * reached[-1] - 1e-12))
        return float(self.minutes[order[min(place, len(order) - 1)]])


@dataclass(frozen=True, slots=True)
class _Closing:
    """What closing checks take."""

    minutes: float
    tools: frozenset[str]
    skills: frozenset[str]


@dataclass(frozen=True, slots=True)
class _Way:
    """How a node was come to: money spent, minutes of this visit, what was taken, and the repairs made."""

    cost: float = 0.0
    minutes: float = 0.0
    later: bool = False
    parts: frozenset[str] = frozenset()
    tools: frozenset[str] = frozenset()
    skills: frozenset[str] = frozenset()
    repairs: frozenset[str] = frozenset()


@dataclass(slots=True)
class _Tally:
    """What is added up along the branches."""

    parts: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    tools: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    skills: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    works: dict[tuple[str, int], tuple[Action, Array]] = field(default_factory=dict)
    ends: list[tuple[float, float, float]] = field(default_factory=list)
    cost: float = 0.0
    first_visit: float = 0.0


def follow(job: Job, advised: float = ADVISED) -> Followed:
    """Follow the advice on a job.

    Parameters
    ----------
    job : Job
        Laid out with the parts that the visit carries.
    advised : float
        Share of the probability from which a branch is advised on; more of it is quicker and coarser.
    """
    return _Follower(job, advised).followed()


class _Follower:
    """Walks the branches of one job."""

    def __init__(self, job: Job, advised: float) -> None:
        self._job, self._model, self._search, self._advised = job, job.problem.model, job.frame.search, advised
        self._mass = float(self._search.root.weights.sum())
        self._tally = _Tally()
        self._closing: Callable[[frozenset[str]], _Closing] = cache(self._closing_of)

    def followed(self) -> Followed:
        self._walk(self._search.root, _Way())
        tally = self._tally
        probability, minutes, closing = np.array(tally.ends, dtype=np.float64).reshape(-1, 3).T
        works = [
            Work(action, share, start / share, own / share)
            for action, (share, start, own) in ((a, sums.tolist()) for a, sums in tally.works.values())
        ]
        return Followed(
            tuple(sorted(works, key=lambda work: (work.start, -work.probability, work.action.id))),
            dict(tally.parts), dict(tally.tools), dict(tally.skills), probability, minutes, closing,
            tally.cost, tally.first_visit,
        )  # fmt: skip

    def _walk(self, node: Node, way: _Way) -> None:
        share = float(node.weights.sum()) / self._mass
        if share < LEAST:
            self._end(node.weights, way)
            return
        if share >= self._advised:
            action = self._job.chooser.best("quick", node)
        else:
            action = self._job.chooser.action(self._search.lead(node), node)
        if action.kind == "refer":
            self._end(node.weights, way)
        elif action.kind == "test":
            self._test(node, way, action, share)
        else:
            self._repair(node, way, action, share)

    def _test(self, node: Node, way: _Way, action: Action, share: float) -> None:
        record = self._model.tests.records[action.index]
        self._note(action, way, share)
        way = self._spent(way, action.minutes)
        way = self._taken(way, share, tools=[record.instrument], skills=[record.skill])
        decision, place = self._search.decision, action.option.index
        first, last = int(decision.starts[place]), int(decision.starts[place + 1])
        for row in range(first, last):
            after = self._search.after_outcome(place, row - first, node)
            if not after.weights.sum() > 0:
                continue
            if decision.stops is not None and decision.stops[row]:
                self._end(after.weights, way)
            else:
                self._walk(after, way)

    def _repair(self, node: Node, way: _Way, action: Action, share: float) -> None:
        record, decision, place = self._model.repairs.records[action.index], self._search.decision, action.option.index
        self._note(action, way, share)
        if record.part is not None and record.part not in way.parts:
            self._tally.parts[record.part] += share
            way = replace(way, parts=way.parts | {record.part})
        way = replace(way, later=way.later or bool(decision.away[place]), repairs=way.repairs | {record.id})
        way = self._taken(way, share, skills=[record.skill])
        back = float(decision.move[decision.repair_state[place], decision.running]) + decision.check_minutes
        way = self._spent(way, action.minutes + back, float(decision.repair_extra[place]))
        after = self._search.after_failed(place, node)
        left = float(after.weights.sum()) / self._mass
        if share - left > 0:
            self._cured(share - left, way)
        if left > 0:
            self._walk(after, way)

    def _note(self, action: Action, way: _Way, share: float) -> None:
        """Count a piece of work of this visit."""
        if way.later:
            return
        _, sums = self._tally.works.setdefault((action.kind, action.index), (action, np.zeros(3)))
        sums += share * np.array([1.0, way.minutes, action.minutes])

    def _spent(self, way: _Way, minutes: float, extra: float = 0.0) -> _Way:
        here = 0.0 if way.later else minutes
        cost = way.cost + minutes * self._search.decision.rate + extra
        return replace(way, cost=cost, minutes=way.minutes + here)

    def _taken(
        self, way: _Way, share: float, tools: Iterable[str | None] = (), skills: Iterable[str | None] = ()
    ) -> _Way:
        """Count instruments and skills that this visit had not taken before."""
        if way.later:
            return way
        more = frozenset(tool for tool in tools if tool is not None) - way.tools
        able = frozenset(skill for skill in skills if skill is not None) - way.skills
        for tool in more:
            self._tally.tools[tool] += share
        for skill in able:
            self._tally.skills[skill] += share
        return replace(way, tools=way.tools | more, skills=way.skills | able)

    def _cured(self, share: float, way: _Way) -> None:
        closing = self._closing(way.repairs)
        self._taken(way, share, closing.tools, closing.skills)
        self._tally.cost += share * way.cost
        self._tally.first_visit += 0.0 if way.later else share
        proving = 0.0 if way.later else closing.minutes
        self._tally.ends.append((share, way.minutes + proving, proving))

    def _end(self, weights: Array, way: _Way) -> None:
        """Hand over."""
        share = float(weights.sum()) / self._mass
        out = float(weights @ self._search.decision.way_out) / self._mass
        self._tally.cost += share * way.cost + out
        self._tally.ends.append((share, way.minutes, 0.0))

    def _closing_of(self, repairs: frozenset[str]) -> _Closing:
        """The closing checks of some repairs."""
        model, case = self._model, self._job.problem.case
        asked = {check for record in model.repairs.records if record.id in repairs for check in record.closing_checks}
        named = {closing.test for closing in model.family.closings if closing.id in asked}
        tests = [test for test in model.family.tests if test.id in named and likely(model.family, case, test.when)]
        minutes = minutes_of_all(tests, model.ground)
        tools = frozenset(test.instrument for test in tests if test.instrument is not None)
        return _Closing(minutes, tools, frozenset(test.skill for test in tests if test.skill is not None))

