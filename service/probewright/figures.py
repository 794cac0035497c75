"""Numbers that say where they come from, and distributions made of them.

Every number in a pack is a :class:`Figure`: a float that carries its *basis*.  Arithmetic on figures gives plain
floats; wrap a result in :func:`derived` to give it a basis again.

>>> published(1000.0, "IEC 60751, nominal resistance of a Pt1000") + 0.5
1000.5
>>> common_practice(3.2).basis
'common_practice'
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal, Self

import numpy as np
from numpy.typing import NDArray

Basis = Literal["published", "derived", "common_practice", "shop", "tech_sheet", "from_memory", "invented"]

#: From the firmest to the weakest: a result rests on the weakest of the numbers that it was made of.
BASES: tuple[Basis, ...] = (
    "tech_sheet", "shop", "published", "derived", "common_practice", "from_memory", "invented",
)  # fmt: skip

_NORMAL = NormalDist()


class Figure(float):
    """A float with its basis and, for ``published`` and ``derived``, its source.

    ``layer`` names the shop's layer that set it; it is empty for a pack's own figures, and no part of what the figure
    says: two figures are the same number of the same basis whichever layer they lie in.

    >>> coil = Figure(216.0, "common_practice")
    >>> coil + 1.0, coil.basis
    (217.0, 'common_practice')
    """

    __slots__ = ("basis", "layer", "source")
    basis: Basis
    layer: str
    source: str

    def __new__(cls, value: float, basis: Basis, source: str = "", layer: str = "") -> Self:
        """Make a figure.

        Parameters
        ----------
        value : float
            The number, finite, in the unit that the field asks for.
        basis : str
            One of :data:`BASES`.
        source : str
            Where it is published, or how it is derived.  Required for these two.
        layer : str
            The layer that set it; empty for a pack's own.

        Raises
        ------
        ValueError
            When the number is not finite, the basis unknown, or a source missing.
        """
        if not math.isfinite(value):
            raise ValueError(f"a figure must be finite, not {value!r}")
        if basis not in BASES:
            raise ValueError(f"unknown basis {basis!r}; one of {', '.join(BASES)}")
        if basis in ("published", "derived") and not source.strip():
            raise ValueError(f"a {basis} figure names its source")
        self = super().__new__(cls, value)
        self.basis = basis
        self.source = source
        self.layer = layer
        return self

    def __reduce__(self) -> tuple[type[Self], tuple[float, Basis, str, str]]:
        """Pickle with the basis, the source and the layer."""
        return (type(self), (float(self), self.basis, self.source, self.layer))

    def in_layer(self, layer: str) -> Self:
        """The same figure, set by a layer."""
        return type(self)(float(self), self.basis, self.source, layer)


def published(value: float, source: str) -> Figure:
    """Read in a named publication.  Raises ValueError for a number that is not finite, or a blank source.

    >>> published(100.0, "IEC 60751, nominal resistance of a Pt100").source
    'IEC 60751, nominal resistance of a Pt100'
    """
    return Figure(value, "published", source)


def derived(value: float, how: str) -> Figure:
    """Computed from other figures, or exact by definition; ``how`` says from which.

    Raises ValueError for a number that is not finite, or when ``how`` is blank.

    >>> derived(28.8, "from 120 V and 500 W by Ohm's law").basis
    'derived'
    """
    return Figure(value, "derived", how)


def common_practice(value: float) -> Figure:
    """A fact of the trade without a citable source.  Raises ValueError for a number that is not finite.

    >>> common_practice(3.2).basis
    'common_practice'
    """
    return Figure(value, "common_practice")


def from_memory(value: float) -> Figure:
    """Plausible but unsourced: to be replaced when a source is found.  Raises ValueError when it is not finite.

    >>> from_memory(0.04).basis
    'from_memory'
    """
    return Figure(value, "from_memory")


def shop(value: float) -> Figure:
    """Given by the shop that runs the service.  Raises ValueError for a number that is not finite.

    >>> shop(95.0).basis
    'shop'
    """
    return Figure(value, "shop")


def invented(value: float) -> Figure:
    """For demonstrations only.  Raises ValueError for a number that is not finite.

    >>> invented(4.0).basis
    'invented'
    """
    return Figure(value, "invented")


def weakest(bases: Iterable[Basis]) -> Basis:
    """The basis that a result made of all these rests on; ``derived`` when there are none.

    >>> weakest(["published", "from_memory", "shop"])
    'from_memory'
    """
    return max(bases, key=BASES.index, default="derived")


@dataclass(frozen=True, slots=True)
class Spread:
    """A distribution of a positive or signed number, made of two figures.

    Make one with :func:`exactly`, :func:`uniform`, :func:`log_uniform`, :func:`normal`, :func:`log_normal` or
    :func:`tolerance`.

    >>> heater = tolerance(common_practice(216.0), from_memory(0.05))
    >>> heater.median, heater.basis
    (216.0, 'from_memory')
    >>> heater.quantile(np.array([0.25, 0.75])).round(1)
    array([210.6, 221.4])
    """

    kind: Literal["uniform", "log_uniform", "normal", "log_normal"]
    first: Figure
    second: Figure

    def __post_init__(self) -> None:
        for figure in (self.first, self.second):
            if not isinstance(figure, Figure):
                raise TypeError(f"a spread is made of figures that carry a basis, not of {figure!r}")
        if self.kind in ("uniform", "log_uniform") and self.second < self.first:
            raise ValueError(f"the upper bound {self.second} lies under the lower bound {self.first}")
        if self.kind in ("log_uniform", "log_normal") and self.first <= 0:
            raise ValueError("a logarithmic spread needs positive numbers")
        if self.kind == "normal" and self.second < 0:
            raise ValueError("a standard deviation is not negative")
        if self.kind == "log_normal" and self.second < 1:
            raise ValueError("a geometric standard deviation is at least 1")

    @property
    def basis(self) -> Basis:
        """The weaker basis of the two figures."""
        return weakest((self.first.basis, self.second.basis))

    @property
    def source(self) -> str:
        """The sources of both figures, each once."""
        return "; ".join(dict.fromkeys(s for s in (self.first.source, self.second.source) if s))

    def quantile(self, p: NDArray[np.float64]) -> NDArray[np.float64]:
        """The values under which a share ``p`` lies.

        Parameters
        ----------
        p : ndarray, any shape
            Probabilities strictly between 0 and 1.
        """
        if self.kind == "uniform":
            return float(self.first) + p * (float(self.second) - float(self.first))
        if self.kind == "log_uniform":
            return float(self.first) * (float(self.second) / float(self.first)) ** p
        z = np.array([_NORMAL.inv_cdf(v) for v in np.ravel(p)]).reshape(np.shape(p))
        if self.kind == "normal":
            return float(self.first) + z * float(self.second)
        return float(self.first) * float(self.second) ** z

    @property
    def median(self) -> float:
        """The middle value."""
        return float(self.quantile(np.array(0.5)))


def exactly(value: Figure) -> Spread:
    """No spread at all.  Raises TypeError for a number without a basis, as every spread does.

    >>> exactly(invented(95.0)).quantile(np.array([0.1, 0.9]))
    array([95., 95.])
    """
    return Spread("uniform", value, value)


def uniform(low: Figure, high: Figure) -> Spread:
    """Equally likely anywhere from ``low`` to ``high``.  Raises ValueError when ``high`` is the lower one.

    >>> uniform(from_memory(20.0), from_memory(30.0)).median
    25.0
    """
    return Spread("uniform", low, high)


def log_uniform(low: Figure, high: Figure) -> Spread:
    """Equally likely in every decade from ``low`` to ``high``.

    Raises ValueError when ``high`` is the lower one, or a bound is not positive.

    >>> round(log_uniform(from_memory(1e3), from_memory(1e5)).median)
    10000
    """
    return Spread("log_uniform", low, high)


def normal(mean: Figure, standard_deviation: Figure) -> Spread:
    """Normally distributed.  Raises ValueError for a negative standard deviation.

    >>> round(float(normal(from_memory(-16.0), from_memory(2.0)).quantile(np.array(0.975))), 2)
    -12.08
    """
    return Spread("normal", mean, standard_deviation)


def log_normal(median: Figure, geometric_standard_deviation: Figure) -> Spread:
    """The logarithm is normally distributed; 68 % lie within a factor of the second argument.

    Raises ValueError for a median that is not positive, or a factor under 1.

    >>> log_normal(from_memory(50.0), from_memory(2.0)).median
    50.0
    """
    return Spread("log_normal", median, geometric_standard_deviation)


def tolerance(nominal: Figure, fraction: Figure) -> Spread:
    """Equally likely within ``nominal`` plus or minus a fraction of it.

    Raises ValueError for a negative fraction or a negative nominal value.

    >>> spread = tolerance(common_practice(216.0), from_memory(0.1))
    >>> round(spread.first, 1), round(spread.second, 1)
    (194.4, 237.6)
    """
    how = f"{float(nominal):g} with a tolerance of {float(fraction):.3g} of it"
    basis = weakest((nominal.basis, fraction.basis))
    source = "; ".join(dict.fromkeys(s for s in (nominal.source, fraction.source, how) if s))
    low, high = float(nominal) * (1 - float(fraction)), float(nominal) * (1 + float(fraction))
    return Spread("uniform", Figure(low, basis, source), Figure(high, basis, source))
