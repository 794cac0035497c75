"""Temperature sensors: platinum by Callendar and Van Dusen, thermistors by Beta and by Steinhart and Hart.

All functions work on arrays, broadcast, and compute in float64.  Temperatures are in degC, resistances in ohm.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from probewright.figures import Basis, Figure, common_practice, derived, published, weakest

Array = NDArray[np.float64]
ToleranceClass = Literal["AA", "A", "B", "C"]

_ICE_POINT = derived(273.15, "definition of the degree Celsius, BIPM SI Brochure 2.3.1")
_BETA_REFERENCE = derived(25.0 + _ICE_POINT, "25 degC, the reference temperature of IEC 60539-1")
#: Newton's method from above on a concave rising curve converges quadratically; six steps reach the last bit from
#: the quadratic's root, two more cost nothing that matters.
_NEWTON_STEPS = 8


@dataclass(frozen=True, slots=True)
class PlatinumCurve:
    """R(t) = R0 (1 + a t + b t^2 + c (t - 100) t^3), the last term below 0 degC only.

    Attributes
    ----------
    id : str
        Name of the curve.
    a, b, c : Figure
        Coefficients in 1/K, 1/K^2 and 1/K^4, each with its basis.
    source : str
        Where the curve comes from, in words that an answer can quote.

    >>> IEC_60751.id
    'iec_60751'
    """

    id: str
    a: Figure
    b: Figure
    c: Figure
    source: str

    @property
    def basis(self) -> Basis:
        """The weakest basis of the three coefficients."""
        return weakest((self.a.basis, self.b.basis, self.c.basis))

    @property
    def alpha(self) -> float:
        """The mean temperature coefficient between 0 and 100 degC, in 1/K."""
        return float(self.a) + 100.0 * float(self.b)


_IEC = "IEC 60751, Callendar-Van Dusen coefficients for industrial platinum sensors"
_TRADE = "commonly published Callendar-Van Dusen coefficients of 3750 ppm/K thin-film platinum; no standard has them"

#: The curve of IEC 60751, alpha 3851 ppm/K.
IEC_60751 = PlatinumCurve(
    "iec_60751", published(3.9083e-3, _IEC), published(-5.775e-7, _IEC), published(-4.183e-12, _IEC), _IEC
)

#: The 3750 ppm/K curve.  It belongs to no standard: the coefficients circulate in data sheets and public code, some
#: rounded to 3.81e-3 and -6.02e-7, which moves a reading by less than 0.1 K up to 300 degC.
TRADE_3750 = PlatinumCurve(
    "trade_3750", common_practice(3.8102e-3), common_practice(-6.01888e-7), common_practice(-6.0e-12), _TRADE
)


def platinum_resistance(temperature_c: Array, nominal: Array, curve: PlatinumCurve) -> Array:
    """Resistance of a platinum sensor.

    Parameters
    ----------
    temperature_c : ndarray, any shape
        Temperature in degC.  The curves are stated from -200 to 850 degC; beyond, the polynomial goes on.
    nominal : ndarray, broadcastable
        Resistance in ohm at 0 degC.
    curve : PlatinumCurve
        The coefficients.

    Returns
    -------
    ndarray of the broadcast shape, in ohm.

    >>> round(float(platinum_resistance(np.array(100.0), np.array(100.0), IEC_60751)), 2)
    138.51
    """
    t = np.asarray(temperature_c, dtype=np.float64)
    below = np.minimum(t, 0.0)
    quadratic = 1.0 + t * (float(curve.a) + t * float(curve.b))
    return nominal * (quadratic + float(curve.c) * (below - 100.0) * below * below * below)


def platinum_slope(temperature_c: Array, nominal: Array, curve: PlatinumCurve) -> Array:
    """Sensitivity dR/dt of a platinum sensor in ohm/K; parameters as for :func:`platinum_resistance`."""
    t = np.asarray(temperature_c, dtype=np.float64)
    below = np.minimum(t, 0.0)
    cubic = float(curve.c) * (4.0 * below - 300.0) * below * below
    return nominal * (float(curve.a) + 2.0 * float(curve.b) * t + cubic)


def platinum_temperature(ohms: Array, nominal: Array, curve: PlatinumCurve) -> Array:
    """Temperature of a platinum sensor from its resistance: the inverse of :func:`platinum_resistance`.

    Parameters
    ----------
    ohms : ndarray, any shape
        Resistance in ohm.
    nominal : ndarray, broadcastable
        Resistance in ohm at 0 degC, positive.
    curve : PlatinumCurve
        The coefficients.

    Returns
    -------
    ndarray of the broadcast shape, in degC.  NaN where no temperature gives that resistance: above the quadratic's
    maximum, some 7.6 times the nominal resistance and far beyond the curve's 850 degC.

    >>> round(float(platinum_temperature(np.array(138.5055), np.array(100.0), IEC_60751)), 3)
    100.0
    """
    ratio = np.asarray(ohms, dtype=np.float64) / nominal
    a, b = float(curve.a), float(curve.b)
    with np.errstate(invalid="ignore"):
        # The rationalised root: the textbook form loses half the digits near 0 degC.
        t = 2.0 * (ratio - 1.0) / (a + np.sqrt(a * a + 4.0 * b * (ratio - 1.0)))
    cold = t < 0.0
    if np.any(cold):
        t = np.where(cold, _newton(ratio, np.where(cold, t, 0.0), curve), t)
    return t


def _newton(ratio: Array, start: Array, curve: PlatinumCurve) -> Array:
    """Solve the quartic for t < 0 from the quadratic's root; a fixed number of steps keeps it deterministic."""
    one = np.ones_like(ratio)
    t = start
    for _ in range(_NEWTON_STEPS):
        t = t - (platinum_resistance(t, one, curve) - ratio) / platinum_slope(t, one, curve)
    return t


_IEC_TOLERANCE = "IEC 60751:2008, Table 3, tolerance classes of thermometers"

#: Class to (tolerance at 0 degC in K, growth in K per K of distance from 0 degC).
_TOLERANCES: dict[str, tuple[Figure, Figure]] = {
    "AA": (published(0.1, _IEC_TOLERANCE), published(0.0017, _IEC_TOLERANCE)),
    "A": (published(0.15, _IEC_TOLERANCE), published(0.002, _IEC_TOLERANCE)),
    "B": (published(0.3, _IEC_TOLERANCE), published(0.005, _IEC_TOLERANCE)),
    "C": (published(0.6, _IEC_TOLERANCE), published(0.01, _IEC_TOLERANCE)),
}


def platinum_tolerance(tolerance_class: ToleranceClass, temperature_c: Array) -> Array:
    """Half-width in K within which a platinum sensor of a class of IEC 60751 may differ from its curve.

    Parameters
    ----------
    tolerance_class : {"AA", "A", "B", "C"}
        The class; each has a temperature range of its own in the standard, which is not checked here.
    temperature_c : ndarray, any shape
        Temperature in degC.

    Returns
    -------
    ndarray of the same shape, in K.

    Raises
    ------
    ValueError
        For a class that the standard does not know.
    """
    try:
        at_zero, growth = _TOLERANCES[tolerance_class]
    except KeyError:
        raise ValueError(f"unknown tolerance class {tolerance_class!r}; one of {', '.join(_TOLERANCES)}") from None
    return float(at_zero) + float(growth) * np.abs(np.asarray(temperature_c, dtype=np.float64))


def ntc_beta(temperature_c: Array, r25: Array, beta: Array) -> Array:
    """Resistance of a thermistor by the Beta equation, R = R25 exp(B (1/T - 1/298.15)).

    Parameters
    ----------
    temperature_c : ndarray, any shape
        Temperature in degC, above -273.15.
    r25 : ndarray, broadcastable
        Resistance in ohm at 25 degC.
    beta : ndarray, broadcastable
        The B-value in K (IEC 60539-1).

    Returns
    -------
    ndarray of the broadcast shape, in ohm.

    >>> round(float(ntc_beta(np.array(0.0), np.array(10e3), np.array(3950.0))))
    33621
    """
    kelvin = np.asarray(temperature_c, dtype=np.float64) + float(_ICE_POINT)
    return r25 * np.exp(beta * (1.0 / kelvin - 1.0 / float(_BETA_REFERENCE)))


def ntc_beta_temperature(ohms: Array, r25: Array, beta: Array) -> Array:
    """Temperature in degC of a thermistor from its resistance in ohm (positive): the inverse of :func:`ntc_beta`."""
    inverse = np.log(np.asarray(ohms, dtype=np.float64) / r25) / beta + 1.0 / float(_BETA_REFERENCE)
    return 1.0 / inverse - float(_ICE_POINT)


def steinhart_hart(ohms: Array, a: float, b: float, c: float) -> Array:
    """Temperature of a thermistor by Steinhart and Hart, 1/T = a + b ln R + c (ln R)^3.

    Parameters
    ----------
    ohms : ndarray, any shape
        Resistance in ohm, positive.
    a, b, c : float
        Coefficients in 1/K for resistances in ohm.

    Returns
    -------
    ndarray of the same shape, in degC.
    """
    log = np.log(np.asarray(ohms, dtype=np.float64))
    return 1.0 / (a + b * log + c * log * log * log) - float(_ICE_POINT)
