"""Standard uncertainty of a reading, by the Guide to the Expression of Uncertainty in Measurement (JCGM 100:2008).

Plain floats throughout, for this runs once per reading of every request.  All quantities of one call share a unit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

_SQRT3 = math.sqrt(3.0)
_SQRT12 = math.sqrt(12.0)

#: JCGM 100:2008, Table G.2, t for 95 % by degrees of freedom 1 to 10.
_T_95 = (12.71, 4.30, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23)
#: The same table: (degrees of freedom, t) beyond 10; between two entries the smaller number of degrees counts.
_T_95_BEYOND = (
    (100, 1.984), (50, 2.01), (45, 2.01), (40, 2.02), (35, 2.03), (30, 2.04), (25, 2.06), (20, 2.09), (19, 2.09),
    (18, 2.10), (17, 2.11), (16, 2.12), (15, 2.13), (14, 2.14), (13, 2.16), (12, 2.18), (11, 2.20), (10, 2.23),
)  # fmt: skip
_T_95_NORMAL = 1.960


def half_width(value: float, percent: float, counts: float, resolution: float) -> float:
    """Half-width of the interval that a data sheet states as "percent of reading plus counts of the last digit".

    Parameters
    ----------
    value : float
        The reading.
    percent : float
        Percent of the reading, 0 or more.
    counts : float
        Counts of the last digit, 0 or more.
    resolution : float
        What one count is worth, in the unit of ``value``.
    """
    return abs(value) * percent / 100.0 + counts * resolution


def rectangular(half_width: float) -> float:
    """Standard uncertainty when a value lies anywhere within plus or minus ``half_width``: a/sqrt(3), 4.3.7."""
    return half_width / _SQRT3


def standard_uncertainty(value: float, percent: float, counts: float, resolution: float) -> float:
    """Standard uncertainty of one reading, from the data sheet of its instrument; parameters as :func:`half_width`.

    The stated interval counts as rectangular (4.3.7).  The display adds resolution/sqrt(12) (F.2.2.1) only when fewer
    than half a count is stated: a data sheet's counts already hold the rounding of the last digit, and adding it again
    would count it twice.
    """
    stated = half_width(value, percent, counts, resolution) / _SQRT3
    return stated if counts >= 0.5 else math.hypot(stated, resolution / _SQRT12)


def combine(*contributions: float) -> float:
    """Combined standard uncertainty of uncorrelated contributions in the unit of the result: 5.1.2, root sum square."""
    return math.hypot(*contributions)


@dataclass(frozen=True, slots=True)
class Repeated:
    """Repeated readings as one.

    Attributes
    ----------
    mean : float
        The arithmetic mean, 4.2.1.
    type_a : float
        Experimental standard deviation of the mean, 4.2.3; 0 for a single reading.
    combined : float
        ``type_a`` and the instrument's own uncertainty, 5.1.2.
    degrees_of_freedom : float
        Effective degrees of freedom of ``combined``, G.4.1; infinite when the scatter adds nothing.
    standard_uncertainty : float
        ``combined``, widened so that a normal distribution gives the 95 % interval that Student's gives with these
        degrees of freedom (G.6.4).  This is the one to calculate with: two readings know little of their own scatter.
    n : int
        How many readings.
    """

    mean: float
    type_a: float
    combined: float
    degrees_of_freedom: float
    standard_uncertainty: float
    n: int


def repeated(values: Sequence[float], instrument: float = 0.0) -> Repeated:
    """Evaluate readings repeated under the same conditions.

    Parameters
    ----------
    values : sequence of float
        At least one finite reading.
    instrument : float
        Standard uncertainty of the instrument (type B).  It is common to all the readings, so repeating does not
        make it smaller.

    Raises
    ------
    ValueError
        When there is no reading.
    """
    n = len(values)
    if n == 0:
        raise ValueError("repeated readings need at least one value")
    if n == 1:
        return Repeated(values[0], 0.0, instrument, math.inf, instrument, 1)
    first = values[0]  # differences from it are summed, so that identical readings scatter by exactly nothing
    mean = first + math.fsum(v - first for v in values) / n
    type_a = math.hypot(*(v - mean for v in values)) / math.sqrt(n * (n - 1))
    combined = math.hypot(type_a, instrument)
    freedom = _effective_freedom(type_a, combined, n - 1)
    return Repeated(mean, type_a, combined, freedom, combined * _t_95(freedom) / _T_95_NORMAL, n)


def _effective_freedom(type_a: float, combined: float, freedom: int) -> float:
    """Welch-Satterthwaite (G.4.1) where only the scatter has finite degrees of freedom."""
    share = type_a / combined if combined > 0.0 else 0.0
    weight = share**4
    return freedom / weight if weight > 0.0 else math.inf


def _t_95(freedom: float) -> float:
    """Student's t of Table G.2: cut to the next smaller entry, as G.4.1 allows, and beyond 100 linear in 1/freedom."""
    freedom *= 1.0 + 1e-9  # rounding must not cost a whole degree
    if freedom < 11:
        return _T_95[max(int(freedom), 1) - 1]
    most, t_most = _T_95_BEYOND[0]
    if freedom >= most:
        return _T_95_NORMAL + (t_most - _T_95_NORMAL) * most / freedom
    return next(t for entry, t in _T_95_BEYOND if freedom >= entry)
