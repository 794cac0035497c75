"""Which options can make a difference to what: builds that differ in nothing that matters are not told apart."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from probewright.circuit.parts import Circuit, When
from probewright.packs.model import Between, Family, Function, Requirement, Shows, Table, Test, Through
from probewright_schemas.records import Case

Metered = Between | Through | Shows


class About(NamedTuple):
    """What the evidence of a case is about, whatever it says; ``supply``: whether the supply voltage is given."""

    tests: tuple[str, ...]
    complaints: tuple[str, ...]
    functions: tuple[str, ...]
    repairs: tuple[str, ...]
    supply: bool


def about(case: Case) -> About:
    """What the evidence of a case is about."""
    tests = tuple([reading.test for reading in case.readings])
    repairs = tuple([done.repair for done in case.repairs_done]) if case.repairs_done else ()
    return About(tests, case.complaints, case.working, repairs, case.conditions.supply_voltage is not None)


class Relevance:
    """The options that matter to circuits and to the evidence of a case."""

    def __init__(self, family: Family) -> None:
        self._family = family
        self.of_circuit = {circuit.id: _of_circuit(family, circuit) for circuit in family.circuits}
        functions = {f.id: self._of_function(f) for f in family.functions}
        self._of_record: dict[str, frozenset[str]] = {
            **{f"function:{name}": options for name, options in functions.items()},
            **{f"test:{t.id}": self._of_test(t) for t in family.tests},
            **{f"repair:{r.id}": frozenset(r.when) for r in family.repairs},
            **{
                f"complaint:{c.id}": frozenset(c.when) | functions.get(c.function or "", frozenset())
                for c in family.complaints
            },
        }
        self._supply_tests = [f"test:{t.id}" for t in family.tests if t.measures == "supply_voltage"]
        # Which faults there are at all is always a difference.
        self._always = _options(fault.when for fault in family.faults)

    def records(self, about: About) -> Iterator[str]:
        """The records of the family that evidence is about: ``"test:..."``, ``"complaint:..."`` and so on."""
        yield from (f"test:{test}" for test in about.tests)
        yield from (f"complaint:{complaint}" for complaint in about.complaints)
        yield from (f"function:{function}" for function in about.functions)
        yield from (f"repair:{repair}" for repair in about.repairs)
        if about.supply:
            yield from self._supply_tests

    def options(self, records: Iterable[str]) -> frozenset[str]:
        """The options that matter to some records or to which faults there can be.

        An option on which such an option depends matters, too.
        """
        found = self._always.union(*(self._of_record.get(record, frozenset()) for record in records))
        for option in reversed(self._family.options):
            if option.id in found:
                found |= frozenset(option.when)
        return found

    def _of_test(self, test: Test) -> frozenset[str]:
        found = _options([test.when, *(model.when for model in test.models), *(limit.when for limit in test.limits)])
        for model in test.models:
            if isinstance(model, Metered):
                found |= self.of_circuit[model.circuit]
            elif isinstance(model, Table):
                found |= self._of_requirements(requirement for requirement, _ in model.without)
        return found

    def _of_function(self, function: Function) -> frozenset[str]:
        return frozenset(function.when) | self._of_requirements(function.requires)

    def _of_requirements(self, requirements: Iterable[Requirement]) -> frozenset[str]:
        found: frozenset[str] = frozenset()
        for requirement in requirements:
            found |= frozenset(requirement.when) | self.of_circuit[requirement.circuit]
        return found


def _options(conditions: Iterable[When]) -> frozenset[str]:
    return frozenset(option for condition in conditions for option in condition)


def _of_circuit(family: Family, circuit: Circuit) -> frozenset[str]:
    """The options that can make a difference to a circuit or to what is measured in it."""
    return _options(_conditions(family, circuit))


def _conditions(family: Family, circuit: Circuit) -> Iterator[When]:
    yield circuit.when
    yield from (part.when for part in circuit.parts)
    yield from (fault.when for fault in family.faults if fault.id in circuit.changes)
    for test in family.tests:
        metered = any(isinstance(m, Metered) and m.circuit == circuit.id for m in test.models)
        gates = [r for m in test.models if isinstance(m, Table) for r, _ in m.without if r.circuit == circuit.id]
        if metered or gates:
            yield test.when
            yield from (m.when for m in test.models)
            yield from (gate.when for gate in gates)
    for function in family.functions:
        needs = [r for r in function.requires if r.circuit == circuit.id]
        if needs:
            yield function.when
            yield from (r.when for r in needs)
