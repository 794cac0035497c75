"""Whether a reading conforms, as a probability.

By JCGM 106:2012, "The role of measurement uncertainty in conformity assessment".  What is known of the quantity after
the reading is taken as normal: mean ``y``, standard deviation ``u`` (7.2).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

_SQRT_HALF = math.sqrt(0.5)

Decision = Literal["within", "outside", "inconclusive"]


@dataclass(frozen=True, slots=True)
class Thresholds:
    """Probabilities of conformity from which a reading is called ``within`` and up to which ``outside``.

    A deployment may set them; between the two a reading is ``inconclusive``.
    """

    within: float = 0.95
    outside: float = 0.05

    def __post_init__(self) -> None:
        if not 0.0 <= self.outside < self.within <= 1.0:
            raise ValueError(
                "thresholds of conformity need 0 <= outside < within <= 1, "
                f"not outside {self.outside!r} and within {self.within!r}"
            )


DEFAULT_THRESHOLDS = Thresholds()


def probability_within(y: float, u: float, low: float | None, high: float | None) -> float:
    """Probability that the quantity lies within its limits, both included (JCGM 106, 7.3 and 7.4).

    Parameters
    ----------
    y : float
        The estimate.
    u : float
        Its standard uncertainty, 0 or more; 0 decides with certainty.
    low, high : float or None
        The limits in the unit of ``y``; None leaves that side open.

    Raises
    ------
    ValueError
        When ``u`` is negative, ``y`` is not finite, anything is NaN, or the limits are crossed.
    """
    bottom = -math.inf if low is None else low
    top = math.inf if high is None else high
    if not (u >= 0.0 and bottom <= top and math.isfinite(y)):
        raise ValueError(f"no conformity of {y!r} with uncertainty {u!r} to the limits {low!r} to {high!r}")
    if bottom <= y <= top:
        return 1.0 - (_tail(y - bottom, u) + _tail(top - y, u))
    if y < bottom:
        return _tail(bottom - y, u) - _tail(top - y, u)
    return _tail(y - top, u) - _tail(y - bottom, u)


def _tail(distance: float, u: float) -> float:
    """Probability beyond a point ``distance`` (0 or more) away from the mean, without loss far out."""
    if u == 0.0 or distance == math.inf:
        return 0.0
    return 0.5 * math.erfc(distance / u * _SQRT_HALF)


def probability_above(y: float, u: float, limit: float) -> float:
    """Probability that the quantity lies above an upper limit (JCGM 106, 7.3); parameters as above."""
    if not (u >= 0.0 and math.isfinite(y)) or math.isnan(limit):
        raise ValueError(f"no conformity of {y!r} with uncertainty {u!r} to the limit {limit!r}")
    return _tail(limit - y, u) if y <= limit else 1.0 - _tail(y - limit, u)


def verdict(probability: float, thresholds: Thresholds = DEFAULT_THRESHOLDS) -> Decision:
    """What a probability of conformity amounts to.

    Raises
    ------
    ValueError
        When it is not a probability.
    """
    if not 0.0 <= probability <= 1.0:
        raise ValueError(f"not a probability: {probability!r}")
    if probability >= thresholds.within:
        return "within"
    return "outside" if probability <= thresholds.outside else "inconclusive"
