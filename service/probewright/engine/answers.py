"""From what was inferred to what is answered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from probewright.inference.evaluate import Evaluation, Readings
from probewright.packs.model import Family, Test
from probewright.quantities.units import dimension_of_kind, unit_of
from probewright_schemas.records import Case, CheckedReading, Evidence, RankedFault

#: Faults less likely than this are left out of the answer, and evidence that moved a fault by less.
LEAST_PROBABILITY = 0.001
LEAST_DECIBANS = 0.1
#: Builds less likely than this are left out.
_LEAST_SHARE = 0.01


def in_given_units(case: Case, family: Family, readings: Readings) -> tuple[CheckedReading, ...]:
    """The checked readings in the units that the case gave them in, in the order of the case."""
    tests = {test.id: test for test in family.tests}
    return tuple(
        checked if given.unit is None or checked.unit is None else _converted(checked, given.unit, tests[checked.test])
        for checked, given in zip(readings.checked, case.readings, strict=True)
    )


def _converted(checked: CheckedReading, unit: str, test: Test) -> CheckedReading:
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
        checked, value=convert(checked.value), unit=unit, expected=expected, standard_uncertainty=deviation
    )


def ranked_faults(evaluation: Evaluation, family: Family) -> tuple[RankedFault, ...]:
    """The faults that may be there, likeliest first, each with what every piece of evidence did to it."""
    records = {fault.id: fault for fault in family.faults}
    present = evaluation.present.tolist()
    order = sorted(range(len(present)), key=lambda i: (-present[i], evaluation.faults[i]))
    kept = [i for i in order if present[i] >= LEAST_PROBABILITY]
    columns = evaluation.decibans[:, kept].T.tolist()
    return tuple(
        RankedFault(
            evaluation.faults[i], records[evaluation.faults[i]].title, present[i], records[evaluation.faults[i]].part,
            _evidence(evaluation.sources, column),
        )
        for i, column in zip(kept, columns, strict=True)
    )  # fmt: skip


def _evidence(sources: tuple[str, ...], decibans: list[float]) -> tuple[Evidence, ...]:
    moved = [(source, round(value, 1)) for source, value in zip(sources, decibans, strict=True)]
    kept = sorted((m for m in moved if abs(m[1]) >= LEAST_DECIBANS), key=lambda m: -abs(m[1]))
    return tuple(Evidence(source, value) for source, value in kept)


def open_configurations(evaluation: Evaluation) -> tuple[Mapping[str, object], ...]:
    """The builds that the options leave open, likeliest first; empty when there is only one."""
    builds = evaluation.readings.builds
    if len(builds) == 1:
        return ()
    shares = evaluation.shares.tolist()
    order = sorted(range(len(builds)), key=lambda i: -shares[i])
    return tuple(
        {"options": dict(builds[i].compiled.configuration), "probability": shares[i]}
        for i in order
        if shares[i] >= _LEAST_SHARE
    )


def assumptions(case: Case, readings: Readings, family: Family) -> tuple[str, ...]:
    """What was taken for granted about the appliance as a whole."""
    told = []
    if readings.situation.supply is None:
        told.append(f"supply voltage not measured: {float(family.supply.nominal):g} V nominal, with its usual spread")
    if len(readings.builds) > 1:
        unknown = [option.id for option in family.options if option.id not in case.options]
        told.append(f"{len(readings.builds)} builds weighed, for these options are not given: {', '.join(unknown)}")
    return tuple(told)
