"""The family under review, compiled in builds that together have all that any build has."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import chain, combinations, islice, product
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.measure import Measurement
from probewright.circuit.parts import When, holds
from probewright.inference.compiled import Compiled
from probewright.inference.configurations import Configuration, configurations
from probewright.inference.outcomes import Axes, Tables, courses
from probewright.inference.store import ModelStore
from probewright.packs.model import Between, Family, Shows, Table, Test, Through
from probewright.review.predictions import Predicted, Predictions, seen

Array = NDArray[np.float64]

#: Every build is looked at where there are no more of builds, tests and faults, multiplied; else so many builds that
#: together have every pair of values of two options.
MOST_WORK, MOST_BUILDS = 400_000, 16
#: Options that a condition in a sentence names at most.
_MOST_CONDITIONS = 3
#: Combinations of values that are tried until a build has one.
_MOST_VALUES = 64


@dataclass(frozen=True, eq=False)
class BuildView:
    """One build of the family: its options, its share of the appliances, and what it predicts."""

    configuration: Configuration
    compiled: Compiled
    _predictions: Predictions = field(repr=False)

    @property
    def options(self) -> Mapping[str, str]:
        """Option to value."""
        return self.configuration.options

    @cached_property
    def faults(self) -> tuple[str, ...]:
        """The faults that it can have."""
        return self.compiled.hypotheses.faults

    @cached_property
    def tests(self) -> Mapping[str, Predicted]:
        """What each test shows, by test."""
        return {test: self.predicted(test) for test in self.compiled.tests}

    def predicted(self, test: str) -> Predicted:
        """What one test shows; fails where the pack's own laws do, or a circuit has no solution."""
        return self._predictions.of_test(self.tables, test)

    @cached_property
    def tables(self) -> Tables:
        """The outcome tables of the engine."""
        return Tables(self.compiled, self._predictions.axes)

    def healthy(self, test: Test) -> Array:
        """How likely each outcome of a test that is seen is when nothing is wrong: shape (n_outcomes,)."""
        return seen(self.tables, test)[0]

    @cached_property
    def reports(self) -> Mapping[str, Array]:
        """How likely each complaint is under no fault and each single one: shape (n_faults + 1,)."""
        return {name: self.reported(name) for name in self.compiled.complaints}

    def reported(self, complaint: str) -> Array:
        """How likely one complaint is; fails as :meth:`predicted`."""
        return self._singly.complained(complaint, None)[: len(self.faults) + 1]

    @cached_property
    def _singly(self) -> Compiled:
        return self.compiled.singly()

    @cached_property
    def courses(self) -> Mapping[str, str]:
        """The repair that each fault calls for; faults without one are left out."""
        return courses(self.compiled)


class _Conditioned(Protocol):
    """A record that only some builds have."""

    @property
    def when(self) -> When:
        """The condition."""


class Subject:
    """A family under review."""

    def __init__(self, family: Family) -> None:
        self.family = family
        self.store = ModelStore(family)
        self._predictions = Predictions(Axes())

    @cached_property
    def builds(self) -> tuple[BuildView, ...]:
        """The builds that are looked at, likeliest first, and last those that are the only ones to have a record."""
        found = configurations(self.family, {})
        chosen = found if self._every(len(found)) else covering(found)
        chosen = (*chosen, *self._otherwise_missed(chosen))
        return tuple(BuildView(c, self.store.compiled(c), self._predictions) for c in chosen)

    def _every(self, builds: int) -> bool:
        return builds * len(self.family.tests) * len(self.family.faults) <= MOST_WORK

    def _otherwise_missed(self, chosen: Sequence[Configuration]) -> list[Configuration]:
        """Builds that have a record which none of the chosen ones has; as rare as that, they count for nothing."""
        family, more = self.family, list[Configuration]()
        records = chain[_Conditioned](family.faults, family.complaints, family.tests, family.repairs, family.circuits)
        for when in (record.when for record in records):
            if not any(holds(when, c.options) for c in (*chosen, *more)):
                rare = build_with(family, when)
                more += [Configuration(rare.options, 0.0)] if rare is not None else []
        return more

    def read_in(self, circuit: str, build: BuildView) -> Iterator[Measurement]:
        """What tests and requirements read in a circuit of a build."""
        for test in build.compiled.tests.values():
            model = build.compiled.model(test)
            if isinstance(model, Between | Through | Shows) and model.circuit == circuit:
                yield self.store.measurement(test, model)
            elif isinstance(model, Table):
                for requirement, _ in model.without:
                    if requirement.circuit == circuit and holds(requirement.when, build.options):
                        yield self.store.requirement(requirement)
        for function in build.compiled.functions.values():
            for requirement in function.requires:
                if requirement.circuit == circuit and holds(requirement.when, build.options):
                    yield self.store.requirement(requirement)

    def where(self, of: Sequence[BuildView], among: Sequence[BuildView]) -> str:
        """In which builds something holds, as the end of a sentence; nothing where it holds in all of ``among``."""
        if len(of) == len(among):
            return ""
        # Of builds that were not looked at no condition can speak.
        whole = len(self.builds) == len(configurations(self.family, {}))
        condition = next(self._conditions(of, among), None) if whole else None
        if condition is None:
            return f", in {len(of)} of {len(among)} builds"
        told = (f"{option} is {' or '.join(values)}" for option, values in condition.items())
        return f", where {' and '.join(told)}"

    def _conditions(
        self, of: Sequence[BuildView], among: Sequence[BuildView],
    ) -> Iterator[Mapping[str, tuple[str, ...]]]:  # fmt: skip
        """Conditions that hold in some builds and in no other, the shortest first."""
        others = [build for build in among if build not in of]
        options = self.family.options
        for count in range(1, min(_MOST_CONDITIONS, len(options)) + 1):
            for chosen in combinations(options, count):
                values = {o.id: {build.options.get(o.id) for build in of} for o in chosen}
                if any(None in known for known in values.values()):
                    continue
                if not any(all(b.options.get(o) in known for o, known in values.items()) for b in others):
                    yield {o.id: tuple(v.id for v in o.values if v.id in values[o.id]) for o in chosen}


def build_with(family: Family, when: When) -> Configuration | None:
    """The likeliest build that satisfies a condition; None where no build does, or none is found soon."""
    options = list(when)
    wanted = product(*((allowed,) if isinstance(allowed, str) else allowed for allowed in when.values()))
    for values in islice(wanted, _MOST_VALUES):
        found = configurations(family, dict(zip(options, values, strict=True)))
        if found:
            return found[0]
    return None


def covering(found: Sequence[Configuration]) -> tuple[Configuration, ...]:
    """Some configurations that have every pair of values that all of them have, bounded; likeliest first."""
    wanted = {i: frozenset(_pairs(c)) for i, c in enumerate(found)}
    missing = set(chain.from_iterable(wanted.values()))
    chosen: list[int] = []
    while len(chosen) < min(MOST_BUILDS, len(found)):
        best = max((i for i in wanted if i not in chosen), key=lambda i: (len(wanted[i] & missing), -i))
        if chosen and not wanted[best] & missing:
            break
        chosen.append(best)
        missing -= wanted[best]
    return tuple(found[i] for i in sorted(chosen))


def _pairs(configuration: Configuration) -> Iterator[tuple[tuple[str, str], ...]]:
    settings = sorted(configuration.options.items())
    yield from ((setting,) for setting in settings)
    yield from combinations(settings, 2)
