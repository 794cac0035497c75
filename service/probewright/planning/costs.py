"""What steps cost in one case: the shop's own labour, callback and parts over the pack's."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.planning.model import PlanningModel
from probewright.planning.repair_order import Repairs
from probewright_schemas.records import CaseCosts

Array = NDArray[np.float64]
Index = NDArray[np.intp]

#: A repair that costs nothing would rank infinitely high.
_LEAST_COST = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Prices:
    """Costs in the currency of the case.

    Attributes
    ----------
    per_minute : float
        Labour.
    callback : float
    repairs : Repairs
        All repairs of the model, over all its hypotheses.
    remedy : ndarray of int, shape (n_hypotheses,)
        The repair that is cheapest for its chance under each hypothesis; -1 where none helps.
    """

    per_minute: float
    callback: float
    repairs: Repairs
    remedy: Index


def prices(model: PlanningModel, costs: CaseCosts) -> Prices:
    """Price a model's repairs and its way out.

    The way out costs a callback, and then the remedy of the true fault in full: whoever comes next must do that too.
    """
    default = model.family.costs
    per_minute = float(default.labour_per_hour if costs.labour_per_hour is None else costs.labour_per_hour) / 60.0
    callback = float(default.callback if costs.callback is None else costs.callback)
    work = model.repairs
    there = work.reach[model.ground.running]
    minutes = there + work.minutes + work.back + float(default.verification_minutes)
    cost = np.maximum(_part_prices(model, costs) + per_minute * minutes, _LEAST_COST)
    zone_cost = per_minute * model.ground.zone_minutes
    remedy, follow_up = _remedies(model, cost + work.needs @ zone_cost)
    set_up = per_minute * (work.reach - there)
    repairs = Repairs(work.cures, cost, callback + follow_up, work.needs, zone_cost, set_up, work.blocks)
    return Prices(per_minute, callback, repairs, remedy)


def _part_prices(model: PlanningModel, costs: CaseCosts) -> Array:
    if not costs.parts:
        return model.repairs.price
    listed = zip(model.repairs.records, model.repairs.price.tolist(), strict=True)
    return np.array([costs.parts.get(r.part, price) if r.part else price for r, price in listed], dtype=np.float64)


def _remedies(model: PlanningModel, cost: Array) -> tuple[Index, Array]:
    """The remedy under each hypothesis, and its cost (0 where there is none)."""
    if not len(cost):
        none = len(model.hypotheses)
        return np.full(none, -1, dtype=np.intp), np.zeros(none)
    ratio = cost[:, None] * model.repairs.inverse
    best = ratio.argmin(axis=0)
    helps = np.isfinite(ratio[best, np.arange(ratio.shape[1])])
    return np.where(helps, best, -1).astype(np.intp), np.where(helps, cost[best], 0.0)
