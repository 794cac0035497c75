"""A case's readings made ready: units converted, meters resolved, conditions found."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import sqrt
from types import MappingProxyType

from probewright.circuit.measure import COLDEST, HOTTEST
from probewright.inference.gauges import CaseGauges
from probewright.inference.ids import Faults, Vocabulary, escaped
from probewright.inference.prepared import IMPLAUSIBLE, Prepared, repairs_before
from probewright.inference.situation import Situation
from probewright.inference.supplies import as_condition, known_by, measured_by
from probewright.packs.model import Family, Supply, Test
from probewright.quantities.correction import CorrectionError, LinearCorrection, linear
from probewright.quantities.instruments import Instrument, MeterError, resolve
from probewright.quantities.units import (
    canonical_unit,
    convert,
    dimension_of_kind,
    number,
    to_canonical,
    unit_of,
)  # fmt: skip
from probewright_schemas.records import Case, Conditions, Correction, Limits, Meter, Quantity, Reading

#: degC at a part that this service can speak of.
_TEMPERATURES = (COLDEST, HOTTEST)
_NOTHING: Mapping[str, float] = MappingProxyType({})
_CONDITION_UNITS = {
    "ambient": ("degC", "temperature"), "supply_voltage": ("V", "voltage"), "set_point": ("degC", "temperature"),
}  # fmt: skip


def prepare(case: Case, vocabulary: Vocabulary) -> list[Prepared]:
    """Make a case's readings ready.

    Raises
    ------
    InvalidCase
        Naming every unknown id, unit and mismatch between a test and what was given for it.
    """
    faults, family, tests = Faults(), vocabulary.family, vocabulary.tests
    vocabulary.check(case, faults)
    for name, meter in case.meters.items():
        _resolved(meter, "seen", f"/meters/{escaped(name)}", "", faults)
    conditions = _conditions(case.conditions, "/conditions", faults)
    for name, limits in case.tech_sheet.items():
        if name in tests:
            _check_limits(tests[name], limits, f"/tech_sheet/{escaped(name)}", faults)
    ready, situations = [], _Situations(case, family, conditions)
    gauges = vocabulary.gauges.of_case(case)
    for i, reading in enumerate(case.readings):
        prepared = _plain(case, i, reading, gauges, situations)
        if prepared is None:
            prepared = _with_care(case, i, vocabulary, situations, faults)
        if prepared is not None:
            ready.append(prepared)
    faults.raise_if_any()
    ready += _supply_as_reading(case, vocabulary, ready)
    if "supply_voltage" not in conditions:
        _take_measured_supply(ready, family.supply, case.options)
    return ready


def _plain(case: Case, i: int, reading: Reading, gauges: CaseGauges, situations: _Situations) -> Prepared | None:
    """A reading without anything of its own, or None."""
    own = gauges.get(reading.meter)
    if own is None or reading.conditions is not None or reading.values is not None or reading.correction is not None:
        return None
    gauge = own.gauge(reading.test, reading.unit, reading.state)
    if gauge is None:
        return None
    situation, given_by = situations.of(gauge.test, _NOTHING)
    return gauge.take(i, reading, situation, given_by, repairs_before(case, reading) if case.repairs_done else 0)


def _with_care(
    case: Case, i: int, vocabulary: Vocabulary, situations: _Situations, faults: Faults,
) -> Prepared | None:  # fmt: skip
    """A reading of any kind; what is wrong with it is noted."""
    name = case.readings[i].test
    if name not in vocabulary.tests:
        faults.unknown(f"/readings/{i}/test", "test", name, vocabulary.tests)
        return None
    begun = _begin(case, vocabulary, i, situations, faults)
    return None if begun is None else _finish(begun, faults)


class _Situations:
    """The conditions of a case's readings, on the scale of the family's supply."""

    def __init__(self, case: Case, family: Family, conditions: Mapping[str, float]) -> None:
        self._options, self._supply, self._conditions = case.options, family.supply, conditions
        self._of_case: dict[str, tuple[Situation, Mapping[str, str]]] = {}

    def of(self, test: Test, own: Mapping[str, float]) -> tuple[Situation, Mapping[str, str]]:
        """The conditions of a reading of a test, ``own`` those that it brings itself, and where each is from."""
        if own:
            return self._made(test, own)
        # Only a test that tells how the appliance is built sees the supply otherwise than the others.
        key = test.id if self._supply.taps and test.when else ""
        found = self._of_case.get(key)
        if found is None:
            found = self._of_case[key] = self._made(test, own)
        return found

    def _made(self, test: Test, own: Mapping[str, float]) -> tuple[Situation, Mapping[str, str]]:
        merged = {**self._conditions, **own}
        given_by = {name: "reading" if name in own else "case" for name in merged}
        volts = merged.get("supply_voltage")
        if volts is not None:
            volts = as_condition(volts, self._supply, known_by(test, self._options))
            if volts is None:  # what nothing works under is no condition
                given_by["supply_voltage"] = IMPLAUSIBLE
        return Situation(volts, merged.get("ambient"), merged.get("set_point")), given_by


def plausible_supply(case: Case, family: Family) -> float | None:
    """The case's own supply voltage on the family's scale, where it is one that an appliance can work under."""
    given = case.conditions.supply_voltage
    volts = None if given is None else convert(given.value, given.unit, "V", "voltage")
    return None if volts is None else as_condition(volts, family.supply, case.options)


def _resolved(meter: Meter | None, kind: str, of_meter: str, of_reading: str, faults: Faults) -> Instrument | None:
    """Resolve a meter; what is wrong with it is pointed at once, what it cannot measure at each reading."""
    try:
        return resolve(meter, kind)
    except MeterError as refusal:
        pointer = of_reading if of_reading and refusal.field == "kind" else f"{of_meter}/{refusal.field}"
        if all(fault.pointer != pointer for fault in faults.found):
            faults.add(pointer, str(refusal), refusal.code)
        return None


def _check_limits(test: Test, limits: Limits, pointer: str, faults: Faults) -> None:
    """Limits must be of what the test measures, and the right way round."""
    if test.outcomes:
        faults.add(pointer, f"test {test.id!r} is seen, not measured: it has no limits", "not_measured")
        return
    dimension = dimension_of_kind(test.kind)
    given = [value for value in (limits.low, limits.high) if value is not None]
    found = [faults.guard(f"{pointer}/unit", _canonical, value, limits.unit, dimension) for value in given]
    if not given:
        faults.add(pointer, "give 'low', 'high' or both", "no_limits")
    elif limits.low is not None and limits.high is not None and None not in found and limits.low > limits.high:
        told = f"the lower limit {limits.low:g} lies above the upper limit {limits.high:g}"
        faults.add(pointer, told, "crossed_limits")


def _begin(
    case: Case, vocabulary: Vocabulary, i: int, situations: _Situations, faults: Faults,
) -> Prepared | None:  # fmt: skip
    """Resolve state, meter and conditions of one reading."""
    reading = case.readings[i]
    test, states = vocabulary.tests[reading.test], vocabulary.states
    if reading.state is not None and reading.state not in states:
        faults.unknown(f"/readings/{i}/state", "state", reading.state, states, list_them=True)
    instrument = _instrument(case, reading, test, i, faults)
    own = _conditions(reading.conditions, f"/readings/{i}/conditions", faults) if reading.conditions else {}
    if instrument is None:
        return None
    situation, given_by = situations.of(test, own)
    leads = instrument.lead_offset if test.kind in ("resistance", "continuity") else 0.0
    stretch = repairs_before(case, reading) if case.repairs_done else 0
    return Prepared(i, reading, test, instrument, situation, given_by, leads=leads, stretch=stretch)


def _instrument(case: Case, reading: Reading, test: Test, i: int, faults: Faults) -> Instrument | None:
    if reading.meter is None:
        return resolve(None, test.kind)  # the usual one of its kind, which makes such a test
    if reading.meter not in case.meters:
        faults.unknown(f"/readings/{i}/meter", "meter", reading.meter, case.meters)
        return None
    of_meter = f"/meters/{escaped(reading.meter)}"
    return _resolved(case.meters[reading.meter], test.kind, of_meter, f"/readings/{i}/meter", faults)


def _finish(begun: Prepared, faults: Faults) -> Prepared | None:
    """Take in what was read or seen."""
    test, reading, pointer = begun.test, begun.reading, f"/readings/{begun.index}"
    if reading.correction is not None and reading.value is None and reading.values is None:
        faults.add(f"{pointer}/correction", "is of a number, and there is none", "exclusive")
        return None
    if test.outcomes:
        if reading.seen in test.outcomes:
            return begun
        if reading.seen is not None:
            faults.unknown(f"{pointer}/seen", "outcome", reading.seen, test.outcomes, list_them=True)
        else:
            told = f"test {test.id!r} is seen, not measured: give 'seen', one of {', '.join(test.outcomes)}"
            faults.add(pointer, told, "not_measured")
        return None
    if reading.seen is not None:
        told = f"test {test.id!r} is measured in {test.unit}: give 'value' and 'unit', or 'over_range'"
        faults.add(f"{pointer}/seen", told, "not_seen")
        return None
    if reading.over_range or reading.under_range:
        factor = unit_of(str(test.unit), dimension_of_kind(test.kind)).factor
        begun.event, begun.uncertainty = "over" if reading.over_range else "under", begun.instrument.resolution / factor
        return begun
    return _measured(begun, dimension_of_kind(test.kind), faults)


def _measured(begun: Prepared, dimension: str, faults: Faults) -> Prepared | None:
    """Take in numbers of any form, and note everything that is wrong with them."""
    reading, pointer = begun.reading, f"/readings/{begun.index}"
    values = reading.values if reading.values is not None else (() if reading.value is None else (reading.value,))
    if not values or reading.unit is None:
        faults.add(pointer, "give 'value' (or 'values') and 'unit', 'over_range' or 'under_range'", "no_result")
        return None
    if faults.guard(f"{pointer}/unit", unit_of, reading.unit, dimension) is None:
        return None
    repeated = reading.values is not None
    places = [f"{pointer}/values/{i}" if repeated else f"{pointer}/value" for i in range(len(values))]
    found = [
        faults.guard(place, _canonical, value, reading.unit, dimension)
        for place, value in zip(places, values, strict=True)
    ]
    canonical = [value for value in found if value is not None]
    if len(canonical) != len(values):
        return None
    if reading.correction is None:
        return _evaluated(begun, canonical)
    correction = _correction(reading.correction, canonical, dimension, f"{pointer}/correction", faults)
    return None if correction is None else _evaluated(begun, canonical, correction)


def _correction(
    given: Correction, canonical: Sequence[float], dimension: str, pointer: str, faults: Faults,
) -> LinearCorrection | None:  # fmt: skip
    try:
        correction = linear(given, dimension)
    except CorrectionError as refusal:
        faults.add(f"{pointer}/{refusal.field}", str(refusal), refusal.code)
        return None
    # What is colder than can be was refused as it was shown; a correction may take it there, too.
    unit, coldest = canonical_unit(dimension), min(map(correction.apply, canonical))
    found = faults.guard(pointer, to_canonical, coldest, unit, dimension)
    return None if found is None else correction


def _canonical(value: float, unit: str, dimension: str) -> float:
    return to_canonical(number(value), unit, dimension)


def _evaluated(
    begun: Prepared, canonical: Sequence[float], correction: LinearCorrection | None = None,
) -> Prepared:  # fmt: skip
    """Fill in the mean of the values, in the test's unit, corrected and without the leads.

    The leads are taken off last: their resistance is real, and what the meter showed of it was as wrong as all else.
    """
    entry = unit_of(str(begun.test.unit), dimension_of_kind(begun.test.kind))
    leads, instrument = begun.leads / entry.factor, begun.instrument
    begun.off = leads
    result = instrument.evaluate(canonical)
    own = result.standard_uncertainty if result.n == 1 else instrument.standard_uncertainty(result.mean)
    begun.own = own / entry.factor
    if correction is not None:
        begun.as_read = (result.mean - entry.offset) / entry.factor - leads
        begun.own = correction.of_one(instrument, result.mean) / entry.factor
        result = correction.evaluate(instrument, canonical)
    begun.event = "value"
    begun.value = (result.mean - entry.offset) / entry.factor - leads
    begun.uncertainty = result.standard_uncertainty / entry.factor
    begun.scatter = result.type_a * sqrt(result.n) / entry.factor
    return begun


def _conditions(conditions: Conditions, pointer: str, faults: Faults) -> dict[str, float]:
    """The conditions given, in V and degC."""
    found = {}
    for name, (unit, dimension) in _CONDITION_UNITS.items():
        quantity: Quantity | None = getattr(conditions, name)
        if quantity is not None:
            value = faults.guard(f"{pointer}/{name}", convert, quantity.value, quantity.unit, unit, dimension)
            if value is not None:
                found[name] = value
    if found.get("supply_voltage", 0.0) < 0:
        faults.add(f"{pointer}/supply_voltage", "a supply voltage is not negative")
    low, high = _TEMPERATURES
    for name in ("ambient", "set_point"):
        if not low <= found.get(name, low) <= high:
            faults.add(f"{pointer}/{name}", f"{found[name]:g} degC is out of range: from {low:g} to {high:g} degC")
    return found


def _supply_as_reading(case: Case, vocabulary: Vocabulary, ready: Sequence[Prepared]) -> list[Prepared]:
    """The case's supply voltage as a reading of the test that measures it, unless that was read anyway."""
    given = case.conditions.supply_voltage
    if given is None or any(p.test.measures for p in ready):
        return []
    volts = convert(given.value, given.unit, "V", "voltage")
    test = measured_by(volts, vocabulary.of_supply, vocabulary.family.supply, case.options)
    if test is None:
        return []
    reading = Reading(test.id, given.value, unit=given.unit)
    return [_evaluated(Prepared(-1, reading, test, resolve(None, test.kind), Situation(), {}), [volts])]


def _take_measured_supply(ready: Sequence[Prepared], supply: Supply, options: Mapping[str, str]) -> None:
    """Where nobody gave the supply voltage, take it from the last reading that measured it.

    Since the same repair, or before it, or after it where nobody measured it in time: a repair may have mended it.
    """
    read = [p for p in ready if p.test.measures == "supply_voltage" and p.event == "value"]
    scaled = [(p, as_condition(p.value, supply, known_by(p.test, options))) for p in read]
    measured = [(p, volts) for p, volts in scaled if volts is not None]
    if not measured:
        return
    measured.sort(key=lambda pair: pair[0].stretch)  # stable, so the last of each stretch stays last
    for prepared in ready:
        if prepared.situation.supply is None and "supply_voltage" not in prepared.given_by:
            in_time = [pair for pair in measured if pair[0].stretch <= prepared.stretch]
            source, volts = in_time[-1] if in_time else measured[0]
            prepared.situation = prepared.situation._replace(supply=volts)
            prepared.given_by = {**prepared.given_by, "supply_voltage": source.test.id}
