"""Fuel gas: what passes an orifice, and heat input by clocking a meter.

All functions work on arrays, broadcast, and compute in float64.  Units are those of the trade's tables and meters:
inches, inches of water column, cubic feet, Btu.  Volumes are as the meter counts them, at its own pressure and
temperature; a heating value must be stated for the same conditions.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from probewright.figures import Figure, derived, published

Array = NDArray[np.float64]

#: Cubic feet an hour per square inch, of a gas as dense as air at an inch of water column.
ORIFICE_CONSTANT = published(
    1658.5, "orifice equation of fuel-gas handbooks, Q = 1658.5 K A sqrt(h/s), as in a public formula sheet; the "
    "table of the BCcampus open textbook (plumbing), Appendix 2, follows it digit by digit"
)  # fmt: skip
#: Share of the orifice's area that the jet fills.
ORIFICE_COEFFICIENT = published(
    0.90, "BCcampus open textbook (plumbing), Appendix 2: table of orifice capacities for a coefficient of 0.90"
)
_SECONDS = derived(3600.0, "seconds in an hour, exact by definition")


def _area(diameter_in: Array) -> Array:
    return np.pi / 4 * np.square(np.asarray(diameter_in, dtype=np.float64))


def orifice_flow(
    diameter_in: Array, head_inwc: Array, relative_density: Array, coefficient: Figure | float = ORIFICE_COEFFICIENT
) -> Array:
    """Gas through the orifice of a burner.

    Parameters
    ----------
    diameter_in : ndarray, any shape
        Diameter of the orifice in inches: 0.035 of a drill number 65.
    head_inwc : ndarray, broadcastable
        Manifold pressure in inches of water column, not negative.
    relative_density : ndarray, broadcastable
        Density of the gas over that of air, some 0.6 for natural gas and 1.5 for propane; positive.
    coefficient : float
        Share of the area that the jet fills, by the shape of the orifice.

    Returns
    -------
    ndarray of the broadcast shape, in cubic feet an hour.

    >>> round(float(orifice_flow(np.array(0.035), np.array(3.5), np.array(0.6))), 2)
    3.47
    """
    head = np.asarray(head_inwc, dtype=np.float64) / relative_density
    return float(ORIFICE_CONSTANT) * float(coefficient) * _area(diameter_in) * np.sqrt(head)


def orifice_diameter(
    flow_cfh: Array, head_inwc: Array, relative_density: Array, coefficient: Figure | float = ORIFICE_COEFFICIENT
) -> Array:
    """Diameter in inches of the orifice that passes a flow in cubic feet an hour: the inverse of :func:`orifice_flow`.

    >>> round(float(orifice_diameter(np.array(3.4685), np.array(3.5), np.array(0.6))), 4)
    0.035
    """
    of_an_inch = orifice_flow(np.array(1.0), head_inwc, relative_density, coefficient)
    return np.sqrt(np.asarray(flow_cfh, dtype=np.float64) / of_an_inch)


def clocked_heat_input(cubic_feet: Array, seconds: Array, btu_per_cubic_foot: Array) -> Array:
    """Heat input of what burns alone on a meter, by the time that its dial takes.

    Parameters
    ----------
    cubic_feet : ndarray, any shape
        Gas that was timed: turns of the dial, times the cubic feet of each.
    seconds : ndarray, broadcastable
        The time they took, positive.
    btu_per_cubic_foot : ndarray, broadcastable
        Heating value of the gas, as the utility states it.

    Returns
    -------
    ndarray of the broadcast shape, in Btu/h.

    >>> float(clocked_heat_input(np.array(1.0), np.array(80.0), np.array(1040.0)))
    46800.0
    """
    volume = np.asarray(cubic_feet, dtype=np.float64) * btu_per_cubic_foot
    return volume * float(_SECONDS) / np.asarray(seconds, dtype=np.float64)


def seconds_per_revolution(btu_per_hour: Array, cubic_feet: Array, btu_per_cubic_foot: Array) -> Array:
    """Seconds that one turn of a meter's dial should take at a rated input: the inverse of :func:`clocked_heat_input`.

    Parameters
    ----------
    btu_per_hour : ndarray, any shape
        Rated input of what burns, in Btu/h, positive.
    cubic_feet : ndarray, broadcastable
        Gas of one turn of the dial.
    btu_per_cubic_foot : ndarray, broadcastable
        Heating value of the gas.

    Returns
    -------
    ndarray of the broadcast shape, in seconds.

    >>> float(seconds_per_revolution(np.array(46800.0), np.array(1.0), np.array(1040.0)))
    80.0
    """
    return clocked_heat_input(cubic_feet, btu_per_hour, btu_per_cubic_foot)
