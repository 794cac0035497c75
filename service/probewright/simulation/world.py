"""The appliances that jobs are about: what each hidden fault does to functions, complaints and readings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.lattice import POINTS
from probewright.circuit.parts import holds
from probewright.inference.compiled import UNKNOWN_LEAVES, Compiled
from probewright.inference.configurations import Configuration
from probewright.inference.situation import Situation, supply_scale
from probewright.inference.store import ModelStore
from probewright.inference.supplies import scaled, told
from probewright.packs.model import Between, Family, Shows, Test, Through
from probewright.simulation.luck import Luck
from probewright_schemas.records import Case

Array = NDArray[np.float64]
Options = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Wrong:
    """What is wrong with an appliance: faults of the pack, or something that the pack does not know."""

    faults: tuple[str, ...] = ()
    unknown: bool = False

    @property
    def name(self) -> str:
        """What it is called in a report."""
        return "something unknown" if self.unknown else " + ".join(self.faults) or "nothing wrong"

    def without(self, cured: Iterable[str]) -> Wrong:
        """What is left when some faults are gone."""
        gone = set(cured)
        return Wrong(tuple(fault for fault in self.faults if fault not in gone), self.unknown)


@dataclass(frozen=True, slots=True)
class Job:
    """One hidden appliance, and the case that a customer's call makes of it.

    ``supply`` is the sample of the lattice that the supply takes, ``ambient`` the temperature (degC) at the parts.
    ``forgets`` names what is not written down with a reading unless it is asked for.
    """

    number: int
    options: Options
    wrong: Wrong
    supply: int
    ambient: float
    luck: Luck
    case: Case
    forgets: frozenset[str] = frozenset()


class World:
    """A family as it truly is, with the share of readings that are misread in it."""

    def __init__(self, family: Family, misread: float) -> None:
        self.family, self.misread = family, misread
        self.store = ModelStore(family)
        self.compiled = lru_cache(maxsize=128)(self._compiled)
        self._places = lru_cache(maxsize=128)(self._place)
        self._measured = lru_cache(maxsize=1024)(self._measured_supply)
        self.calls = lru_cache(maxsize=65536)(self._calls)
        self._prior = lru_cache(maxsize=128)(lambda options: np.exp(self.compiled(options).hypotheses.log_prior))
        self.volts: Array = supply_scale(Situation(), family.supply) * float(family.supply.nominal)
        self._changes = {circuit.id: frozenset(circuit.changes) for circuit in family.circuits}
        self._measuring = [test for test in family.tests if test.measures == "supply_voltage"]
        self.alone = frozenset(c for lock in family.interlocks for c in lock.complaints)

    def _compiled(self, options: Options) -> Compiled:
        return self.store.compiled(Configuration(dict(options), 1.0))

    def _place(self, options: Options) -> Mapping[frozenset[str], int]:
        sets = self.compiled(options).hypotheses.sets()
        return {frozenset(faults): place for place, faults in enumerate(sets)}

    def caused(self, options: Options, complaint: str, supply: int) -> Array:
        """Probability of each hypothesis together with a complaint that it makes: shape (n_hypotheses,).

        Parameters
        ----------
        options : the build
        complaint : str
        supply : int
            The sample of the lattice that the supply takes.
        """
        compiled = self.compiled(options)
        return np.asarray(self._prior(options) * compiled.complained(complaint, float(self.volts[supply])))

    def _calls(self, options: Options, supply: int) -> tuple[list[str], Array]:
        """The complaints that are calls, and how often such an appliance makes each: shape (n_complaints,)."""
        names = [c for c in sorted(self.compiled(options).complaints) if c not in self.alone]
        return names, np.array([self.caused(options, name, supply).sum() for name in names])

    def place(self, options: Options, wrong: Wrong) -> int:
        """The hypothesis that is true; -1, the last one, for something unknown."""
        return -1 if wrong.unknown else self._places(options)[frozenset(wrong.faults)]

    def sample(self, job: Job, circuit: str, fitted: int = 0) -> int:
        """The lattice's sample that a circuit of this appliance is: its parts have the same values in every test.

        With ``fitted`` new parts it is another one.
        """
        if any(isinstance(m, Between | Through) and m.circuit == circuit for t in self._measuring for m in t.models):
            return job.supply
        return job.luck.below(POINTS, "sample", circuit, *([fitted] if fitted else []))

    def works(self, job: Job, wrong: Wrong, function: str) -> bool:
        """Whether a function works."""
        compiled, supply = self.compiled(job.options), float(self.volts[job.supply])
        chance = compiled.working(function, supply)[self.place(job.options, wrong)]
        return job.luck.uniform("works", function) < float(chance)

    def shown(self, compiled: Compiled, wrong: Wrong, complaint: str) -> float:
        """Probability that faults show as a complaint by themselves."""
        record = compiled.complaints[complaint]
        if wrong.unknown:
            anyhow = record.function in compiled.functions or not record.shown_by
            return 0.0 if anyhow else float(UNKNOWN_LEAVES) * max(map(float, record.shown_by.values()))
        quiet = 1.0
        for fault in wrong.faults:
            quiet *= 1.0 - float(record.shown_by.get(fault, 0.0))
        return 1.0 - quiet

    def stands(self, job: Job, wrong: Wrong, complaint: str) -> bool:
        """Whether a customer would make a complaint now.

        Uniforms are fixed for each job, so a complaint goes when its cause goes, and only then.
        """
        compiled = self.compiled(job.options)
        record = compiled.complaints[complaint]
        if job.luck.uniform("shows", complaint) < self.shown(compiled, wrong, complaint):
            return True
        chance = float(record.if_working)
        fails = record.function in compiled.functions and not self.works(job, wrong, str(record.function))
        if fails and record.if_failed is not None:
            chance = float(record.if_failed)
        return job.luck.uniform("says", complaint) < chance

    def complains(self, job: Job, wrong: Wrong) -> bool:
        """Whether anything that the customer complained of is still there."""
        return any(self.stands(job, wrong, complaint) for complaint in job.case.complaints)

    def situation(self, job: Job, wrong: Wrong, test: Test, set_point: float) -> Situation:
        """The conditions of a reading: the true supply, the true temperature at the part.

        A fault that lowers the supply is a condition to every other circuit, but for those that say themselves what
        it does to them.
        """
        model = self.compiled(job.options).model(test)
        own: frozenset[str] = frozenset()
        if isinstance(model, Between | Through | Shows):
            own = self._changes[model.circuit]
        volts = scaled(self.supply_voltage(job, wrong), self.family.supply, dict(job.options))
        usual = float(self.volts[job.supply])
        if own & set(wrong.faults) or not self.family.supply.is_condition(volts):
            volts = usual
        return Situation(volts, job.ambient, set_point)

    def supply_voltage(self, job: Job, wrong: Wrong) -> float:
        """What stands where the supply is measured, in V as this build has them."""
        return self._measured(job.options, job.supply, wrong)

    def _measured_supply(self, options: Options, supply: int, wrong: Wrong) -> float:
        compiled = self.compiled(options)
        tests = [test for test in self._measuring if holds(test.when, dict(options))]
        if not tests:
            return told(float(self.volts[supply]), self.family.supply, dict(options))
        predictor = compiled.numeric(tests[0].id)
        predicted = predictor.predict(Situation(), np.inf, np.inf)
        known = int(compiled.index(tests[0].id)[self.place(options, wrong)])
        return float(predicted.values[0 if wrong.unknown else known, supply])
