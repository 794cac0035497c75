"""Numbers that do not fit their unit, and limits that do not fit their model.

The ranges are wide on purpose: a number outside one is hardly ever meant in the unit that its field asks for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import inf

import numpy as np

from probewright.circuit.laws import Capacitance, Resistance, SelfHeating, Thermistor, Winding
from probewright.circuit.parts import Part, Source, holds
from probewright.figures import Figure, Spread, from_memory
from probewright.inference.reading_axis import Axis
from probewright.packs.model import Closing, Family, Limit, Stated, Test
from probewright.quantities.units import dimension_of_kind, unit_of
from probewright.review.catalogue import remark
from probewright.review.remark import Remark
from probewright.review.subject import BuildView, Subject

Range = tuple[Figure, Figure]


def _between(low: float, high: float) -> Range:
    return from_memory(low), from_memory(high)


#: What a household appliance can show, by kind of test, in the engine's own unit (V, A, ohm, F, degC, Pa, ppm, s).
OF_KIND: Mapping[str, Range] = {
    "voltage": _between(-3e4, 3e4), "current": _between(-500.0, 500.0), "resistance": _between(0.0, 1e12),
    "capacitance": _between(0.0, 0.1), "temperature": _between(-90.0, 1500.0), "pressure": _between(-2e5, 3e7),
    "concentration": _between(0.0, 1e6), "duration": _between(0.0, 1e6),
}  # fmt: skip
#: The same, for parts of circuits.
_OHMS, _HENRIES, _FARADS = _between(1e-6, 1e13), _between(1e-8, 1e3), _between(1e-14, 0.1)
_KELVIN, _AMBIENT = _between(500.0, 10_000.0), _between(-60.0, 600.0)
_VOLTS, _HERTZ = _between(1.0, 1e4), _between(0.0, 1e5)
_WORK, _RATE_OF_LABOUR, _MONEY = _between(0.0, 960.0), _between(0.0, 1e4), _between(0.0, 1e5)
#: A spread is looked at between these shares of it.
_ENDS = np.array([0.02, 0.98])
#: A sound appliance mostly does what it does more often than not.
_MOSTLY = 0.5


def units(subject: Subject) -> Iterator[Remark]:
    """Everything that this module looks for."""
    family = subject.family
    yield from _plain_numbers(family)
    yield from _circuits(family)
    for test in family.tests:
        yield from _stated(test)
        yield from _limits(subject, test)
    for closing in family.closings:
        yield from _closing(subject, closing)
    yield from _hazards(subject)


def _odd(record: str, what: str, spread: Spread | Figure, fits: Range, unit: str) -> Iterator[Remark]:
    ends = spread.quantile(_ENDS) if isinstance(spread, Spread) else np.array([float(spread)])
    low, high = float(ends.min()), float(ends.max())
    if low < fits[0] or high > fits[1]:
        is_ = f"{low:.4g}" if low == high else f"{low:.4g} to {high:.4g}"
        yield remark("implausible_number", record, f"{what} is {is_} {unit}, which no appliance has")


def _plain_numbers(family: Family) -> Iterator[Remark]:
    yield from _odd("family", "ambient", family.ambient, _AMBIENT, "degC")
    yield from _odd("supply", "nominal", family.supply.nominal, _VOLTS, "V")
    yield from _odd("supply", "unmeasured", family.supply.unmeasured, _VOLTS, "V")
    yield from _odd("costs", "labour_per_hour", family.costs.labour_per_hour, _RATE_OF_LABOUR, "an hour")
    for kind in ("states", "zones", "tests", "repairs"):
        for record in getattr(family, kind):
            yield from _odd(f"{kind[:-1]} {record.id}", "minutes", record.minutes, _WORK, "minutes")
    for part in family.parts:
        yield from _odd(f"part {part.id}", "price", part.price, _MONEY, "in the currency of the costs")


def _circuits(family: Family) -> Iterator[Remark]:
    for circuit in family.circuits:
        yield from _odd(f"circuit {circuit.id}", "frequency", circuit.frequency, _HERTZ, "Hz")
        for part in circuit.parts:
            name = f"circuit {circuit.id}: {type(part).__name__.lower()} {part.id}"
            if isinstance(part, Part):
                for what, spread, fits, unit in _of_law(part.law):
                    yield from _odd(name, what, spread, fits, unit)
            elif isinstance(part, Source):
                yield from _odd(name, "volts", part.volts, _VOLTS, "V")
            else:
                yield from _odd(name, "contact", part.contact, _OHMS, "ohm")


def _of_law(law: object) -> Sequence[tuple[str, Spread, Range, str]]:
    if isinstance(law, Resistance):
        return [("ohms", law.ohms, _OHMS, "ohm")]
    if isinstance(law, Winding):
        return [("ohms", law.ohms, _OHMS, "ohm"), ("henries", law.henries, _HENRIES, "H")]
    if isinstance(law, Capacitance):
        return [("farads", law.farads, _FARADS, "F")]
    if isinstance(law, SelfHeating):
        return [("cold", law.cold, _OHMS, "ohm"), ("hot", law.hot, _OHMS, "ohm")]
    if isinstance(law, Thermistor):
        return [("at_25", law.at_25, _OHMS, "ohm"), ("beta", law.beta, _KELVIN, "K")]
    return []


def _stated(test: Test) -> Iterator[Remark]:
    """Stated spreads, converted from the test's unit; a difference may be as great as the range is wide."""
    for model in test.models:
        if not isinstance(model, Stated) or test.unit is None:
            continue
        unit = unit_of(test.unit, dimension_of_kind(test.kind))
        low, high = (float(end) for end in OF_KIND[test.kind])
        offset = unit.offset if model.relative_to is None else 0.0
        least = low if model.relative_to is None else low - high
        fits = from_memory((least - offset) / unit.factor), from_memory((high - offset) / unit.factor)
        for what, spread in {"healthy": model.healthy, **model.by_fault}.items():
            yield from _odd(f"test {test.id}", what, spread, fits, test.unit)


def _limits(subject: Subject, test: Test) -> Iterator[Remark]:
    for limit in test.limits:
        for build in subject.builds:
            first = next((x for x in test.limits if holds(x.when, build.options)), None)
            axis = _axis(build, test.id)
            if axis is None or first is not limit:
                continue
            sound, typical = _inside(axis, limit)
            if sound < _MOSTLY:
                told = f"only {sound:.0%} of sound readings, about {typical:.4g} {test.unit}, lie within {_told(limit)}"
                yield remark("limits_miss_the_model", f"test {test.id}", f"{told} {test.unit}")
            break


def _told(limit: Limit) -> str:
    if limit.low is None or limit.high is None:
        return f"at most {limit.high:g}" if limit.high is not None else f"at least {limit.low:g}"
    return f"{limit.low:g} to {limit.high:g}"


def _axis(build: BuildView, test: str) -> Axis | None:
    """The axis of a measured test that needs no set point, at the nominal supply; None where it has none."""
    if test not in build.compiled.tests or not build.tests[test].finite:
        return None
    record = build.compiled.tests[test]
    return None if record.outcomes else build.tables.axis(record, supply_known=True)[0]


def _inside(axis: Axis, limit: Limit) -> tuple[float, float]:
    """How likely a sound appliance reads within limits, and what it typically reads; differences are to nothing."""
    edges = [-inf if limit.low is None else float(limit.low), inf if limit.high is None else float(limit.high)]
    under = axis.under(edges)[0]
    # Above over range lies what the meter shows as no number, and a limit that is open there allows it.
    return float((under[1] if limit.high is not None else 1.0) - under[0]), float(np.median(axis.values[0]))


def _closing(subject: Subject, closing: Closing) -> Iterator[Remark]:
    if closing.test is None:
        return
    record = f"closing check {closing.id}"
    for build in subject.builds:
        test = build.compiled.tests.get(closing.test)
        if test is None:
            continue
        if test.outcomes:
            passes = _chance(build, test, closing.passes or test.outcomes[:1])
        else:
            limit = next((x for x in closing.limits if holds(x.when, build.options)), None)
            axis = _axis(build, test.id)
            if limit is None or axis is None:
                continue
            passes = _inside(axis, limit)[0]
        if passes < _MOSTLY:
            told = f"a sound appliance passes it in {passes:.0%} of the readings of test {test.id}"
            yield remark("closing_check_never_passes", record, told)
            return


def _hazards(subject: Subject) -> Iterator[Remark]:
    for lock in subject.family.interlocks:
        for name in dict.fromkeys((*lock.above, *lock.seen)):
            chance = max((_raised(build, lock.above.get(name), lock.seen.get(name, ()), name)
                          for build in subject.builds if name in build.compiled.tests), default=0.0)  # fmt: skip
            if chance > _MOSTLY:
                told = f"a sound appliance raises it in {chance:.0%} of the readings of test {name}"
                yield remark("hazard_always_raised", f"interlock {lock.id}", told)


def _raised(build: BuildView, above: Figure | None, seen: Sequence[str], name: str) -> float:
    test = build.compiled.tests[name]
    if test.outcomes:
        return _chance(build, test, seen)
    axis = _axis(build, name)
    return 0.0 if above is None or axis is None else 1.0 - float(axis.under([float(above)])[0, 0])


def _chance(build: BuildView, test: Test, outcomes: Sequence[str]) -> float:
    """How likely a sound appliance shows one of some outcomes."""
    shown = build.healthy(test)
    return float(sum(shown[test.outcomes.index(outcome)] for outcome in outcomes))
