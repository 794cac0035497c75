"""From what was inferred to what is answered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from probewright.inference.configurations import MOST_CONFIGURATIONS
from probewright.inference.evaluate import Evaluation, Readings
from probewright.packs.model import Family, Interlock, Test
from probewright.quantities.units import dimension_of_kind, unit_of
from probewright_schemas.records import Case, CheckedReading, Clash, Evidence, OpenConfiguration, RankedFault

#: Faults less likely than this are left out of the answer, and evidence that moved a fault by less.
LEAST_PROBABILITY = 0.002
LEAST_DECIBANS = 0.5
#: Builds less likely than this are left out.
_LEAST_SHARE = 0.01


def in_given_units(case: Case, family: Family, readings: Readings) -> tuple[CheckedReading, ...]:
    """The checked readings in the units that the case gave them in, in the order of the case."""
    tests = {test.id: test for test in family.tests}
    return tuple(
        converted(checked, given.unit, tests[checked.test])
        for checked, given in zip(readings.checked, case.readings, strict=True)
    )


def converted(checked: CheckedReading, unit: str | None, test: Test) -> CheckedReading:
    """A checked reading in the unit that it was given in; as it is where none was given, or none belongs to it."""
    if unit is None or checked.unit is None:
        return checked
    dimension = dimension_of_kind(test.kind)
    own, given = unit_of(str(test.unit), dimension), unit_of(unit, dimension)
    if own is given:
        return checked

    def convert(value: float | None) -> float | None:
        return None if value is None else (value * own.factor + own.offset - given.offset) / given.factor

    expected = checked.expected
    if expected is not None:
        expected = replace(expected, low=convert(expected.low), high=convert(expected.high), unit=unit)
    deviation = checked.standard_uncertainty
    deviation = None if deviation is None else deviation * own.factor / given.factor
    return replace(
        checked, value=convert(checked.value), unit=unit, expected=expected, standard_uncertainty=deviation,
        as_read=convert(checked.as_read),
    )  # fmt: skip


def ranked_faults(evaluation: Evaluation, family: Family) -> tuple[RankedFault, ...]:
    """The faults that may be there, likeliest first, each with what every piece of evidence did to it."""
    records = {fault.id: fault for fault in family.faults}
    names, sources = evaluation.faults, evaluation.sources
    present = evaluation.present.tolist()
    kept = [i for i, probability in enumerate(present) if probability >= LEAST_PROBABILITY]
    kept.sort(key=lambda i: (-present[i], names[i]))
    decibans = np.round(evaluation.decibans[:, kept].T, 1)
    told = np.abs(decibans) >= LEAST_DECIBANS
    moved: list[list[Evidence]] = [[] for _ in kept]
    # One pass over what counts: a call for each fault would cost more than all the rest.
    for row, column, value in zip(*(a.tolist() for a in np.nonzero(told)), decibans[told].tolist(), strict=True):
        moved[row].append(Evidence(sources[column], value))
    ranked = []
    for i, evidence in zip(kept, moved, strict=True):
        record = records[names[i]]
        ranked.append(RankedFault(record.id, record.title, present[i], record.part, tuple(evidence)))
    return tuple(ranked)


def open_configurations(case: Case, evaluation: Evaluation) -> tuple[OpenConfiguration, ...]:
    """The builds that the options leave open, likeliest first; empty when there is only one.

    Options that were neither given nor weighed are left out: nothing is known of them.
    """
    opened = evaluation.readings.opened
    builds, told = opened.builds, opened.weighed | case.options.keys()
    if len(builds) == 1:
        return ()
    shares = evaluation.shares.tolist()
    order = sorted(range(len(builds)), key=lambda i: -shares[i])
    return tuple(
        OpenConfiguration({o: v for o, v in builds[i].compiled.configuration.items() if o in told}, shares[i])
        for i in order
        if shares[i] >= _LEAST_SHARE
    )


def clashes_but_hazards(evaluation: Evaluation, interlocks: Sequence[Interlock]) -> tuple[Clash, ...]:
    """The clashes, without those about what raised an interlock: nobody shall smell gas twice to be believed."""
    alarming = {test for lock in interlocks for test in (*lock.seen, *lock.above)}
    alarming |= {f"complaint:{complaint}" for lock in interlocks for complaint in lock.complaints}
    return tuple(clash for clash in evaluation.clashes if alarming.isdisjoint(clash.sources))


def assumptions(case: Case, readings: Readings, family: Family) -> tuple[str, ...]:
    """What was taken for granted about the appliance as a whole."""
    told = []
    if readings.supply is None:
        nominals = {float(family.supply.nominal_in(b.compiled.configuration)) for b in readings.opened.builds}
        volts = " or ".join(f"{nominal:g}" for nominal in sorted(nominals))
        told.append(f"supply voltage not measured: {volts} V nominal, with its usual spread")
    if len(readings.opened.builds) > 1:
        weighed = readings.opened.weighed - case.options.keys()
        unknown = [option.id for option in family.options if option.id in weighed]
        count = len(readings.opened.builds)
        told.append(f"{count} builds weighed, for these options are not given: {', '.join(unknown)}")
        if count == MOST_CONFIGURATIONS:
            told.append("only the likeliest builds are weighed: give more options")
    return tuple(told)
