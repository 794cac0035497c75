"""Policies: repairs alone, one step of expected value, information for its cost, and the rollout of both.

``choose`` improves on its base policies by one step of policy improvement (rollout, Bertsekas and Castañón 1998): every
promising step is priced with the better of two policies followed after each of its outcomes, exactly, without
sampling.  The bases are one step of expected value, and asking for what tells most for its cost until one repair is
sure enough.  The first is good; the second never gets stuck where only two tests together pay.  The cost shown is an
upper bound of what following the advice costs, and never more than repairs alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isnan
from typing import Final, Literal

import numpy as np

from probewright.decision import kernels
from probewright.decision.arrays import arrays, space
from probewright.decision.problem import ANY, Array, Decision, failed

Kind = Literal["test", "repair", "way_out"]

#: Chance to cure from which the telling base repairs.
SURE_ENOUGH: Final = 0.7
_UNBOUNDED: Final = int(np.iinfo(np.int64).max)


@dataclass(frozen=True, slots=True)
class Effort:
    """How far to look.

    Attributes
    ----------
    cheapest, telling : int
        Steps that are followed with the telling base, besides those that the bases would take: the cheapest with
        repairs alone after them, and the tests that tell most for their cost.
    both : int
        How many of the cheapest of these are followed with both bases.
    slight : float
        Share of the weight under which repairs alone are followed.
    most : int
        Sequences of repairs that may be worked out, a few microseconds each: it bounds the time.
    """

    cheapest: int
    telling: int
    both: int
    slight: float
    most: int


EFFORTS: Final = {
    "quick": Effort(cheapest=3, telling=8, both=0, slight=0.05, most=2_000),
    "thorough": Effort(cheapest=12, telling=12, both=3, slight=0.05, most=30_000),
}


@dataclass(frozen=True, slots=True)
class Option:
    """Something that can be done now, with all that follows.

    Attributes
    ----------
    kind : "test", "repair" or "way_out"
    index : int
        Position among the tests or repairs of the decision; -1 for the way out.
    cost : float
        Expected money until the end.
    minutes : float
        Expected minutes until then.
    fixed : float
        Probability that the job ends at this visit with the complaint gone.
    followed : bool
        Whether the cost is that of the policies; else of repairs alone after this step, which is no less.
    """

    kind: Kind
    index: int
    cost: float
    minutes: float
    fixed: float
    followed: bool = True


@dataclass(frozen=True, slots=True)
class Choice:
    """All that can be done, the best first.

    Attributes
    ----------
    options : tuple of Option
        At equal cost tests come before repairs, and each in the order of the decision.
    sequences : int
        Sequences of repairs that were worked out.
    fell_back : bool
        Whether there were more than the effort allows, so that some branches were priced by repairs alone.
    """

    options: tuple[Option, ...]
    sequences: int
    fell_back: bool

    @property
    def best(self) -> Option:
        """The first."""
        return self.options[0]


@dataclass(frozen=True, slots=True, eq=False)
class Node:
    """A state that a decision may come to.

    Attributes
    ----------
    weights : ndarray of shape (F,)
        Not normalised: they add up to the probability of coming here.
    opened, state : int
        The open zones, and the state of the appliance.
    tested, repaired : int
        What has been done since, a bit each.
    later : bool
        Whether a repair has taken another visit.
    """

    weights: Array
    opened: int
    state: int
    tested: int = 0
    repaired: int = 0
    later: bool = False


class Search:
    """A decision laid out for the search, to be asked about any state that it may come to."""

    def __init__(self, decision: Decision) -> None:
        self.decision = decision
        self.root = Node(np.asarray(decision.weights, dtype=np.float64), int(decision.opened), int(decision.state))
        self._arrays, self._space = arrays(decision), space(decision)

    def choose(self, effort: str = "thorough", node: Node | None = None) -> Choice:
        """Price everything that can be done, and put it in order.

        Parameters
        ----------
        effort : "quick" or "thorough"
        node : Node, optional
            The state to choose in; the present one when left out.
        """
        how, node = EFFORTS[effort], self.root if node is None else node
        mass = self._stand(node, how.most)
        p, s = self._arrays, self._space
        values, followed = kernels.survey(p, s, how.cheapest, how.telling, how.both, SURE_ENOUGH, how.slight * mass)
        tests, out = len(p.test_minutes), float(node.weights @ self.decision.way_out) / mass
        kinds: list[tuple[Kind, int]] = [("test", t) for t in range(tests)]
        kinds += [("repair", r) for r in range(len(values) - tests)]
        options = [
            Option(kind, index, money, minutes, fixed, was > 0)
            for (kind, index), (money, minutes, fixed), was in zip(
                kinds, (values / mass).tolist(), followed.tolist(), strict=True
            )
            if not isnan(money)  # done before
        ]
        options.append(Option("way_out", -1, out, 0.0, 0.0))
        done = int(s.tally[0])
        return Choice(tuple(sorted(options, key=_order)), done, done >= how.most)

    def repairs_only(self, node: Node | None = None) -> Option:
        """The best sequence of repairs with the way out; tests are left aside."""
        node = self.root if node is None else node
        mass = self._stand(node)
        money, minutes, fixed, first = kernels.by_repairs(
            self._arrays, self._space, self._space.levels[0], node.opened, node.state, node.repaired, node.later
        )
        return Option("repair" if first >= 0 else "way_out", first, money / mass, minutes / mass, fixed / mass)

    def one_step(self, node: Node | None = None) -> Option:
        """One step of expected value: the test after which repairs alone cost least, if that is less than without."""
        node = self.root if node is None else node
        plain = self.repairs_only(node)
        mass, p, s = self._stand(node), self._arrays, self._space
        test = kernels.one_step(
            p, s, s.levels[0], node.opened, node.state, node.tested, node.repaired, node.later, plain.cost * mass
        )
        return plain if test < 0 else self._tested(test, mass)

    def telling(self, node: Node | None = None, threshold: float = SURE_ENOUGH) -> Option:
        """What tells most for its cost, until a repair is sure enough or nothing tells anything."""
        node = self.root if node is None else node
        plain = self.repairs_only(node)
        mass, p, s = self._stand(node), self._arrays, self._space
        if kernels.sure_enough(s.levels[0], p.cured_from, p.cured, p.helps, node.repaired, threshold):
            return plain
        test = kernels.most_telling(p, s, s.levels[0], node.opened, node.state, node.tested)
        return plain if test < 0 else self._tested(test, mass)

    def lead(self, node: Node) -> Option:
        """The step that the policy takes with which ``quick`` prices what follows; its cost is not worked out."""
        self._stand(node)
        p, s = self._arrays, self._space
        w = s.levels[0]
        _, _, _, first = kernels.by_repairs(p, s, w, node.opened, node.state, node.repaired, node.later)
        sure = kernels.sure_enough(w, p.cured_from, p.cured, p.helps, node.repaired, SURE_ENOUGH)
        test = -1 if sure else kernels.most_telling(p, s, w, node.opened, node.state, node.tested)
        if test >= 0:
            return Option("test", test, np.nan, np.nan, np.nan, followed=False)
        return Option("repair" if first >= 0 else "way_out", first, np.nan, np.nan, np.nan, followed=False)

    def after_outcome(self, test: int, outcome: int, node: Node | None = None) -> Node:
        """The state once a test has shown its k-th outcome."""
        node, d = self.root if node is None else node, self.decision
        zones = int(d.test_zones[test])
        state = self._reached(node, int(d.test_state[test]), zones)
        weights = node.weights * d.outcome[int(d.starts[test]) + outcome]
        return Node(weights, node.opened | zones, state, node.tested | (1 << test), node.repaired, node.later)

    def after_failed(self, repair: int, node: Node | None = None) -> Node:
        """The state once a repair has been made and the complaint remains."""
        node, d = self.root if node is None else node, self.decision
        weights = failed(node.weights, d.pair, d.cures[repair])
        opened, done = node.opened | int(d.repair_zones[repair]), node.repaired | (1 << repair)
        return Node(weights, opened, int(d.running), node.tested, done, node.later or bool(d.away[repair]))

    def own_minutes(self, option: Option, node: Node | None = None) -> float:
        """Minutes of the way to a step and of the step itself, without what follows."""
        node, d = self.root if node is None else node, self.decision
        if option.kind == "way_out":
            return 0.0
        test, index = option.kind == "test", option.index
        own = float((d.test_minutes if test else d.repair_minutes)[index])
        target = int((d.test_state if test else d.repair_state)[index])
        opening = int((d.test_zones if test else d.repair_zones)[index]) & ~node.opened
        own += sum(float(m) for z, m in enumerate(d.zone_minutes) if (opening >> z) & 1)
        here = node.state
        if opening and (target == ANY or not d.can_open[target]) and not d.can_open[here]:
            own, here = own + float(d.move[here, d.safe]), d.safe
        return own + (float(d.move[here, target]) if target not in (ANY, here) else 0.0)

    def _reached(self, node: Node, target: int, zones: int) -> int:
        """The state that a test is done in."""
        if target != ANY:
            return target
        opening = zones & ~node.opened
        return node.state if not opening or self.decision.can_open[node.state] else int(self.decision.safe)

    def _stand(self, node: Node, most: int = _UNBOUNDED) -> float:
        """Put a state into the first row of the working space; the sum of its weights."""
        s = self._space
        s.levels[0] = node.weights
        s.at[0, :5] = node.opened, node.state, node.tested, node.repaired, int(node.later)
        s.tally[:] = 0, most
        return float(node.weights.sum())

    def _tested(self, test: int, mass: float) -> Option:
        value = kernels.price(self._arrays, self._space, test, 0, 0.0, 0.0)
        money, minutes, fixed = (x / mass for x in value)
        return Option("test", test, money, minutes, fixed, followed=False)


def choose(decision: Decision, effort: str = "thorough") -> Choice:
    """As :meth:`Search.choose`, for one decision."""
    return Search(decision).choose(effort)


def repairs_only(decision: Decision) -> Option:
    """As :meth:`Search.repairs_only`, for one decision."""
    return Search(decision).repairs_only()


def one_step(decision: Decision) -> Option:
    """As :meth:`Search.one_step`, for one decision."""
    return Search(decision).one_step()


def telling(decision: Decision, threshold: float = SURE_ENOUGH) -> Option:
    """As :meth:`Search.telling`, for one decision."""
    return Search(decision).telling(threshold=threshold)


def _order(option: Option) -> tuple[float, str, int]:
    # The way out last: where going on costs no more, go on.
    return option.cost, {"test": "a", "repair": "b", "way_out": "c"}[option.kind], option.index
