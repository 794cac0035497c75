"""What is different from when stored answers were given, laid over a case: corrected meters, replaced limits."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from probewright.circuit.parts import holds
from probewright.errors import Fault, InvalidCase
from probewright.packs.model import Family, Test
from probewright.packs.registry import LoadedPack, Registry
from probewright.quantities.correction import CorrectionError, linear
from probewright.quantities.units import UnitError, dimension_of_kind, unit_of
from probewright_schemas.batch_records import Changes, MeterCorrection, ReplacedLimits
from probewright_schemas.records import Case, Limits, Reading
from probewright_schemas.suggest import did_you_mean


@dataclass(frozen=True, slots=True)
class Applied:
    """A case with the changes laid over it.

    Attributes
    ----------
    case : Case
        The very same object where nothing touches it.
    corrected : mapping of int to str
        Readings that a correction is of, by their place, with the instrument.
    limited : tuple of str
        Tests that were read and whose limits were replaced.
    notes : tuple of str
        What could not be decided.
    """

    case: Case
    corrected: Mapping[int, str]
    limited: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def touched(self) -> bool:
        """Whether anything is different."""
        return bool(self.corrected or self.limited)


class ChangeSet:
    """Changes made ready to be laid over many cases.

    Raises
    ------
    InvalidCase
        With a pointer into the changes to everything that is not there or does not fit.
    """

    def __init__(self, changes: Changes, registry: Registry) -> None:
        faults = [*_faults_of_corrections(changes.corrections), *_faults_of_limits(changes.limits, registry)]
        if faults:
            raise InvalidCase(faults)
        self._corrections: dict[tuple[str, str], list[MeterCorrection]] = {}
        for correction in changes.corrections:
            self._corrections.setdefault((correction.meter, correction.kind), []).append(correction)
        self._limits: dict[str, list[ReplacedLimits]] = {}
        for limits in changes.limits:
            self._limits.setdefault(limits.family, []).append(limits)
        self._meters = frozenset(meter for meter, _ in self._corrections)

    def may_touch(self, case: Case | Any) -> bool:
        """Whether a case has anything that they are about; of a case, or of what has its members."""
        if case.family in self._limits:
            return True
        return bool(self._meters) and any((meter.id or name) in self._meters for name, meter in case.meters.items())

    def apply(self, case: Case, pack: LoadedPack) -> Applied:
        """Lay them over a case of a pack."""
        corrected: dict[int, Reading] = {}
        meters: dict[int, str] = {}
        notes: list[str] = []
        for place, reading, meter in self._of_meters(case):
            found = self._correction(reading, meter, case, pack.family, notes, place)
            if found is not None:
                corrected[place], meters[place] = replace(reading, correction=found.correction), meter
        sheet = self._sheet(case)
        if corrected or sheet:
            readings = tuple(corrected.get(place, reading) for place, reading in enumerate(case.readings))
            case = replace(case, readings=readings, tech_sheet={**case.tech_sheet, **sheet})
        return Applied(case, meters, tuple(sheet), tuple(notes))

    def _of_meters(self, case: Case) -> Iterator[tuple[int, Reading, str]]:
        """The readings that some correction's instrument took."""
        named = {name: meter.id or name for name, meter in case.meters.items()}
        for place, reading in enumerate(case.readings):
            meter = named.get(reading.meter or "")
            if meter in self._meters:
                yield place, reading, str(meter)

    def _correction(
        self, reading: Reading, meter: str, case: Case, family: Family, notes: list[str], place: int,
    ) -> MeterCorrection | None:  # fmt: skip
        """The last correction that holds for a reading; notes why one that might hold does not."""
        kind = next((test.kind for test in family.tests if test.id == reading.test), "")
        day, found, undecided = reading.day or case.day, None, False
        for correction in self._corrections.get((meter, kind), ()):
            if day is None and _is_bounded(correction):
                undecided = True
            elif day is None or _holds_on(correction, day):
                # It comes after those that nobody can decide on, and the last one counts.
                found, undecided = correction, False
        if undecided:
            instead = "an earlier one that has no bounds is applied" if found else "none is applied"
            notes.append(
                f"reading {place} ({reading.test}) has no day, so whether the correction of {meter} with its first or "
                f"last day holds for it is not known: {instead}"
            )
        if found is None or reading.value is not None or reading.values is not None:
            return found
        notes.append(f"reading {place} ({reading.test}) is no number, so the correction of {meter} is left out")
        return None

    def _sheet(self, case: Case) -> dict[str, Limits]:
        """The limits of tests that were read; those of others leave a stored case as it was."""
        replaced = self._limits.get(case.family)
        if replaced is None:
            return {}
        read = {reading.test for reading in case.readings}
        return {r.test: r.limits for r in replaced if r.test in read and holds(r.when, case.options)}


def _is_bounded(correction: MeterCorrection) -> bool:
    return correction.since is not None or correction.until is not None


def _holds_on(correction: MeterCorrection, day: date) -> bool:
    return (correction.since is None or correction.since <= day) and (
        correction.until is None or day <= correction.until
    )


def _faults_of_corrections(corrections: Sequence[MeterCorrection]) -> Iterator[Fault]:
    for place, correction in enumerate(corrections):
        try:
            linear(correction.correction, dimension_of_kind(correction.kind))
        except CorrectionError as error:
            yield Fault(f"/corrections/{place}/correction/{error.field}", str(error), error.code)


def _faults_of_limits(limits: Sequence[ReplacedLimits], registry: Registry) -> Iterator[Fault]:
    for place, replaced in enumerate(limits):
        pointer, pack = f"/limits/{place}", registry.packs.get(replaced.family)
        if pack is None:
            hint = did_you_mean(replaced.family, registry.packs) or f"; loaded: {', '.join(registry.packs)}"
            yield Fault(f"{pointer}/family", f"no loaded pack has this family{hint}", "unknown_family")
            continue
        tests = {test.id: test for test in pack.family.tests}
        if replaced.test not in tests:
            hint = did_you_mean(replaced.test, tests)
            yield Fault(f"{pointer}/test", f"unknown test {replaced.test!r}{hint}", "unknown_test")
        else:
            yield from _misfits(tests[replaced.test], replaced, pointer)
        yield from _unknown_options(replaced, pack.family, pointer)


def _misfits(test: Test, replaced: ReplacedLimits, pointer: str) -> Iterator[Fault]:
    if test.outcomes:
        yield Fault(f"{pointer}/test", f"test {test.id!r} is seen, not measured: it has no limits", "not_measured")
        return
    try:
        unit_of(replaced.limits.unit, dimension_of_kind(test.kind))
    except UnitError as error:
        yield Fault(f"{pointer}/limits/unit", str(error), error.code)


def _unknown_options(replaced: ReplacedLimits, family: Family, pointer: str) -> Iterator[Fault]:
    options = {option.id: [value.id for value in option.values] for option in family.options}
    for option, value in replaced.when.items():
        if option not in options:
            told = f"unknown option {option!r}{did_you_mean(option, options)}"
            yield Fault(f"{pointer}/when", told, "unknown_option")
        elif value not in options[option]:
            told = f"option {option!r} has no value {value!r}; one of {', '.join(options[option])}"
            yield Fault(f"{pointer}/when", told, "unknown_option_value")
