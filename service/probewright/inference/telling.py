"""Outcomes in the words and numbers that a technician reads off a meter, under the conditions of a case."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import accumulate, pairwise
from math import floor, inf, isfinite, log10
from typing import NamedTuple

import numpy as np

from probewright.inference.compiled import Compiled
from probewright.inference.numeric import Predicted
from probewright.inference.reading_axis import ROOM, limits
from probewright.inference.situation import Situation
from probewright.packs.model import Test
from probewright.quantities.instruments import resolve
from probewright.quantities.units import convert, dimension_of_kind
from probewright_schemas.records import Limits

#: Significant digits of what is told.
_DIGITS = 3
#: A cut this near to a limit, as a share of it, is that limit.
_AT_LIMIT = 0.015
#: Rounding may move a number by this share of it.
_COARSE = 0.15
#: A prefix is used from ten times its own size on: 1083 ohm reads better than 1.083 kohm.
_PREFIXES = ((1e6, "M"), (1e4, "k"))
_SIZES = {"M": 1e6, "k": 1e3}
OVER_RANGE = "OL (over range)"


class Words(NamedTuple):
    """How the readings of a test are worded.

    ``over`` is from where the meter shows over range (infinite for never).  ``about`` is what readings are told as
    differences to (``"the set point"``), empty for none.  ``at`` is a condition under which the numbers hold.
    """

    unit: str
    over: float = inf
    about: str = ""
    at: str = ""


def labels(edges: Sequence[float], words: Words) -> tuple[str, ...]:
    """The outcomes between cuts.

    Parameters
    ----------
    edges : sequence of float
        Ascending, in the unit of ``words``.
    words : Words

    Returns
    -------
    tuple of str
        One more than there are edges.
    """
    shown = [edge for edge in edges if edge < words.over]
    ends_over = len(shown) < len(edges)
    if not shown:
        told = ["any value but OL" if ends_over else "any value"]
    elif words.about:
        told = _differences(shown, words)
    else:
        texts, unit = _same_prefix(shown, words.unit)
        between = [f"{a} to {b} {unit}" for a, b in pairwise(texts)]
        told = [f"under {texts[0]} {unit}", *between, f"over {texts[-1]} {unit}"]
        if isfinite(words.over) and not ends_over:
            told[-1] += " or OL"
    if words.at and shown:
        told = [f"{text} at {words.at}" for text in told]
    return (*told, OVER_RANGE) if ends_over else tuple(told)


def _same_prefix(edges: Sequence[float], unit: str) -> tuple[list[str], str]:
    """Numbers as text with one unit for all; ohms with a prefix where they are many."""
    prefix = ""
    if unit == "ohm":
        prefix = next((name for size, name in _PREFIXES if max(map(abs, edges)) >= size), "")
    numbers = [edge / _SIZES.get(prefix, 1.0) for edge in edges]
    decimals = max(_decimals(number) for number in numbers)
    return [f"{number:.{decimals}f}" for number in numbers], f"{prefix}{unit}"


def _decimals(value: float) -> int:
    """Digits after the point that a number needs."""
    return len(_number(value).partition(".")[2])


def _number(value: float) -> str:
    """A number without exponent, and without digits after the point that say nothing."""
    text = f"{value:.10f}".rstrip("0").rstrip(".")
    return text if text not in ("-0", "") else "0"


def _differences(edges: Sequence[float], words: Words) -> list[str]:
    """Outcomes told from a value that readings are compared with; kelvin where that is a temperature."""
    unit = "K" if words.unit == "degC" else words.unit

    def place(edge: float) -> str:
        way = "under" if edge < 0 else "over"
        return f"{_number(abs(edge))} {unit} {way} {words.about}" if edge else words.about

    first = f"more than {place(edges[0])}" if edges[0] < 0 else f"under {place(edges[0])}"
    last = f"more than {place(edges[-1])}" if edges[-1] > 0 else f"over {place(edges[-1])}"
    return [first, *(_between(a, b, unit, words.about, place) for a, b in pairwise(edges)), last]


def _between(a: float, b: float, unit: str, about: str, place: Callable[[float], str]) -> str:
    if a == -b:
        return f"within {_number(b)} {unit} of {about}"
    if b <= 0 and a < 0:
        return f"{_number(-a)} to {_number(-b)} {unit} under {about}"
    if a >= 0 and b > 0:
        return f"{_number(a)} to {_number(b)} {unit} over {about}"
    if a < 0 < b:
        return f"from {_number(-a)} {unit} under to {place(b)}"
    return f"{place(a)} to {place(b)}"


def together(numbers: Sequence[float], digits: int = _DIGITS) -> list[float]:
    """Numbers rounded to the decimals that the greatest has with so many digits; small ones keep two digits."""
    greatest = max((abs(number) for number in numbers), default=0.0)
    decimals = digits - 1 - floor(log10(greatest)) if greatest > 0 else 0
    found = []
    for number in numbers:
        coarse = round(number, decimals)
        found.append(coarse if abs(coarse - number) <= _COARSE * abs(number) else rounded(number, 2))
    return found


def rounded(value: float, digits: int = _DIGITS) -> float:
    """A number with so many significant digits."""
    if value == 0 or not isfinite(value):
        return value
    return round(value, digits - 1 - floor(log10(abs(value))))


def told(
    compiled: Compiled, test: Test, edges: Sequence[float], situation: Situation | None = None,
    sheet: Limits | None = None,
) -> tuple[str, ...]:  # fmt: skip
    """What a measured test's outcomes are under the conditions of a case.

    Readings that follow a supply voltage that is known are told for it.  Limits of a technical sheet stand in for
    the healthy limits that cuts were made at, and move the others as far as they move readings (see
    :func:`~probewright.inference.likelihood.onto_model_scale`).  What needs the temperature is told for the one that
    is known, or says for which it holds.

    Parameters
    ----------
    compiled : Compiled
        A build that has the test.
    test : Test
    edges : sequence of float
        Some or all of its cuts, ascending, as its outcome table has them.
    situation : Situation or None
        What is known of the case's conditions; None for nothing.
    sheet : Limits or None
        The case's own limits of this test.

    Returns
    -------
    tuple of str
        One more than there are edges.
    """
    scale = _Scale(compiled, test, situation or Situation(), by_sheet=sheet is not None)
    shown = [edge + scale.shift for edge in edges if edge < scale.over]
    if sheet is not None and not scale.about:
        shown = together(_by_sheet(shown, scale, test, sheet))
    elif scale.shift:
        shown = [float(round(edge)) for edge in shown]
    if scale.factor != 1.0:
        shown = together([edge * scale.factor for edge in shown])
    # Rounding may not turn the order of two cuts round.
    numbers = [*accumulate(shown, max), *(edge for edge in edges if edge >= scale.over)]
    return labels(numbers, Words(str(test.unit), scale.over, scale.about, scale.at))


class _Scale:
    """How the numbers of a test change with the conditions of a case.

    ``by_sheet``: a technical sheet's limits are the healthy ones whatever the temperature.
    """

    def __init__(self, compiled: Compiled, test: Test, situation: Situation, *, by_sheet: bool) -> None:
        model = compiled.numeric(test.id).model
        meter = resolve(None, test.kind)
        self.over = meter.maximum_resistance if test.kind == "resistance" else inf
        self.factor, self.shift, self.about, self.at = 1.0, 0.0, "", ""
        self.healthy = limits(test, compiled.configuration)

        def predicted(at: Situation) -> Predicted:
            return compiled.numeric(test.id).predict(at, meter.input_impedance, meter.maximum_resistance)

        if self.healthy == (None, None):
            usual = predicted(Situation(ambient=float(ROOM), set_point=0.0))
            self.healthy = usual.low, usual.high
        # What measures the supply is compared with the usual one: see checking.
        if model.scales_with_supply and situation.supply is not None and not test.measures:
            self.factor = situation.supply / float(compiled.family.supply.nominal)
        if model.relative_to == "set_point":
            self.about = "" if situation.set_point is not None else "the set point"
            self.shift = situation.set_point or 0.0
        elif model.relative_to == "ambient":
            self.about = "" if situation.ambient is not None else "the surroundings"
            self.shift = 0.0 if situation.ambient is None else situation.ambient
        elif "ambient" in test.needs:
            ambient = float(ROOM) if situation.ambient is None else situation.ambient
            self.at = f"{rounded(ambient):g} degC"
            if model.feels_temperature and ambient != float(ROOM) and not by_sheet:
                here, room = (predicted(Situation(ambient=t)).values[0] for t in (ambient, float(ROOM)))
                self.factor = float(np.median(here) / np.median(room))


def _by_sheet(edges: Sequence[float], scale: _Scale, test: Test, sheet: Limits) -> list[float]:
    """Where a technical sheet moves cuts: straight lines through zero and the healthy limits, to the sheet's.

    A cut at a healthy limit becomes the sheet's limit itself.
    """
    dimension = dimension_of_kind(test.kind)
    knots, named = [(0.0, 0.0)], {}
    for healthy, given in zip(scale.healthy, (sheet.low, sheet.high), strict=True):
        if healthy is not None and given is not None:
            own, healthy_here = convert(given, sheet.unit, str(test.unit), dimension), healthy + scale.shift
            named[healthy_here] = own
            if healthy_here > knots[-1][0] and own > knots[-1][1]:
                knots.append((healthy_here, own))
    return [_moved(edge, knots, named) for edge in edges]


def _moved(edge: float, knots: Sequence[tuple[float, float]], named: Mapping[float, float]) -> float:
    for healthy, own in named.items():
        if abs(healthy - edge) <= _AT_LIMIT * abs(healthy):
            return own
    (*_, (last, to_last)) = knots
    if not last:
        return edge
    if edge > last:
        return edge * to_last / last
    at, to = zip(*knots, strict=True)
    return float(np.interp(edge, at, to))
