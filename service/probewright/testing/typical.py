"""Cases that a pack's own model predicts for each of its faults, without noise: what a fault typically looks like."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, replace
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.parts import holds
from probewright.inference.compiled import Compiled
from probewright.inference.configurations import Configuration, configurations
from probewright.inference.situation import Situation
from probewright.packs.model import Family, Test
from probewright.quantities.instrument_defaults import USUAL_METER
from probewright.quantities.instruments import resolve
from probewright.quantities.units import dimension_of_kind, unit_of
from probewright.simulation.luck import Luck
from probewright.simulation.world import Job, World, Wrong
from probewright_schemas.records import Case, Meter

Document = dict[str, Any]
Shown = tuple[str, float | str | None]
Options = Mapping[str, str]

#: degC to which ovens and chambers are set, where a test needs that.
SET_POINT = 150.0
#: What a fault does to a reading is first taken at its median, then nearer to either end of its spread.
QUANTILES = (0.5, 0.1, 0.9)
#: Significant digits that a typical reading is given with, and by which two are told apart.
_DIGITS = 6
#: Accuracy of the meter that typical readings are taken with.
_PERCENT = 0.1
#: A complaint that a fault makes less than this many times as likely does not speak for it.
_SPEAKS = 1.05


class Typical:
    """What each fault of a family typically looks like, in the likeliest build that can have it."""

    def __init__(self, family: Family) -> None:
        self.family = family
        self.world = World(family, misread=0.0)
        self.ambient = round(family.ambient.median, 1)
        self._signature = lru_cache(maxsize=4096)(self._shows)

    @cached_property
    def builds(self) -> Mapping[str, Options]:
        """The likeliest build that can have each fault: option to value."""
        found: dict[str, Options] = {}
        for fault in self.family.faults:
            given = {option: _first(allowed) for option, allowed in fault.when.items()}
            builds = (*configurations(self.family, {}), *configurations(self.family, given))
            wanted = next((build.options for build in builds if holds(fault.when, build.options)), None)
            if wanted is not None:
                found[fault.id] = wanted
        return found

    def compiled(self, options: Options) -> Compiled:
        """A build."""
        return self.world.store.compiled(Configuration(dict(options), 1.0))

    def job(self, fault: str | None, options: Options, quantile: float = 0.5) -> Job:
        """A hidden appliance with one fault, or none; where the fault sets the supply, at a quantile of that."""
        wrong = Wrong(() if fault is None else (fault,))
        blank = Job(0, tuple(sorted(options.items())), wrong, 0, self.ambient, Luck(0, 0), Case(self.family.id))
        volts = self.world.volts if fault is None else self._supply(blank)
        changed = fault is not None and not np.array_equal(volts, self._supply(self.job(None, options)))
        ranked = np.argsort(volts, kind="stable")
        place = int(ranked[round((quantile if changed else 0.5) * (len(ranked) - 1))])
        return Job(0, blank.options, wrong, place, self.ambient, blank.luck, blank.case)

    def _supply(self, job: Job) -> NDArray[np.float64]:
        """What may stand where the supply is measured, in V: shape (POINTS,)."""
        compiled = self.compiled(dict(job.options))
        test = next((test for test in compiled.tests.values() if test.measures == "supply_voltage"), None)
        if test is None:
            return self.world.volts
        row = int(compiled.index(test.id)[self.world.place(job.options, job.wrong)])
        return np.asarray(compiled.numeric(test.id).predict(Situation(), np.inf, np.inf).values[row])

    def shown(self, job: Job, test: Test, quantile: float = 0.5) -> Shown:
        """What a test typically shows: the likeliest outcome, or the median of what is measured.

        Parameters
        ----------
        quantile : float
            Of what is measured, where the job's fault changes it.

        Returns
        -------
        tuple of str and value
            ``seen`` with an outcome, ``value`` with a number in the test's unit, or ``over_range`` with None.
        """
        if not test.outcomes:
            return self._measured(job, test, quantile)
        compiled, meter = self.compiled(dict(job.options)), resolve(None, test.kind)
        at = self.world.situation(job, job.wrong, test, SET_POINT)
        beeper = (meter.beeper_threshold, meter.lead_offset, meter.maximum_resistance)
        chances = compiled.chances(test.id, at, beeper)[self.world.place(job.options, job.wrong)]
        return "seen", test.outcomes[int(np.argmax(chances))]

    def _measured(self, job: Job, test: Test, quantile: float) -> Shown:
        compiled, meter = self.compiled(dict(job.options)), resolve(meter_of(test.kind), test.kind)
        at, predictor = self.world.situation(job, job.wrong, test, SET_POINT), compiled.numeric(test.id)
        of_supply = test.measures == "supply_voltage" or predictor.model.about_the_supply
        at = at._replace(supply=None) if of_supply else at
        predicted = predictor.predict(at, meter.input_impedance, meter.maximum_resistance)
        row = int(compiled.index(test.id)[self.world.place(job.options, job.wrong)])
        values = predicted.values[row] * predicted.scale
        value = float(values[job.supply] if of_supply else np.quantile(values, quantile if row else 0.5))
        entry = unit_of(str(test.unit), dimension_of_kind(test.kind))
        if test.kind == "resistance" and value * entry.factor > meter.maximum_resistance:
            return "over_range", None
        return "value", float(f"{value:.{_DIGITS}g}")

    def reading(self, test: Test, shown: Shown) -> Document:
        """A reading as a case gives it, with the conditions that it needs."""
        what, value = shown
        document: Document = {"test": test.id, "state": test.states[0], what: True if what == "over_range" else value}
        if test.unit is not None:
            document |= {"unit": test.unit, "meter": test.kind}
        conditions: Document = {}
        if "ambient" in test.needs:
            conditions["ambient"] = {"value": self.ambient, "unit": "degC"}
        if "set_point" in test.needs:
            conditions["set_point"] = {"value": SET_POINT, "unit": "degC"}
        return document | ({"conditions": conditions} if conditions else {})

    @property
    def meters(self) -> Document:
        """The meters that readings name, as a case gives them: one for each kind of measured test."""
        kinds = sorted({test.kind for test in self.family.tests if test.unit is not None})
        return {kind: {name: value for name, value in asdict(meter_of(kind)).items() if value is not None}
                for kind in kinds}  # fmt: skip

    def signature(self, fault: str | None, options: Options, quantile: float = 0.5) -> Mapping[str, Shown]:
        """What every test that looks for faults shows under a fault, or with nothing wrong, in a build."""
        return self._signature(fault, tuple(sorted(options.items())), quantile)

    def _shows(self, fault: str | None, options: tuple[tuple[str, str], ...], quantile: float) -> Mapping[str, Shown]:
        job = self.job(fault, dict(options), quantile)
        tests = [test for test in self.compiled(dict(options)).tests.values() if not (test.closing or test.reported)]
        return {test.id: self.shown(job, test, quantile) for test in tests}

    def complaint(self, fault: str, options: Options) -> str | None:
        """The complaint that speaks most clearly for a fault: the likeliest against what it is with nothing wrong."""
        compiled = self.compiled(options)
        place = compiled.hypotheses.faults.index(fault) + 1
        ratio = {}
        for name in sorted(compiled.complaints):
            chances = compiled.complained(name, None)
            ratio[name] = float(chances[place] / chances[0])
        best = max(ratio, key=lambda name: ratio[name], default=None)
        return best if best is not None and ratio[best] > _SPEAKS else None

    def case(self, fault: str, quantile: float = 0.5) -> Document:
        """The case of an appliance with one fault of which everything was read, and nothing misread."""
        options = self.builds[fault]
        tests, complaint = self.compiled(options).tests, self.complaint(fault, options)
        found = self.signature(fault, options, quantile)
        return {
            "family": self.family.id, "options": dict(options), "complaints": [complaint] if complaint else [],
            "readings": [self.reading(tests[test], shown) for test, shown in found.items()], "meters": self.meters,
            "effort": "none",
        }  # fmt: skip

    def alike(self, fault: str) -> tuple[str, ...]:
        """Faults of the same build that show the same in every test, this one among them."""
        options = self.builds[fault]
        others = [other for other in self.compiled(options).hypotheses.faults if other != fault]
        same = [other for other in others
                if all(self.signature(other, options, q) == self.signature(fault, options, q) for q in QUANTILES)]
        return tuple(f.id for f in self.family.faults if f.id in {fault, *same})  # fmt: skip


def meter_of(kind: str) -> Meter:
    """A good meter of the usual kind: a typical reading shall not be undecided for want of one.

    Voltages are read with a low-impedance input, so that no wire that floats beside a live one seems alive.
    """
    usual = USUAL_METER[kind]
    fine = Meter(usual, percent_of_reading=_PERCENT, counts=1.0)
    if kind == "voltage":
        return replace(fine, input="low_impedance")
    return replace(fine, leads_zeroed=True) if kind == "resistance" else fine


def _first(allowed: str | tuple[str, ...]) -> str:
    return allowed if isinstance(allowed, str) else allowed[0]
