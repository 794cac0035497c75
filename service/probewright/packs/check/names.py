"""The names a family defines, and the list of what is broken."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

from probewright.circuit.parts import Circuit, Part, Source, Switch, When
from probewright.errors import Broken
from probewright.packs.model import Family, State, Table, Test
from probewright_schemas.suggest import did_you_mean

_SNAKE_CASE = re.compile(r"[a-z][a-z0-9]*(_[a-z0-9]+)*")


class Report:
    """Collects what is broken, each as record and what is the matter, with the stable id of its rule."""

    def __init__(self) -> None:
        self.broken: list[Broken] = []

    def say(self, record: str, message: str, rule: str = "does_not_hold") -> None:
        """Add one."""
        self.broken.append(Broken(record, message, rule))

    def known(self, record: str, what: str, name: str, known: Collection[str]) -> bool:
        """Whether a referenced name exists; reported when not."""
        if name in known:
            return True
        self.say(record, f"{what} {name!r} does not exist{did_you_mean(name, known)}", "broken_reference")
        return False

    def chance(self, record: str, what: str, value: float, *, strictly: bool = False) -> None:
        """A probability lies from 0 to 1, or strictly between."""
        if not 0 <= value <= 1:
            self.say(record, f"{what} is {float(value)!r}; a probability lies from 0 to 1", "not_a_probability")
        elif strictly and not 0 < value < 1:
            told = f"{what} is {float(value)!r}; it must lie strictly between 0 and 1"
            self.say(record, told, "not_a_probability")

    def not_negative(self, record: str, what: str, value: float) -> None:
        """A number that cannot be negative."""
        if value < 0:
            self.say(record, f"{what} is negative ({float(value)!r})", "number_out_of_range")

    def snake_case(self, kind: str, name: str) -> None:
        """Ids are written in snake_case."""
        if not _SNAKE_CASE.fullmatch(name):
            self.say(f"{kind} {name!r}", "an id is written in snake_case", "bad_id")

    def unique(self, kind: str, ids: Sequence[str]) -> None:
        """Ids are unique within their kind."""
        for name, times in Counter(ids).items():
            self.snake_case(kind, name)
            if times > 1:
                self.say(f"{kind} {name}", f"the id is used {times} times", "duplicate_id")


@dataclass(frozen=True, slots=True)
class CircuitNames:
    """What a circuit defines."""

    nodes: frozenset[str]
    parts: frozenset[str]
    switches: frozenset[str]
    sources: frozenset[str]

    @classmethod
    def of(cls, circuit: Circuit) -> CircuitNames:
        """Collect them."""
        return cls(
            frozenset(chain.from_iterable((p.a, p.b) for p in circuit.parts)),
            frozenset(p.id for p in circuit.parts if isinstance(p, Part)),
            frozenset(p.id for p in circuit.parts if isinstance(p, Switch)),
            frozenset(p.id for p in circuit.parts if isinstance(p, Source)),
        )

    @property
    def all_parts(self) -> frozenset[str]:
        """Parts, switches and sources."""
        return self.parts | self.switches | self.sources


@dataclass(frozen=True, slots=True)
class Names:
    """What a family defines; ``commands`` are those that some switch knows, beside ``off``."""

    options: Mapping[str, frozenset[str]]
    states: Mapping[str, State]
    zones: frozenset[str]
    circuits: Mapping[str, CircuitNames]
    functions: frozenset[str]
    complaints: frozenset[str]
    tests: Mapping[str, Test]
    faults: frozenset[str]
    parts: frozenset[str]
    closings: frozenset[str]
    commands: frozenset[str]

    @classmethod
    def of(cls, family: Family) -> Names:
        """Collect them."""
        return cls(
            {o.id: frozenset(v.id for v in o.values) for o in family.options},
            {s.id: s for s in family.states},
            frozenset(z.id for z in family.zones),
            {c.id: CircuitNames.of(c) for c in family.circuits},
            frozenset(f.id for f in family.functions),
            frozenset(c.id for c in family.complaints),
            {t.id: t for t in family.tests},
            frozenset(f.id for f in family.faults),
            frozenset(p.id for p in family.parts),
            frozenset(c.id for c in family.closings),
            frozenset(chain({"off"}, *(s.closed_in for c in family.circuits for s in switches_of(c)))),
        )

    def when(self, report: Report, record: str, when: When) -> None:
        """A condition names options and values that exist."""
        for option, allowed in when.items():
            if not report.known(f"{record}: when", "option", option, self.options):
                continue
            for value in values_of(allowed):
                report.known(f"{record}: when", f"value of option {option!r}", value, self.options[option])


def values_of(allowed: str | tuple[str, ...]) -> tuple[str, ...]:
    """The values that a condition allows an option."""
    return (allowed,) if isinstance(allowed, str) else allowed


def apart(first: When, second: When) -> bool:
    """Whether no configuration satisfies both conditions."""
    return any(
        not set(values_of(first[option])) & set(values_of(second[option])) for option in first if option in second
    )


def switches_of(circuit: Circuit) -> list[Switch]:
    """The switches of a circuit."""
    return [part for part in circuit.parts if isinstance(part, Switch)]


def commands_used(family: Family) -> frozenset[str]:
    """The commands that tests and requirements give."""
    requirements = chain(
        (r for f in family.functions for r in f.requires),
        (r for t in family.tests for m in t.models if isinstance(m, Table) for r, _ in m.without),
    )
    return frozenset(chain((t.command for t in family.tests), (r.command for r in requirements)))
