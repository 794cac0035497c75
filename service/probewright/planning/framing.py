"""From a job to a decision: the hypotheses, tests and repairs that matter, laid out for the search.

What a visit lacks is left out: a test without its instrument or skill, and a repair without its skill.  A repair whose
part is not at hand is there, but takes another visit.

Nobody can say what something unknown would show.  It is taken to leave what the pack knows as it is, so that tests show
what a sound appliance shows: a suspect is worth confirming, but no test is done in search of the unknown.

To bound the time, hypotheses below :data:`NEGLIGIBLE` are left out, as are tests that tell nothing
(:data:`TELLS_NOTHING`), and of the rest all but the :data:`MOST_TESTS` that tell most for their cost and the
:data:`MOST_REPAIRS` with the greatest chance for theirs.  Outcomes that call for nearly the same are taken together
(:mod:`probewright.planning.merging`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from probewright.decision.policy import Node, Search
from probewright.decision.problem import ANY, Decision
from probewright.planning.belief import Belief, OutcomeTable
from probewright.planning.costs import Prices
from probewright.planning.hypotheses import Explanation
from probewright.planning.information import information_gain
from probewright.planning.kit import equipped, skilled
from probewright.planning.merging import merged_outcomes
from probewright.planning.model import PlanningModel
from probewright.planning.pairs import pair_rows
from probewright.planning.standing import Standing
from probewright_schemas.records import Visit

Array = NDArray[np.float64]
Index = NDArray[np.int64]

NEGLIGIBLE: Final = 1e-4
#: Nats under which a test tells nothing.
TELLS_NOTHING: Final = 1e-4
MOST_TESTS: Final = 30
MOST_REPAIRS: Final = 30
#: Outcomes of a test that are told apart at most, and nats that may be lost by telling fewer.
MOST_OUTCOMES: Final = 4
SLACK: Final = 0.002


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """A decision, and what its axes mean.

    Attributes
    ----------
    search : Search
    live : ndarray of int
        For each hypothesis of the decision that is not a pair, its position among those of the model.
    pairs : tuple of (int, int)
        Positions among the model's hypotheses of the two faults of each pair; the pairs come last.
    tests, repairs : ndarray of int
        Positions among the tests and repairs of the model.
    groups : tuple of tuple of int
        For each test, the group that each of its outcomes belongs to.
    """

    search: Search
    live: Index
    pairs: tuple[tuple[int, int], ...]
    tests: Index
    repairs: Index
    groups: tuple[tuple[int, ...], ...]

    def present(self, node: Node, count: int) -> Array:
        """Probability at a node of each of the model's ``count`` hypotheses, alone or in a pair."""
        share = node.weights / node.weights.sum()
        present = np.zeros(count)
        present[self.live] = share[: len(self.live)]
        for (one, other), both in zip(self.pairs, share[len(self.live) :].tolist(), strict=True):
            present[one] += both
            present[other] += both
        return present

    def alone(self, node: Node, count: int) -> Array:
        """As :meth:`present`, leaving pairs out."""
        share = node.weights / node.weights.sum()
        alone = np.zeros(count)
        alone[self.live] = share[: len(self.live)]
        return alone


@dataclass(frozen=True, slots=True, eq=False)
class _Live:
    """The hypotheses that matter: positions in the model, pairs, and all weights (pairs last)."""

    single: Index
    pairs: tuple[tuple[int, int], ...]
    weights: Array

    def rows(self, table: OutcomeTable) -> Array:
        """What a test shows under each: shape (n_live, n_outcomes)."""
        last = len(table.given) - 1
        rows = table.given[np.where(self.single < last, self.single, 0)]
        if not self.pairs:
            return rows
        one, other = np.array(self.pairs).T
        return np.concatenate([rows, pair_rows(table, table.given[one], table.given[other])])


def frame(
    model: PlanningModel, belief: Belief, explained: Explanation, here: Standing, prices: Prices, visit: Visit,
) -> Frame:  # fmt: skip
    """Lay out the decision of a job.

    Parameters
    ----------
    model : PlanningModel
    belief : Belief
        For what each test would show.
    explained : Explanation
        For what is likely.
    here : Standing
    prices : Prices
    visit : Visit
        What it brings along.
    """
    live = _live(explained)
    course = _courses(live, prices)
    tests = _tests(model, belief, live, course, here, prices, visit)
    repairs = _repairs(model, live, here, prices, visit)
    ground, zones = model.ground, _bits(model.ground.opens)
    away = np.array([prices.away(model.repairs.records[r].part) for r in repairs.tolist()], dtype=np.bool_)
    decision = Decision(
        weights=live.weights,
        pair=_pair_positions(live),
        course=course,
        way_out=_way_out(live, prices),
        outcome=tests.rows,
        starts=tests.starts,
        stops=tests.stops,
        test_minutes=model.tests.minutes[tests.index],
        test_extra=np.zeros(len(tests.index)),
        test_state=np.where(model.tests.anywhere[tests.index], ANY, model.tests.state[tests.index]),
        test_zones=zones[model.tests.zone[tests.index]],
        cures=_cures(model, repairs, live),
        repair_minutes=model.repairs.minutes[repairs],
        finish=model.proof[repairs],
        repair_extra=prices.part[repairs] + prices.return_visit * away,
        repair_state=model.repairs.state[repairs],
        repair_zones=(model.repairs.needs[repairs] @ zones.astype(np.float64)).astype(np.int64),
        away=away,
        zone_minutes=ground.zone_minutes,
        move=ground.move,
        can_open=ground.can_open,
        safe=ground.safe,
        running=ground.running,
        check_minutes=float(model.family.costs.verification_minutes),
        rate=prices.per_minute,
        state=here.state,
        opened=int(zones[(ground.opens - here.closed) > 0].sum()),
    )
    return Frame(Search(decision), live.single, live.pairs, tests.index, repairs, tests.groups)


def _bits(opens: Array) -> Index:
    """The bit of each zone; 0 for zones that are never closed."""
    return np.where(opens > 0, 1 << np.arange(len(opens), dtype=np.int64), 0)


def _live(explained: Explanation) -> _Live:
    single = np.flatnonzero(explained.weights > NEGLIGIBLE)
    pairs = tuple((a + 1, b + 1) for a, b, _ in explained.pairs)
    # Curing one of a pair leaves the other, so both stand among the hypotheses.
    single = np.union1d(single, np.array([i for pair in pairs for i in pair], dtype=np.int64)).astype(np.int64)
    weights = np.concatenate([explained.weights[single], [weight for _, _, weight in explained.pairs]])
    return _Live(single, pairs, weights / weights.sum())


def _cures(model: PlanningModel, repairs: Index, live: _Live) -> Array:
    """What each repair cures of single faults; nothing of pairs, for what becomes of those follows from it."""
    return np.pad(model.repairs.cures[repairs][:, live.single], ((0, 0), (0, len(live.pairs))))


def _pair_positions(live: _Live) -> Index:
    place = {hypothesis: i for i, hypothesis in enumerate(live.single.tolist())}
    none = [(-1, -1)] * len(live.single)
    return np.array([*none, *((place[a], place[b]) for a, b in live.pairs)], dtype=np.int64).reshape(-1, 2)


def _courses(live: _Live, prices: Prices) -> Index:
    """Hypotheses numbered by what they call for: a repair, two, or none."""
    remedy = prices.remedy
    wanted: list[tuple[int, ...]] = [(int(remedy[i]),) for i in live.single.tolist()]
    wanted += [tuple(sorted({int(remedy[a]), int(remedy[b])})) for a, b in live.pairs]
    number = {course: i for i, course in enumerate(sorted(set(wanted)))}
    return np.array([number[course] for course in wanted], dtype=np.int64)


def _way_out(live: _Live, prices: Prices) -> Array:
    """A callback, and then every remedy in full: whoever comes next must do that too."""
    follow = prices.follow_up
    singles = follow[live.single]
    pairs = [follow[a] + follow[b] for a, b in live.pairs]
    return np.asarray(prices.callback + np.concatenate([singles, pairs]))


@dataclass(frozen=True, slots=True, eq=False)
class _Tests:
    """Tests: positions in the model, rows of outcomes, where each test's begin, which stop the job, and the groups."""

    index: Index
    rows: Array
    starts: Index
    stops: NDArray[np.bool_]
    groups: tuple[tuple[int, ...], ...]


def _tests(
    model: PlanningModel, belief: Belief, live: _Live, course: Index, here: Standing, prices: Prices, visit: Visit,
) -> _Tests:  # fmt: skip
    """The tests worth a thought, their outcomes merged."""
    index = [i for i, test in enumerate(model.tests.records) if _can_test(test.id, model, i, belief, here, visit)]
    names = [model.tests.records[i].id for i in index]
    tables = [belief.outcomes[name] for name in names]
    if not index:
        none = np.zeros(0, dtype=np.int64)
        return _Tests(none, np.zeros((0, len(live.weights))), _ends(none), none.astype(np.bool_), ())
    rows = np.concatenate([live.rows(table) for table in tables], axis=1).T
    joint, counts = rows * live.weights, np.array([len(table.labels) for table in tables])
    which = (course[:, None] == np.arange(course.max() + 1)).astype(np.float64)
    gain = information_gain(joint @ which, _ends(counts)[:-1], live.weights @ which)
    kept = _telling(model, np.array(index), gain, here, prices)
    wanted = np.repeat(np.isin(np.arange(len(index)), kept), counts)
    hazards = [model.hazards(names[k], tables[k]) for k in kept.tolist()]
    groups = _groups(joint[wanted], _ends(counts[kept]), course, [tables[k] for k in kept.tolist()], hazards)
    starts = _ends([max(of, default=-1) + 1 for of in groups])
    place = np.concatenate([*(np.array(of) + at for of, at in zip(groups, starts.tolist(), strict=False)), []])
    merged, stops = np.zeros((int(starts[-1]), rows.shape[1])), np.zeros(int(starts[-1]), dtype=np.bool_)
    np.add.at(merged, place.astype(np.int64), rows[wanted])
    stops[place.astype(np.int64)[np.concatenate([*hazards, []]).astype(np.bool_)]] = True
    return _Tests(np.array(index, dtype=np.int64)[kept], merged, starts, stops, groups)


def _groups(
    joint: Array, starts: Index, course: Index, tables: Sequence[OutcomeTable], hazards: Sequence[tuple[bool, ...]]
) -> tuple[tuple[int, ...], ...]:
    """The group of each outcome; what shows a hazard stands apart from what does not."""
    measured = np.array([table.unit is not None for table in tables], dtype=np.bool_)
    groups = merged_outcomes(joint, starts, course, measured, MOST_OUTCOMES, SLACK).groups
    told = [tuple(groups[a:b].tolist()) for a, b in pairwise(starts.tolist())]
    return tuple(_apart(of, hazard) if any(hazard) else of for of, hazard in zip(told, hazards, strict=True))


def _apart(groups: tuple[int, ...], hazard: tuple[bool, ...]) -> tuple[int, ...]:
    """Groups split by a flag, and numbered in the order in which they come first."""
    number: dict[tuple[int, bool], int] = {}
    return tuple(number.setdefault(key, len(number)) for key in zip(groups, hazard, strict=True))


def _ends(counts: Sequence[int] | Index) -> Index:
    """Where runs of these lengths begin, and where the last ends."""
    return np.concatenate(([0], np.cumsum(counts))).astype(np.int64)


def _can_test(name: str, model: PlanningModel, index: int, belief: Belief, here: Standing, visit: Visit) -> bool:
    """Whether a test can be predicted, has not been read (or is worth reading again), and the visit can do it."""
    record = model.tests.records[index]
    wanted = name in belief.outcomes and here.read.get(name, "") is not None
    return wanted and equipped(record, visit) and skilled(record, visit)


def _telling(model: PlanningModel, index: Index, gain: Array, here: Standing, prices: Prices) -> Index:
    """Positions in ``index`` of the tests that tell most for their cost, in the order of the model."""
    zone = model.tests.zone[index]
    closed = here.closed[zone]
    way = model.tests.reach[closed.astype(np.intp), here.state, index] + closed * model.ground.zone_minutes[zone]
    again = np.array([bool(here.read.get(model.tests.records[i].id)) for i in index.tolist()])
    cost = (way + model.tests.minutes[index]) * prices.per_minute + 1e-9
    rate = np.where(gain > TELLS_NOTHING, gain, 0.0) / cost + np.where(again & (gain > 0), 1e6, 0.0)
    order = np.argsort(-rate, kind="stable")[:MOST_TESTS]
    return np.sort(order[rate[order] > 0])


def _repairs(model: PlanningModel, live: _Live, here: Standing, prices: Prices, visit: Visit) -> Index:
    """Positions of the untried repairs that may help and that the visit has the skill for."""
    chance = model.repairs.cures[:, live.single] @ live.weights[: len(live.single)]
    for (one, other), weight in zip(live.pairs, live.weights[len(live.single) :].tolist(), strict=True):
        chance = chance + weight * np.maximum(model.repairs.cures[:, one], model.repairs.cures[:, other])
    possible = [
        chance[i] > NEGLIGIBLE and record.id not in here.tried and skilled(record, visit)
        for i, record in enumerate(model.repairs.records)
    ]
    rate = np.where(np.array(possible, dtype=bool), chance / prices.repair, 0.0)
    order = np.argsort(-rate, kind="stable")[:MOST_REPAIRS]
    return np.sort(order[rate[order] > 0]).astype(np.int64)
