"""Rules of circuits."""

from __future__ import annotations

from dataclasses import is_dataclass
from itertools import combinations

import numpy as np

from probewright.circuit.laws import Law
from probewright.circuit.parts import (
    Change,
    Circuit,
    Contact,
    Drift,
    Leak,
    Level,
    Open,
    Part,
    Short,
    Source,
    Stuck,
    Swap,
    Switch,
)
from probewright.figures import Spread
from probewright.packs.check.names import CircuitNames, Names, Report, apart, commands_used
from probewright.packs.model import Family

#: A share of a spread's values that no sample is likely to come from.
_RARE = 1e-6


def check_circuits(family: Family, report: Report, names: Names) -> None:
    """Check every circuit."""
    used = commands_used(family) | {"off"}
    for circuit in family.circuits:
        record = f"circuit {circuit.id}"
        inside = names.circuits[circuit.id]
        names.when(report, record, circuit.when)
        report.known(record, "reference node", circuit.reference, inside.nodes)
        report.not_negative(record, "frequency", circuit.frequency)
        _check_same_ids(record, circuit, report)
        _check_alike(record, circuit, report)
        for part in circuit.parts:
            _check_part(f"{record}: {type(part).__name__.lower()} {part.id}", part, report, names, used)
        for fault, changes in circuit.changes.items():
            report.known(f"{record}: changes", "fault", fault, names.faults)
            if not changes:
                report.say(f"{record}: changes[{fault!r}]", "is empty")
            for change in changes:
                _check_change(f"{record}: changes[{fault!r}]", change, report, inside)


def _check_same_ids(record: str, circuit: Circuit, report: Report) -> None:
    """Two records may share an id when no configuration has both, and both are of one kind."""
    for first, second in combinations(circuit.parts, 2):
        if first.id != second.id:
            continue
        if type(first) is not type(second):
            report.say(f"{record}: {first.id}", "two records of different kinds share the id", "duplicate_id")
        elif not apart(first.when, second.when):
            told = "two records share the id, and a configuration may have both"
            report.say(f"{record}: {first.id}", told, "duplicate_id")


def _check_alike(record: str, circuit: Circuit, report: Report) -> None:
    """A part is like another one, of the same kind of law, that has values of its own."""
    laws = {part.id: part for part in circuit.parts if isinstance(part, Part)}
    for part in (p for p in circuit.parts if isinstance(p, Part) and p.like is not None):
        where = f"{record}: part {part.id}"
        if not report.known(f"{where}: like", "part", str(part.like), laws):
            continue
        other = laws[str(part.like)]
        if other.like is not None:
            report.say(where, f"is like {other.id!r}, which is like another part itself")
        if type(other.law) is not type(part.law):
            report.say(where, f"is like {other.id!r}, whose law is a {type(other.law).__name__}")


def _check_part(
    record: str, part: Part | Switch | Source, report: Report, names: Names, used: frozenset[str]
) -> None:
    report.snake_case(record.rpartition(" ")[0], part.id)
    names.when(report, record, part.when)
    if part.a == part.b:
        report.say(record, f"both ends are on node {part.a!r}")
    if isinstance(part, Part):
        _check_law(record, part.law, report)
    elif isinstance(part, Switch):
        _positive(record, "contact", part.contact, report)
        for command in part.closed_in:
            report.known(f"{record}: closed_in", "a test or requirement with command", command, used)
    elif part.volts <= 0:
        report.say(record, "volts must be positive; turn the source round, or give it a phase")


def _check_law(record: str, law: object, report: Report) -> None:
    if not isinstance(law, Law):
        report.say(record, f"a {type(law).__name__} is no law: see probewright.circuit.laws.Law")
        return
    if not is_dataclass(law):
        report.say(record, f"law {type(law).__name__} must be a dataclass, for its numbers are part of the digest")
    for index, spread in enumerate(law.spreads):
        if not isinstance(spread, Spread):
            report.say(record, f"spreads[{index}] of its law is not a Spread")
    heats_above = law.heats_above
    if heats_above is not None and heats_above <= 0:
        report.say(record, "heats_above must be positive", "number_out_of_range")


def _least(spread: Spread) -> float:
    """A value that hardly any sample lies under."""
    return float(spread.quantile(np.array(_RARE)))


def _positive(record: str, what: str, spread: Spread, report: Report) -> None:
    if _least(spread) <= 0:
        report.say(record, f"{what} may be {_least(spread):.3g}; it must be positive", "number_out_of_range")


def _not_negative(record: str, what: str, spread: Spread, report: Report) -> None:
    if _least(spread) < 0:
        report.say(record, f"{what} may be {_least(spread):.3g}; it cannot be negative", "number_out_of_range")


def _check_change(record: str, change: Change, report: Report, inside: CircuitNames) -> None:
    record = f"{record}: {type(change).__name__.lower()}"
    if isinstance(change, Leak):
        _check_leak(record, change, report, inside)
    elif isinstance(change, Stuck):
        report.known(record, "switch", change.switch, inside.switches)
    elif isinstance(change, Level):
        report.known(record, "source", change.source, inside.sources)
        _not_negative(record, "factor", change.factor, report)
    elif isinstance(change, Swap):
        for part in (change.first, change.second):
            report.known(record, "part or switch", part, inside.parts | inside.switches)
        if change.first == change.second:
            report.say(record, "swaps a part with itself")
    else:
        _check_part_change(record, change, report, inside)


def _check_part_change(
    record: str, change: Open | Short | Drift | Contact, report: Report, inside: CircuitNames
) -> None:
    allowed = inside.parts | inside.switches
    if isinstance(change, Contact):
        allowed |= inside.sources
    elif isinstance(change, Drift):
        allowed = inside.parts
    report.known(record, "part", change.part, allowed)
    if isinstance(change, Short | Contact):
        _positive(record, "ohms", change.ohms, report)
    elif isinstance(change, Drift):
        _positive(record, "factor", change.factor, report)


def _check_leak(record: str, change: Leak, report: Report, inside: CircuitNames) -> None:
    for node in (change.a, change.b):
        report.known(record, "node", node, inside.nodes)
    if change.a == change.b:
        report.say(record, "leads from a node to itself")
    _positive(record, "ohms", change.ohms, report)
