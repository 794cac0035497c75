"""What all readings have in common that one meter takes of one test, in one unit and state: looked up once.

Most readings are plain: one number and its unit, over or under range, or what was seen, under the case's own
conditions.  Of these only the number is looked at; whatever is not plain, or not sound, is left to be taken in with
care, and told about.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from functools import lru_cache
from math import inf

from probewright.errors import RequestError
from probewright.inference.prepared import Prepared
from probewright.inference.situation import Situation
from probewright.packs.model import Test
from probewright.quantities.instruments import Instrument, resolve
from probewright.quantities.units import ABSOLUTE_ZERO_C, UnitEntry, dimension_of_kind, unit_of
from probewright_schemas.limits import LARGEST_NUMBER
from probewright_schemas.records import Case, Meter, Reading

#: Meters that are remembered for one family, and what is remembered of each.
_MOST_METERS, _MOST_GAUGES = 64, 512


@dataclass(frozen=True, slots=True)
class Gauge:
    """One meter at one test, in one unit and state.

    Attributes
    ----------
    test : Test
    instrument : Instrument
    leads, off : float
        What the leads add, in ohm and in the test's unit.
    own : UnitEntry or None
        The test's unit; None where it is seen.
    given : UnitEntry or None
        The unit of the reading, where it gives one.
    least : float
        What is less is no number of this kind, in the canonical unit.
    """

    test: Test
    instrument: Instrument
    leads: float = 0.0
    off: float = 0.0
    own: UnitEntry | None = None
    given: UnitEntry | None = None
    least: float = -inf

    def take(
        self, index: int, reading: Reading, situation: Situation, given_by: Mapping[str, str], stretch: int,
    ) -> Prepared | None:  # fmt: skip
        """Take a plain reading in; None where it is not sound."""
        if self.own is None:
            if reading.seen not in self.test.outcomes:
                return None
            return Prepared(
                index, reading, self.test, self.instrument, situation, given_by, leads=self.leads, stretch=stretch
            )
        if reading.seen is not None:
            return None
        if reading.over_range or reading.under_range:
            return Prepared(
                index, reading, self.test, self.instrument, situation, given_by,
                "over" if reading.over_range else "under", 0.0, self.instrument.resolution / self.own.factor,
                self.leads, stretch=stretch,
            )  # fmt: skip
        return self._number(index, reading, situation, given_by, stretch)

    def _number(
        self, index: int, reading: Reading, situation: Situation, given_by: Mapping[str, str], stretch: int,
    ) -> Prepared | None:  # fmt: skip
        value, given, own = reading.value, self.given, self.own
        if given is None or own is None or type(value) is not float or not abs(value) <= LARGEST_NUMBER:
            return None
        canonical = value * given.factor + given.offset
        if canonical < self.least:
            return None
        deviation = self.instrument.standard_uncertainty(canonical) / own.factor
        return Prepared(
            index, reading, self.test, self.instrument, situation, given_by, "value",
            (canonical - own.offset) / own.factor - self.off, deviation, self.leads, 0.0, deviation, stretch, None,
            self.off,
        )  # fmt: skip


def gauge(test: Test, meter: Meter | None, unit: str | None) -> Gauge | None:
    """What readings of a test in a unit have in common; None where something about them does not fit.

    Parameters
    ----------
    meter : Meter or None
        The usual one of the test's kind where nobody named one.
    """
    try:
        instrument = resolve(meter, test.kind)
        leads = instrument.lead_offset if test.kind in ("resistance", "continuity") else 0.0
        if test.outcomes:
            return Gauge(test, instrument, leads)
        dimension = dimension_of_kind(test.kind)
        own = unit_of(str(test.unit), dimension)
        given = None if unit is None else unit_of(unit, dimension)
    except RequestError:
        return None
    least = ABSOLUTE_ZERO_C if dimension == "temperature" else -inf
    return Gauge(test, instrument, leads, leads / own.factor, own, given, least)


class _OfMeter:
    """The gauges of one meter, as they are asked for."""

    def __init__(self, tests: Mapping[str, Test], states: Collection[str], meter: Meter | None) -> None:
        self._tests, self._states, self._meter = tests, states, meter
        self._kept: dict[tuple[str, str | None, str | None], Gauge] = {}

    def gauge(self, test: str, unit: str | None, state: str | None) -> Gauge | None:
        """What readings of a test in a unit and a state have in common; None where anything of them does not fit."""
        key = test, unit, state
        found = self._kept.get(key)
        if found is None and test in self._tests and (state is None or state in self._states):
            found = gauge(self._tests[test], self._meter, unit)
            if found is not None:
                if len(self._kept) >= _MOST_GAUGES:
                    self._kept.clear()
                self._kept[key] = found
        return found


CaseGauges = Mapping[str | None, _OfMeter]
"""The gauges of a case's meters by the names that its readings use; None is of no meter."""


class Gauges:
    """The gauges of a family, bounded."""

    def __init__(self, tests: Mapping[str, Test], states: Collection[str]) -> None:
        self._of = lru_cache(maxsize=_MOST_METERS)(lambda meter: _OfMeter(tests, states, meter))

    def of_case(self, case: Case) -> CaseGauges:
        """Those of a case."""
        found: dict[str | None, _OfMeter] = {name: self._of(meter) for name, meter in case.meters.items()}
        found[None] = self._of(None)
        return found
