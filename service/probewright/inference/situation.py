"""The conditions a reading was taken under, as samples: known ones narrow, unknown ones as the pack spreads them."""

from __future__ import annotations

from functools import lru_cache
from statistics import NormalDist
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.lattice import LINEAR, coordinate
from probewright.circuit.measure import COLDEST, HOTTEST, STATIONS
from probewright.figures import Spread, from_memory
from probewright.packs.model import Supply

Array = NDArray[np.float64]

#: How well a supply voltage (share of it) and a temperature at a part (kelvin) are known when someone gives them.
SUPPLY_UNCERTAINTY = from_memory(0.005)
AMBIENT_UNCERTAINTY = from_memory(1.0)
#: Coordinates of the lattice that no network uses before its parameters pass that number.
_SUPPLY, _AMBIENT = 2 * LINEAR - 1, 2 * LINEAR - 2


class Situation(NamedTuple):
    """Conditions in the engine's units (V, degC); None for what nobody gave."""

    supply: float | None = None
    ambient: float | None = None
    set_point: float | None = None


@lru_cache(maxsize=2)
def _deviates(index: int) -> Array:
    normal = NormalDist()
    return np.array([normal.inv_cdf(p) for p in coordinate(index)])


def supply_scale(situation: Situation, supply: Supply) -> Array:
    """Supply voltage over the nominal one, shape (POINTS,)."""
    if situation.supply is None:
        volts = supply.unmeasured.quantile(coordinate(_SUPPLY))
    else:
        volts = situation.supply * (1 + float(SUPPLY_UNCERTAINTY) * _deviates(_SUPPLY))
    return volts / float(supply.nominal)


def temperatures(situation: Situation, unknown: Spread) -> Array:
    """Temperature at the part in degC, shape (POINTS,)."""
    if situation.ambient is None:
        return unknown.quantile(coordinate(_AMBIENT))
    return situation.ambient + float(AMBIENT_UNCERTAINTY) * _deviates(_AMBIENT)


def interpolation(at: Array) -> Array:
    """Weights by which values at the stations give the value at each temperature.

    Lagrange interpolation in barycentric form at Chebyshev-Lobatto points (Berrut and Trefethen, SIAM Review 46,
    2004, 501-517).

    Parameters
    ----------
    at : ndarray of shape (n,), degC

    Returns
    -------
    ndarray of shape (n, STATIONS); each row adds up to 1.
    """
    k = np.arange(STATIONS)
    nodes = -np.cos(np.pi * k / (STATIONS - 1))
    x = np.clip((2 * at - COLDEST - HOTTEST) / (HOTTEST - COLDEST), -1, 1)[:, None]
    signs = np.where(k % 2, -1.0, 1.0) * np.where((k == 0) | (k == STATIONS - 1), 0.5, 1.0)
    gap = x - nodes
    exact = np.abs(gap) < 1e-14
    weights = np.where(exact.any(axis=1, keepdims=True), exact, signs / np.where(exact, 1.0, gap))
    return np.asarray(weights / weights.sum(axis=1, keepdims=True))

