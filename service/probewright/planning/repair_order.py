"""The least expected cost by repairs alone, for many beliefs at once.

A plan without tests is a sequence of repairs, each followed by a check of the function, and at some point the way out
(a callback, a specialist).  With C_k the cost of the k-th repair and m_k the probability that nothing before it has
cured, the plan costs the sum of C_k m_k, plus the way out for what is left.

Order
    By chance to cure over cost, which is optimal when repairs cure different faults and the way out costs the same
    for all (Kadane and Simon 1977; Heckerman, Breese and Rommelse 1995).  Where several repairs cure the same fault the
    chances are taken anew after each failed repair; that is a greedy rule, not the optimum.
Access zones
    Opening is paid once, so repairs behind one cover are ranked as a block: the prefix with the greatest sum of chances
    over opening plus sum of costs (Langseth and Jensen 2001; optimal for zones that do not nest).  The costs added up
    are exact for any zones.
Way out
    Taken wherever that is cheapest along the sequence, found backwards: W_k = min(X_k, C_k m_k + W_{k+1}), where X_k is
    the cost of the way out for what is left after k repairs.  Stopping at the first repair that does not pay would be
    wrong: two may pay together.

The cost is that of a plan which can be carried out, so it is never below the optimum.  Weights need not add up to 1:
all costs are proportional to them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Self

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]

#: The most repairs in a row before the way out.
DEPTH: Final = 5
#: Rounds of Dinkelbach's iteration, which converges faster than linearly.
_ROUNDS: Final = 2
#: Orders repairs within a block, without lifting the block over a better one.
_WITHIN = 1e-6
_TINY = 1e-12
#: The cost of a repair that was done already, where nothing else is left to choose.
_NEVER = 1e30


@dataclass(frozen=True, slots=True, eq=False)
class Blocks:
    """Repairs grouped by the zones that they need.

    Attributes
    ----------
    of : ndarray of int, shape (n_repairs,)
        The group of each repair.
    needs : ndarray of shape (n_groups, n_zones), 0 or 1
    """

    of: Index
    needs: Array

    @classmethod
    def by_zones(cls, needs: Array) -> Self:
        """Group the rows of ``needs``, shape (n_repairs, n_zones), that are equal."""
        rows, of = np.unique(needs, axis=0, return_inverse=True)
        return cls(of.reshape(-1).astype(np.intp), rows)


@dataclass(frozen=True, slots=True, eq=False)
class Repairs:
    """What repairs do and cost; the axes are repairs, hypotheses and zones, each in a fixed order.

    Attributes
    ----------
    cures : ndarray of shape (n_repairs, n_hypotheses)
        Probability that the repair ends the job if the hypothesis is true.
    cost : ndarray of shape (n_repairs,)
        Everything but opening zones: part, labour, changes of state, verification.  Positive.
    way_out : ndarray of shape (n_hypotheses,)
        Cost of the way out if the hypothesis is true.
    needs : ndarray of shape (n_repairs, n_zones), 0 or 1
    zone_cost : ndarray of shape (n_zones,)
    set_up : ndarray of shape (n_states, n_repairs)
        What a repair costs more (or, negative, less) as the first one, from each state that one may stand in.
    blocks : Blocks
    """

    cures: Array
    cost: Array
    way_out: Array
    needs: Array
    zone_cost: Array
    set_up: Array
    blocks: Blocks

    def narrowed(self, repairs: Index, hypotheses: Index) -> Repairs:
        """Only some of the repairs and hypotheses."""
        return Repairs(
            self.cures[repairs[:, None], hypotheses],
            self.cost[repairs],
            self.way_out[hypotheses],
            self.needs[repairs],
            self.zone_cost,
            self.set_up[:, repairs],
            Blocks(self.blocks.of[repairs], self.blocks.needs),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Costed:
    """The least cost by repairs alone, and the repair to begin with (-1: take the way out); both shape (n_rows,)."""

    cost: Array
    first: Index


def least_cost(
    repairs: Repairs, weights: Array, closed: Array, state: Index, *, tried: Index | None = None, depth: int = DEPTH
) -> Costed:
    """Cost of the best sequence of repairs for each row of weights.

    Parameters
    ----------
    repairs : Repairs
    weights : ndarray of shape (n_rows, n_hypotheses)
    closed : ndarray of shape (n_rows, n_zones)
        1 where a zone is still to be opened.
    state : ndarray of int, shape (n_rows,)
        Row of ``set_up`` that applies to the first repair.
    tried : ndarray of int, shape (n_rows,), optional
        A repair that each row must do without, for it has failed; -1 for none.
    depth : int
        The most repairs in a row.
    """
    count, gauge = len(repairs.cost), _gauge(repairs)
    gauged = weights @ gauge
    left, spent = [gauged[:, count:]], []
    if not count:
        return Costed(left[0][:, 1], np.full(len(weights), -1, dtype=np.intp))
    rows, failure = np.arange(len(weights)), 1.0 - repairs.cures
    worth = _worth(repairs, gauged[:, :count], closed)
    _strike(worth, tried)
    chosen = first = (gauged[:, :count] * worth).argmax(axis=1)
    for k in range(min(depth, count)):
        if k:
            chosen = (gauged[:, :count] * worth).argmax(axis=1)
        cost, closed = _next_cost(repairs, chosen, closed)
        if not k:
            cost += repairs.set_up[state, chosen]
        cost[worth[rows, chosen] < 0] = _NEVER
        worth[rows, chosen] = -1.0
        spent.append(cost * left[-1][:, 0])
        weights = weights * failure[chosen]
        gauged = weights @ gauge
        left.append(gauged[:, count:])
    return _stopped_in_time(left, spent, first)


def _gauge(repairs: Repairs) -> Array:
    """What weights are multiplied with for the chance of each repair, what is left, and the way out for it."""
    return np.concatenate((repairs.cures, np.ones_like(repairs.way_out)[None], repairs.way_out[None])).T


def _strike(worth: Array, tried: Index | None) -> None:
    """Take out, row by row, what was tried already."""
    if tried is not None:
        rows = np.flatnonzero(tried >= 0)
        worth[rows, tried[rows]] = -1.0


def _next_cost(repairs: Repairs, chosen: Index, closed: Array) -> tuple[Array, Array]:
    """What a repair costs each row with the zones that it opens, and the zones that are still closed after it."""
    still = closed * (1.0 - repairs.needs[chosen])
    return repairs.cost[chosen] + (closed - still) @ repairs.zone_cost, still


def _stopped_in_time(left: list[Array], spent: list[Array], first: Index) -> Costed:
    """Take the way out wherever along the sequence it is cheapest."""
    best = left[-1][:, 1]
    going_on = best
    for now, cost in zip(reversed(left[:-1]), reversed(spent), strict=True):
        going_on = cost + best
        best = np.minimum(now[:, 1], going_on)
    start = np.where(going_on < left[0][:, 1], first, -1)
    return Costed(best, start.astype(np.intp))


def _worth(repairs: Repairs, chance: Array, closed: Array) -> Array:
    """What a unit of chance ranks for, shape (n_rows, n_repairs): 1 / cost, or more for repairs of a good block.

    The best block of a group solves sum of max(0, p - rho c) = rho x opening; its members are those with p > rho c.
    Dinkelbach's iteration finds it, from the whole group.
    """
    worth = np.broadcast_to(1.0 / repairs.cost, chance.shape)
    opening = closed @ (repairs.blocks.needs * repairs.zone_cost).T
    if not opening.any():
        return worth.copy()
    of = repairs.blocks.of
    member = np.asarray(of[:, None] == np.arange(len(repairs.blocks.needs)), dtype=np.float64)
    ratio = (chance @ member / (opening + repairs.cost @ member + _TINY))[:, of]
    for _ in range(_ROUNDS):
        inside = np.asarray(chance > ratio * repairs.cost, dtype=np.float64)
        ratio = ((chance * inside) @ member / (opening + (repairs.cost * inside) @ member + _TINY))[:, of]
    block = (chance > ratio * repairs.cost) & (opening > 0)[:, of]
    return np.where(block, ratio / np.maximum(chance, _TINY) + _WITHIN * worth, worth)
