"""From what a case says of a meter to all that the engine needs of it, with every assumption named."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Literal

from probewright.errors import RequestError
from probewright.figures import Figure, weakest
from probewright.quantities.instrument_defaults import (
    CONTACT_VARIATION,
    LOW_IMPEDANCE,
    METERS,
    USUAL_METER,
    Accuracy,
    Electrical,
    MeterDefaults,
)
from probewright.quantities.instrument_record import Instrument
from probewright.quantities.units import UnitError, accepted, canonical_unit, convert, dimension_of_kind, to_canonical
from probewright_schemas.records import Meter, Quantity

__all__ = ["METER_KINDS", "Instrument", "MeterError", "resolve"]

#: Every kind of meter that a case may name.
METER_KINDS: tuple[str, ...] = tuple(METERS)

_OHMS = ("resistance", "continuity")
_PREFIXES = ((1e9, "G"), (1e6, "M"), (1e3, "k"), (1.0, ""), (1e-3, "m"), (1e-6, "u"), (1e-9, "n"), (1e-12, "p"))
_PREFIXED = ("ohm", "V", "A", "F")


class MeterError(RequestError):
    """A meter that cannot be what it is said to be: ``field`` of the meter is to be mended, ``known`` would do."""

    code = "bad_meter"

    def __init__(self, field: str, message: str, known: Sequence[str] = ()) -> None:
        self.field, self.known = field, tuple(known)
        super().__init__(message)


@lru_cache(maxsize=1024)
def resolve(meter: Meter | None, test_kind: str) -> Instrument:
    """Complete a meter for one kind of test.

    Parameters
    ----------
    meter : Meter or None
        What the case says of it; None when the reading names no meter.
    test_kind : str
        A ``TestKind`` of the pack's model.

    Raises
    ------
    MeterError
        For an unknown kind of meter, one that makes no such test, or a value that no meter has.
    ValueError
        For an unknown kind of test.
    """
    if test_kind not in USUAL_METER:
        raise ValueError(f"unknown kind of test {test_kind!r}; one of {', '.join(USUAL_METER)}")
    said = meter if meter is not None else Meter(USUAL_METER[test_kind])
    defaults = METERS.get(said.kind)
    if defaults is None:
        raise MeterError("kind", f"unknown kind of meter {said.kind[:40]!r}; one of {', '.join(METERS)}", METER_KINDS)
    if test_kind == "seen":
        return Instrument(said.kind, test_kind)
    accuracy = defaults.accuracy.get(test_kind)
    if accuracy is None:
        able = [k for k, d in METERS.items() if test_kind in d.accuracy]
        raise MeterError("kind", f"a test of {test_kind} is made with {_any(able)}, not with {said.kind!r}", able)
    builder = _Builder(said, test_kind, defaults)
    if meter is None:
        builder.assumed.append(f"No meter was named: a {defaults.title} is assumed.")
    return builder.build(accuracy)


def _any(names: Sequence[str]) -> str:
    return " or ".join(map(repr, names))


class _Builder:
    """Fills a meter's gaps and writes down what it filled in; lives for one call."""

    def __init__(self, meter: Meter, test_kind: str, defaults: MeterDefaults) -> None:
        self.meter, self.test_kind, self.defaults = meter, test_kind, defaults
        self.dimension = dimension_of_kind(test_kind)
        self.unit = canonical_unit(self.dimension)
        self.assumed: list[str] = []

    def build(self, accuracy: Accuracy) -> Instrument:
        percent, counts = self._accuracy(accuracy)
        resolution, display_counts = self._resolution(accuracy)
        if self.defaults.electrical is None:
            return Instrument(
                self.meter.kind, self.test_kind, self.unit, percent, counts, resolution, display_counts,
                assumed=tuple(self.assumed),
            )  # fmt: skip
        return self._electrical(self.defaults.electrical, percent, counts, resolution, display_counts)

    def _electrical(
        self, electrical: Electrical, percent: float, counts: float, resolution: float, display_counts: float | None
    ) -> Instrument:
        lead_resistance, zeroed, lead_half_width = self._leads(electrical.lead_resistance)
        return Instrument(
            self.meter.kind, self.test_kind, self.unit, percent, counts, resolution, display_counts,
            lead_resistance, zeroed, lead_half_width, self._input(electrical.input_impedance), self._sensing(),
            self._beeper(electrical.beeper_threshold), self._maximum(electrical.maximum_resistance),
            tuple(self.assumed),
        )  # fmt: skip

    def _assume(self, kinds: tuple[str, ...], text: str, *figures: Figure) -> None:
        """Note an assumption if it matters to this kind of test, with the weakest basis of its figures."""
        if self.test_kind in kinds:
            self.assumed.append(f"{text} ({weakest(f.basis for f in figures).replace('_', ' ')}).")

    def _accuracy(self, default: Accuracy) -> tuple[float, float]:
        percent, counts = self.meter.percent_of_reading, self.meter.counts
        parts: list[str] = []
        figures: list[Figure] = []
        if percent is None:
            percent = float(default.percent)
            parts.append(f"{percent:g} % of reading")
            figures.append(default.percent)
        if counts is None:
            counts = float(default.counts)
            parts.append(f"{counts:g} counts")
            figures.append(default.counts)
        _check("percent_of_reading", 0.0 <= percent <= 100.0, "must lie between 0 and 100")
        _check("counts", 0.0 <= counts < math.inf, "must be 0 or more")
        if parts:
            text = f"Accuracy of the {self.defaults.title} on {self.test_kind}: {' and '.join(parts)} assumed"
            self._assume((self.test_kind,), text, *figures)
        return percent, counts

    def _resolution(self, default: Accuracy) -> tuple[float, float | None]:
        given = self._given_resolution()
        if given is not None:
            return given, None
        digit = _readable(float(default.resolution), "K" if self.dimension == "temperature" else self.unit)
        text = f"Display of the {self.defaults.title}: last digit {digit}"
        figures = [default.resolution]
        counts = default.display_counts
        if counts is not None:
            text += f" on its lowest range, {float(counts):g} counts a range"
            figures.append(counts)
        self._assume((self.test_kind,), f"{text} assumed", *figures)
        return float(default.resolution), None if counts is None else float(counts)

    def _given_resolution(self) -> float | None:
        """The stated resolution, unless it is that of another function of the same meter."""
        quantity = self.meter.resolution
        if quantity is None:
            return None
        dimension = "temperature_difference" if self.dimension == "temperature" else self.dimension
        try:
            value = to_canonical(quantity.value, quantity.unit, dimension)
        except UnitError as error:
            if {dimension_of_kind(k) for k in self.defaults.accuracy}.intersection(error.belongs_to):
                return None
            raise MeterError("resolution", str(error), error.accepted) from error
        except RequestError as error:
            raise MeterError("resolution", str(error)) from error
        _check("resolution", 0.0 < value < math.inf, "must be more than 0")
        return value

    def _leads(self, default: Figure) -> tuple[float, bool, float]:
        """Resistance, whether zeroed, and the half-width of the doubt: all of it when it is merely assumed."""
        given = _ohms("lead_resistance", self.meter.lead_resistance)
        zeroed = self.meter.leads_zeroed
        ohms = float(default) if given is None else given
        half_width = float(CONTACT_VARIATION)
        if given is None and not zeroed:
            half_width = max(half_width, ohms)
            self._assume(_OHMS, f"Test leads of {ohms:g} ohm assumed", default)
        if zeroed is None:
            self._assume(_OHMS, "Test leads assumed not to have been zeroed", default)
        self._assume(_OHMS, f"Probe contact assumed to vary by {float(CONTACT_VARIATION):g} ohm", CONTACT_VARIATION)
        return ohms, bool(zeroed), half_width if self.test_kind in _OHMS else 0.0

    def _input(self, high: Figure) -> float:
        given = _ohms("input_impedance", self.meter.input_impedance)
        if given is not None:
            _check("input_impedance", given > 0.0, "must be more than 0")
            return given
        low = self.meter.input == "low_impedance"
        default = LOW_IMPEDANCE if low else high
        text = f"{'Low' if low else 'High'} input impedance of {_readable(float(default), 'ohm')} assumed"
        self._assume(("voltage",), text, default)
        return float(default)

    def _sensing(self) -> Literal["true_rms", "average"]:
        if self.meter.sensing is not None:
            return self.meter.sensing
        if self.test_kind in ("voltage", "current"):
            self.assumed.append("True-rms sensing assumed; on a sine wave both kinds read alike.")
        return "true_rms"

    def _beeper(self, default: Figure) -> float:
        given = _ohms("beeper_threshold", self.meter.beeper_threshold)
        if given is not None:
            return given
        self._assume(("continuity",), f"Beeper assumed to sound below {float(default):g} ohm", default)
        return float(default)

    def _maximum(self, default: Figure) -> float:
        given = _ohms("maximum_resistance", self.meter.maximum_resistance)
        if given is not None:
            _check("maximum_resistance", given > 0.0, "must be more than 0")
            return given
        text = f"Largest resistance shown before an over-range: {_readable(float(default), 'ohm')} assumed"
        self._assume(_OHMS, text, default)
        return float(default)


def _ohms(field: str, quantity: Quantity | None) -> float | None:
    """A resistance of the meter in ohm."""
    if quantity is None:
        return None
    try:
        value = to_canonical(quantity.value, quantity.unit, "resistance")
    except RequestError as error:
        raise MeterError(field, str(error), accepted("resistance")) from error
    _check(field, 0.0 <= value < math.inf, "must be 0 or more")
    return value


def _readable(value: float, unit: str) -> str:
    """A number as a meter would show it: with a prefix, and a pressure as a gauge in the trade has it."""
    if unit == "Pa":
        return f"{convert(value, 'Pa', 'inH2O', 'pressure'):.3g} inH2O"
    if unit not in _PREFIXED or 0.009 < value < 1000.0:
        return f"{value:.3g} {unit}"
    # The slack keeps 1e-11 and its like, which no float hits exactly, under the prefix that they round to.
    factor, prefix = next((p for p in _PREFIXES if value >= p[0] * 0.999), _PREFIXES[-1])
    return f"{value / factor:.3g} {prefix}{unit}"


def _check(field: str, holds: bool, rule: str) -> None:
    if not holds:
        raise MeterError(field, f"{field.replace('_', ' ')} {rule}")
