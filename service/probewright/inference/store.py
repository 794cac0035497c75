"""Compiled configurations of one family, made when first asked for and kept, bounded."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from math import inf
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.faulty import Setting
from probewright.circuit.measure import Dictionary, Measurement, dictionaries
from probewright.circuit.network import Network
from probewright.circuit.parts import Circuit, Level, When, holds
from probewright.errors import PackModelError
from probewright.figures import Figure, Spread
from probewright.inference.builds import Build, OpenBuilds
from probewright.inference.compiled import Compiled
from probewright.inference.configurations import Configuration, configurations
from probewright.inference.ids import Vocabulary
from probewright.inference.numeric import Predictor, from_dictionary, from_stated, magnitudes
from probewright.inference.relevance import About, Metered, Relevance, about
from probewright.inference.seen import Threshold, table_classes
from probewright.inference.weighted_cache import WeightedCache
from probewright.packs.model import Between, Family, Requirement, Stated, Table, Test, Through
from probewright_schemas.records import Case

#: Columns of open builds that are kept, all together: some 60 MB, most of it the classes of a family's tests.
MOST_COLUMNS = 400_000
#: Configurations whose whole arrays are kept.
_MOST_COMPILED = 128
#: Hertz that a capacitance meter measures at.
_CAPACITANCE_METER = 100.0


class ModelStore:
    """The compiled configurations of a family.

    Circuits that the options in question do not touch are solved once for all configurations.
    """

    def __init__(self, family: Family) -> None:
        self.family, self.vocabulary = family, Vocabulary(family)
        self._tests = {test.id: test for test in family.tests}
        self._circuits = {circuit.id: circuit for circuit in family.circuits}
        self._relevance = Relevance(family)
        self._supply_circuits = _supply_circuits(family)
        self._solved = lru_cache(maxsize=512)(self._solve)
        self._predictors = lru_cache(maxsize=1024)(self._predictor)
        self._predicting = Lock()
        self.table = lru_cache(maxsize=512)(self._table)
        self.threshold = lru_cache(maxsize=1024)(self._threshold)
        self._compiled = lru_cache(maxsize=_MOST_COMPILED)(self._compile)
        self._configurations = lru_cache(maxsize=512)(self._enumerate)
        self._relevant = lru_cache(maxsize=4096)(self._options)
        self._open = WeightedCache[OpenBuilds](MOST_COLUMNS)

    def compiled(self, configuration: Configuration) -> Compiled:
        """The family in one configuration."""
        return self._compiled(tuple(sorted(configuration.options.items())))

    def open_builds(self, case: Case) -> OpenBuilds | None:
        """All builds that agree with a case's options and that its evidence could tell apart, compiled.

        None when the options contradict each other.
        """
        given = tuple(sorted(case.options.items()))
        weighed = self._relevant(about(case))
        found = self._configurations(given, weighed)
        if not found:
            return None
        return self._open.get((given, weighed), lambda: self._opened(found, weighed))

    def _options(self, evidence: About) -> frozenset[str]:
        """The options that matter to evidence."""
        return self._relevance.options(self._relevance.records(evidence))

    def _opened(self, found: Sequence[Configuration], weighed: frozenset[str]) -> OpenBuilds:
        return OpenBuilds([Build(c.share, self.compiled(c)) for c in found], weighed)

    def _enumerate(
        self, given: tuple[tuple[str, str], ...], weighed: frozenset[str],
    ) -> tuple[Configuration, ...]:  # fmt: skip
        return configurations(self.family, dict(given), weighed)

    def _compile(self, options: tuple[tuple[str, str], ...]) -> Compiled:
        configuration = dict(options)
        return Compiled(self.family, configuration, _Of(self, configuration))

    def dictionary(self, circuit: str, configuration: Mapping[str, str], measurement: Measurement) -> Dictionary:
        """The dictionary of one measurement in a circuit."""
        touched = {o: v for o, v in configuration.items() if o in self._relevance.of_circuit[circuit]}
        try:
            return self._solved(circuit, tuple(sorted(touched.items())))[measurement]
        except KeyError:
            raise PackModelError(f"circuit {circuit!r} is not there in {dict(configuration)}") from None

    def _solve(self, circuit_id: str, options: tuple[tuple[str, str], ...]) -> Mapping[Measurement, Dictionary]:
        circuit, configuration = self._circuits[circuit_id], dict(options)
        if not holds(circuit.when, configuration):
            return {}
        faults = [f.id for f in self.family.faults if f.id in circuit.changes and holds(f.when, configuration)]
        wanted = list(dict.fromkeys(_measurements(self.family, circuit, configuration)))
        return dict(zip(wanted, dictionaries(circuit, configuration, faults, wanted), strict=True))

    def predictor(self, test: Test, model: Metered | Stated, configuration: Mapping[str, str]) -> Predictor:
        """What a numeric test should read; the same object for all configurations that make no difference to it."""
        relevant = self._relevance.of_circuit[model.circuit] if isinstance(model, Metered) else frozenset()
        touched = {o: v for o, v in configuration.items() if o in relevant}
        # Readings are told apart by their predictors' identity: two threads must not make the same one twice.
        with self._predicting:
            return self._predictors(test.id, test.models.index(model), tuple(sorted(touched.items())))

    def _predictor(self, test_id: str, model_index: int, options: tuple[tuple[str, str], ...]) -> Predictor:
        test, configuration = self._tests[test_id], dict(options)
        model = test.models[model_index]
        if isinstance(model, Stated):
            return Predictor(from_stated(test.kind, model), self.family)
        if isinstance(model, Table):
            raise PackModelError(f"test {test_id!r} measures {test.kind} but its model is a table")
        dictionary = self.dictionary(model.circuit, configuration, self.measurement(test, model))
        figures = _figures(self.family, model.circuit, configuration, dictionary)
        about = model.circuit in self._supply_circuits
        found = from_dictionary(dictionary, [f.basis for f in figures], about_the_supply=about)
        return Predictor(found, self.family)

    def _table(
        self, test_id: str, model_index: int,
    ) -> tuple[tuple[str, ...], NDArray[np.intp], NDArray[np.float64]]:  # fmt: skip
        """Classes of a stated table; the same in all configurations."""
        test = self._tests[test_id]
        model = test.models[model_index]
        if not isinstance(model, Table):
            raise PackModelError(f"model {model_index} of test {test_id!r} is no table")
        return table_classes(model, test.outcomes)

    def _threshold(self, dictionary: Dictionary, at_least: Spread, place: int) -> Threshold:
        """How often a circuit value reaches a threshold; one for all configurations that share the dictionary."""
        return Threshold(dictionary, at_least, self.family, place)

    def measurement(self, test: Test, model: Metered) -> Measurement:
        """How a test's meter stands in its circuit."""
        powered = {state.id: state.powered for state in self.family.states}
        return _of_test(test, model, self._circuits[model.circuit], powered)

    def requirement(self, requirement: Requirement) -> Measurement:
        """How a requirement stands in its circuit."""
        powered = {state.id: state.powered for state in self.family.states}
        return _of_requirement(requirement, self._circuits[requirement.circuit], powered)


class _Of:
    """The dictionaries of one configuration."""

    def __init__(self, store: ModelStore, configuration: Mapping[str, str]) -> None:
        self._store, self._configuration = store, configuration

    def predictor(self, test: Test, model: Metered | Stated) -> Predictor:
        return self._store.predictor(test, model, self._configuration)

    def of_test(self, test: Test, model: Metered) -> Dictionary:
        return self._store.dictionary(model.circuit, self._configuration, self._store.measurement(test, model))

    def table(self, test: Test, model: Table) -> tuple[tuple[str, ...], NDArray[np.intp], NDArray[np.float64]]:
        return self._store.table(test.id, test.models.index(model))

    def threshold(self, dictionary: Dictionary, at_least: Spread, place: int) -> Threshold:
        return self._store.threshold(dictionary, at_least, place)

    def of_requirement(self, requirement: Requirement) -> Dictionary:
        return self._store.dictionary(requirement.circuit, self._configuration, self._store.requirement(requirement))


def _supply_circuits(family: Family) -> frozenset[str]:
    """The circuits in which the supply itself is measured, and faults change its level; a dead supply is no level."""
    measuring = [test for test in family.tests if test.measures == "supply_voltage"]
    measured = {m.circuit for test in measuring for m in test.models if isinstance(m, Metered)}
    changes = [(c.id, change) for c in family.circuits for of_fault in c.changes.values() for change in of_fault]
    levels = {circuit for circuit, change in changes if isinstance(change, Level) and change.factor.second > 0}
    return frozenset(measured & levels)


def _of_test(test: Test, model: Metered, circuit: Circuit, powered: Mapping[str, bool]) -> Measurement:
    live = powered[test.states[0]]
    hertz = float(circuit.frequency)
    if isinstance(model, Between):
        kind = {"continuity": "resistance"}.get(test.kind, test.kind)
        own = {"resistance": 0.0, "capacitance": _CAPACITANCE_METER}.get(kind, hertz)
        setting = Setting(test.command, live, own, model.apart)
        return Measurement(kind, setting, plus=model.plus, minus=model.minus)  # type: ignore[arg-type]
    part = model.part if isinstance(model, Through) else model.of
    quantity = "current" if isinstance(model, Through) else model.quantity
    return Measurement(quantity, Setting(test.command, live, hertz), part=part)


def _of_requirement(requirement: Requirement, circuit: Circuit, powered: Mapping[str, bool]) -> Measurement:
    setting = Setting(requirement.command, powered[requirement.state], float(circuit.frequency))
    return Measurement(requirement.quantity, setting, part=requirement.of)


def _measurements(family: Family, circuit: Circuit, configuration: Mapping[str, str]) -> Iterator[Measurement]:
    """Every measurement that tests and functions make in a circuit under a configuration (of its relevant options)."""
    powered = {state.id: state.powered for state in family.states}

    def here(when: When) -> bool:
        return holds(when, configuration)

    for test in family.tests:
        for model in test.models:
            if isinstance(model, Table):
                yield from (
                    _of_requirement(r, circuit, powered)
                    for r, _ in model.without
                    if r.circuit == circuit.id and here(test.when) and here(r.when) and here(model.when)
                )
            elif isinstance(model, Metered) and model.circuit == circuit.id and here(test.when) and here(model.when):
                yield _of_test(test, model, circuit, powered)
    for function in family.functions:
        for requirement in function.requires:
            if requirement.circuit == circuit.id and here(function.when) and here(requirement.when):
                yield _of_requirement(requirement, circuit, powered)


def _figures(
    family: Family, circuit_id: str, configuration: Mapping[str, str], dictionary: Dictionary,
) -> tuple[Figure, ...]:  # fmt: skip
    """The figures of the parts that the healthy reading depends on, found by their correlation with it."""
    circuit = next(c for c in family.circuits if c.id == circuit_id)
    network = Network(circuit, configuration, [])
    healthy = _healthy(dictionary)
    spread = healthy - healthy.mean()
    found: list[Figure] = [source.volts for source in network.sources] if dictionary.measurement.setting.powered else []
    for branch in network.branches:
        for slot, law_spread in zip(branch.slots, branch.law.spreads, strict=True):
            row = network.parameters[slot] - network.parameters[slot].mean()
            weight = np.sqrt((row @ row) * (spread @ spread))
            # A part that carries a twentieth of the variance matters to the healthy band.
            if weight > 0 and (row @ spread / weight) ** 2 > 0.05:
                found += [law_spread.first, law_spread.second]
    return tuple(found)


def _healthy(dictionary: Dictionary) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    healthy = magnitudes(dictionary, inf)[0]
    return healthy[:, healthy.shape[1] // 2] if dictionary.feels_temperature else healthy
