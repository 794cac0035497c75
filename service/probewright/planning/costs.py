"""What steps cost in one case: the shop's own labour, callback and parts over the pack's."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.planning.model import PlanningModel
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
    callback, return_visit : float
        To hand over; and to come again with a part.
    part : ndarray of shape (n_repairs,)
        What the part of each repair costs.
    repair : ndarray of shape (n_repairs,)
        Everything but opening zones, from the running state: part, labour, changes of state, verification.
    remedy : ndarray of int, shape (n_hypotheses,)
        The repair that is cheapest for its chance under each hypothesis; -1 where none helps.
    follow_up : ndarray of shape (n_hypotheses,)
        What that remedy costs with the zones that it opens and its closing checks; 0 where none helps.
    on_hand : collection of str or None
        The parts at hand; None when all are.
    """

    per_minute: float
    callback: float
    return_visit: float
    part: Array
    repair: Array
    remedy: Index
    follow_up: Array
    on_hand: Collection[str] | None = None

    def away(self, part: str | None) -> bool:
        """Whether a part has to be fetched."""
        return part is not None and self.on_hand is not None and part not in self.on_hand


def prices(model: PlanningModel, costs: CaseCosts, on_hand: Collection[str] | None = None) -> Prices:
    """Price a model's repairs and its way out.

    Parameters
    ----------
    model : PlanningModel
    costs : CaseCosts
        The shop's own.
    on_hand : collection of str or None
        The parts at hand; None when all are.
    """
    default, work = model.family.costs, model.repairs
    per_minute = float(default.labour_per_hour if costs.labour_per_hour is None else costs.labour_per_hour) / 60.0
    callback = float(default.callback if costs.callback is None else costs.callback)
    return_visit = float(default.return_visit if costs.return_visit is None else costs.return_visit)
    minutes = work.reach[model.ground.running] + work.minutes + work.back + float(default.verification_minutes)
    part = _part_prices(model, costs)
    repair = np.maximum(part + per_minute * minutes, _LEAST_COST)
    opened = repair + work.needs @ (per_minute * model.ground.zone_minutes)
    # Whoever does it in the end must prove it, too.
    remedy, follow_up = _remedies(model, opened + per_minute * model.proof)
    return Prices(per_minute, callback, return_visit, part, repair, remedy, follow_up, on_hand)


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
