"""Copper: how its resistance follows its temperature.

All functions work on arrays, broadcast, and compute in float64.  Temperatures are in degC, resistances in ohm.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from probewright.figures import Figure

Array = NDArray[np.float64]

#: degC below zero at which the straight line of copper's resistance would end.  IEC 60034-1 takes 235 for copper.
INFERRED_ZERO = Figure(
    234.5, "from_memory",
    "NBS Handbook 100, Copper Wire Tables: 100 % IACS copper, whose coefficient at 20 degC is 0.00393 per kelvin",
)  # fmt: skip
#: degC at which wire tables state resistances.
REFERENCE = Figure(20.0, "from_memory", "NBS Handbook 100, Copper Wire Tables: the reference temperature")


def copper_ratio(temperature_c: Array, reference_c: float = float(REFERENCE)) -> Array:
    """Resistance of annealed copper over that at a reference temperature.

    Parameters
    ----------
    temperature_c : ndarray, any shape
        Temperature in degC, above -234.5.
    reference_c : float
        Temperature in degC at which the ratio is 1.

    Returns
    -------
    ndarray of the same shape, without a unit.

    >>> round(float(copper_ratio(np.array(75.0))), 5)
    1.21611
    """
    zero = float(INFERRED_ZERO)
    return (zero + np.asarray(temperature_c, dtype=np.float64)) / (zero + reference_c)


def winding_temperature(hot_ohms: Array, cold_ohms: Array, cold_c: Array) -> Array:
    """Mean temperature of a copper winding from two resistances: the resistance method of IEC 60034-1.

    Parameters
    ----------
    hot_ohms, cold_ohms : ndarray, broadcastable
        Resistance in ohm, now and when it was at ``cold_c``; positive.
    cold_c : ndarray, broadcastable
        Temperature in degC of the cold winding.

    Returns
    -------
    ndarray of the broadcast shape, in degC.

    >>> round(float(winding_temperature(np.array(24.5), np.array(20.0), np.array(25.0))), 2)
    83.39
    """
    zero = float(INFERRED_ZERO)
    ratio = np.asarray(hot_ohms, dtype=np.float64) / np.asarray(cold_ohms, dtype=np.float64)
    return ratio * (zero + np.asarray(cold_c, dtype=np.float64)) - zero
