"""What each thing that can be done now would cost in all, by one step of expected value.

Without tests the least cost is that of the best sequence of repairs with a way out
(:mod:`probewright.planning.repair_order`).  A test costs its own way and work, plus that least cost after each of its
outcomes, weighed by their probabilities.  A repair costs itself, plus the least cost after it failed.

Nobody can say what something unknown would show.  It is taken to leave what the pack knows as it is, so that tests show
what a sound appliance shows: a suspect is worth confirming, but no test is done in search of the unknown.

To bound the time, hypotheses below :data:`NEGLIGIBLE` are left out; of the tests that tell anything at all
(:data:`TELLS_NOTHING`) the :data:`MOST_TESTS` that tell most for their cost are priced, and of the repairs the
:data:`MOST_REPAIRS` with the greatest chance for their cost, besides the one that the best sequence begins with.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from probewright.planning.belief import Belief
from probewright.planning.costs import Prices
from probewright.planning.information import entropy, information_gain
from probewright.planning.model import PlanningModel
from probewright.planning.repair_order import Costed, Repairs, least_cost
from probewright.planning.standing import Standing

Array = NDArray[np.float64]
Index = NDArray[np.intp]

NEGLIGIBLE: Final = 1e-4
MOST_TESTS: Final = 12
MOST_REPAIRS: Final = 6
#: Nats under which a test tells nothing.
TELLS_NOTHING: Final = 1e-3
#: A repair below this chance is not worth a line.
SLIGHT: Final = 0.02
#: Likeliest hypotheses among which a sentence finds the two that a test tells apart.
_NAMED: Final = 12


@dataclass(frozen=True, slots=True)
class Action:
    """Something that can be done now.

    ``index`` is its position among the model's tests or repairs, ``cost`` the expected cost of it and of all after
    it, ``risk`` that of its state, ``minutes`` its way and work.
    """

    kind: Literal["test", "repair", "refer"]
    index: int
    id: str
    cost: float
    risk: int
    minutes: float


@dataclass(frozen=True, slots=True, eq=False)
class Outlook:
    """All that can be done now.

    Attributes
    ----------
    actions : tuple of Action
        Tests and repairs in the order of the model, then the way out.
    decided : float
        Probability of the likeliest course of action: a repair, or the way out.
    most_telling : Action or None
        The test that tells most for its cost.
    at_that_rate : float
        What it would cost to learn everything at the rate of that test; infinite without one.
    likeliest : tuple of int
        The likeliest hypotheses of the model but the unknown one, in order.
    """

    actions: tuple[Action, ...]
    decided: float
    most_telling: Action | None
    at_that_rate: float
    likeliest: tuple[int, ...]


@dataclass(frozen=True, slots=True, eq=False)
class _Tests:
    """Tests side by side: the outcomes of the k-th are the ``counts[k]`` rows of ``joint`` from ``starts[k]``.

    ``joint`` has the shape (n_outcomes, n_hypotheses); ``gain`` is in nats, ``minutes`` with the way.
    """

    index: Index
    counts: Index
    starts: Index
    joint: Array
    minutes: Array
    gain: Array

    def only(self, kept: Index) -> _Tests:
        """Some of the tests."""
        wanted = np.zeros(len(self.index), dtype=bool)
        wanted[kept] = True
        counts = self.counts[wanted]
        joint = self.joint[np.repeat(wanted, self.counts)]
        return _Tests(self.index[wanted], counts, _starts(counts), joint, self.minutes[wanted], self.gain[wanted])


@dataclass(frozen=True, slots=True, eq=False)
class _Scene:
    """What all prices are made of, narrowed to the hypotheses and repairs that matter.

    ``live`` are the hypotheses, ``share`` their probabilities (adding up to 1), ``courses`` which of them call for the
    same, shape (n_live, n_courses); ``useful`` are the repairs, ``repairs`` their data.
    """

    model: PlanningModel
    belief: Belief
    here: Standing
    prices: Prices
    live: Index
    share: Array
    courses: Array
    useful: Index
    repairs: Repairs


def look_ahead(model: PlanningModel, belief: Belief, weights: Array, here: Standing, prices: Prices) -> Outlook:
    """Price everything that can be done now.

    Parameters
    ----------
    model : PlanningModel
    belief : Belief
    weights : ndarray of shape (n_hypotheses,)
        As :meth:`Belief.weights` gives them.
    here : Standing
    prices : Prices
    """
    scene = _scene(model, belief, weights, here, prices)
    tests = _telling(_tests(scene), prices)
    first = _first_repairs(scene)
    costed = _costed(scene, tests, first)
    test_actions = _test_actions(scene, tests, costed.cost[1 + len(first) :])
    refer = Action("refer", -1, "", float(scene.share @ scene.repairs.way_out), 0, 0.0)
    telling, rate = _most_telling(test_actions, tests, prices, float(entropy(scene.share @ scene.courses)))
    return Outlook(
        (*test_actions, *_repair_actions(scene, costed, first), refer),
        float((scene.share @ scene.courses).max()),
        telling,
        rate,
        _likeliest(scene),
    )


def _scene(model: PlanningModel, belief: Belief, weights: Array, here: Standing, prices: Prices) -> _Scene:
    live = np.flatnonzero(weights > NEGLIGIBLE)
    share = weights[live] / weights[live].sum()
    untried = np.array([repair.id not in here.tried for repair in model.repairs.records], dtype=bool)
    useful = np.flatnonzero(untried & (model.repairs.cures[:, live] @ share > NEGLIGIBLE))
    repairs = prices.repairs.narrowed(useful, live)
    return _Scene(model, belief, here, prices, live, share, _courses(prices.remedy[live]), useful, repairs)


def _likeliest(scene: _Scene) -> tuple[int, ...]:
    order = scene.live[np.argsort(-scene.share, kind="stable")[: _NAMED + 1]].tolist()
    return tuple(hypothesis for hypothesis in order if hypothesis != len(scene.model.hypotheses) - 1)[:_NAMED]


def _courses(remedy: Index) -> Array:
    """Which hypotheses call for the same: one column for each remedy, one for none."""
    return np.asarray(remedy[:, None] == sorted(set(remedy.tolist())), dtype=np.float64)


def _starts(counts: Index) -> Index:
    return np.concatenate([np.zeros(1, dtype=np.intp), np.cumsum(counts)[:-1]]).astype(np.intp)[: len(counts)]


def _tests(scene: _Scene) -> _Tests:
    """The tests that can be predicted and have not been read, or are worth reading again."""
    model, outcomes, read = scene.model, scene.belief.outcomes, scene.here.read
    index = [i for i, t in enumerate(model.tests.records) if t.id in outcomes and read.get(t.id, "") is not None]
    tables = [outcomes[model.tests.records[i].id].given for i in index]
    counts = np.array([table.shape[1] for table in tables], dtype=np.intp)
    shown_by = np.where(scene.live < len(model.hypotheses) - 1, scene.live, 0)
    given = np.concatenate(tables, axis=1)[shown_by] if tables else np.zeros((len(shown_by), 0))
    joint = np.multiply(given.T, scene.share, order="C")
    at, starts = np.array(index, dtype=np.intp), _starts(counts)
    zone = model.tests.zone[at]
    closed = scene.here.closed[zone]
    way = model.tests.reach[closed.astype(np.intp), scene.here.state, at] + closed * model.ground.zone_minutes[zone]
    gain = information_gain(joint @ scene.courses, starts, scene.share @ scene.courses)
    return _Tests(at, counts, starts, joint, way + model.tests.minutes[at], gain)


def _telling(tests: _Tests, prices: Prices) -> _Tests:
    """The tests worth pricing."""
    rate = np.where(tests.gain > TELLS_NOTHING, tests.gain, 0.0) / (tests.minutes * prices.per_minute + 1e-9)
    order = np.argsort(-rate, kind="stable")[:MOST_TESTS]
    return tests.only(order[rate[order] > 0])


def _first_repairs(scene: _Scene) -> Index:
    """Repairs that may come first, as positions among the useful ones."""
    repairs = scene.repairs
    opening = repairs.needs @ (scene.here.closed * repairs.zone_cost)
    rank = (repairs.cures @ scene.share) / (repairs.cost + opening)
    return np.argsort(-rank, kind="stable")[:MOST_REPAIRS]


def _costed(scene: _Scene, tests: _Tests, first: Index) -> Costed:
    """Least cost by repairs: now, after each of the first repairs failed, and after each outcome of each test."""
    model, repairs, here = scene.model, scene.repairs, scene.here
    failed = scene.share * (1.0 - repairs.cures[first])
    weights = np.concatenate([scene.share[None], failed, tests.joint])
    closed = np.repeat(here.closed[None], len(weights), axis=0)
    state = np.full(len(weights), model.ground.running, dtype=np.intp)
    state[0] = here.state
    closed[1 : 1 + len(first)] *= 1.0 - repairs.needs[first]
    outcome = np.arange(1 + len(first), len(weights))
    closed[outcome, np.repeat(model.tests.zone[tests.index], tests.counts)] = 0.0
    state[outcome] = np.repeat(model.tests.state[tests.index], tests.counts)
    tried = np.full(len(weights), -1, dtype=np.intp)
    tried[1 : 1 + len(first)] = first
    return least_cost(repairs, weights, closed, state, tried=tried)


def _test_actions(scene: _Scene, tests: _Tests, after: Array) -> list[Action]:
    if not len(tests.index):
        return []
    model = scene.model
    cost = tests.minutes * scene.prices.per_minute + np.add.reduceat(after, tests.starts)
    risk = [model.ground.states[s].risk for s in model.tests.state[tests.index].tolist()]
    return [
        Action("test", i, model.tests.records[i].id, c, r, m)
        for i, c, r, m in zip(tests.index.tolist(), cost.tolist(), risk, tests.minutes.tolist(), strict=True)
    ]


def _repair_actions(scene: _Scene, costed: Costed, first: Index) -> list[Action]:
    model, repairs, here, useful = scene.model, scene.repairs, scene.here, scene.useful
    chance = (repairs.cures @ scene.share).tolist()
    own = repairs.cost + repairs.set_up[here.state] + repairs.needs @ (here.closed * repairs.zone_cost)
    after = (own[first] + costed.cost[1 : 1 + len(first)]).tolist()
    total = {i: cost for i, cost in zip(first.tolist(), after, strict=True) if chance[i] >= SLIGHT}
    begin = int(costed.first[0])
    if begin >= 0:
        total[begin] = min(float(costed.cost[0]), total.get(begin, np.inf))
    way = model.repairs.reach[here.state, useful] + repairs.needs @ (here.closed * model.ground.zone_minutes)
    minutes = (way + model.repairs.minutes[useful]).tolist()
    actions = []
    for i in sorted(total):
        repair = model.repairs.records[useful[i]]
        risk = model.ground.states[model.ground.state_at[repair.state]].risk
        actions.append(Action("repair", int(useful[i]), repair.id, total[i], risk, minutes[i]))
    return actions


def _most_telling(
    actions: list[Action], tests: _Tests, prices: Prices, uncertain: float
) -> tuple[Action | None, float]:
    """The test that tells most for its cost, and what it would cost to tell all that is uncertain at that rate."""
    if not actions:
        return None, np.inf
    cost_of_a_nat = tests.minutes * prices.per_minute / tests.gain
    best = int(cost_of_a_nat.argmin())
    return actions[best], float(cost_of_a_nat[best]) * uncertain
