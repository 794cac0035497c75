"""What a pack measures in its circuits, by the engine and by ngspice, fault by fault.

Every uncertain number stands at the middle of its spread; faults are carried out on the netlist by ``support.spice``,
not by the engine.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from probewright.circuit.measure import Measurement
from probewright.circuit.network import Network
from probewright.circuit.parts import Circuit, holds
from probewright.circuit.solve import Probe, solve
from probewright.inference.configurations import configurations
from probewright.inference.relevance import Relevance
from probewright.inference.store import _measurements
from probewright.packs import Family
from support.middle import ROOM, AtTheMiddle
from support.spice import METER, Bench, Deck, build

TOLERANCE = 1e-3
#: Below these both must agree that there is nothing, above that it is open.
NOTHING = {"voltage": 2e-3, "current": 1e-6, "resistance": 1e-6}
OPEN_OHMS = 1e9
#: Measurements in one run of ngspice, whose time grows faster than their number.
AT_ONCE = 30
#: Ampere that an ohmmeter sends.
INJECTED = 1e-6


@dataclass(frozen=True)
class Bay:
    """A circuit in a build, what is measured in it there, and the faults that it can have."""

    circuit: Circuit
    options: Mapping[str, str]
    wanted: tuple[Measurement, ...]
    faults: tuple[str, ...]

    def __str__(self) -> str:
        return "-".join([self.circuit.id, *(value for _, value in sorted(self.options.items()))])


@dataclass(frozen=True)
class Job:
    """One measurement in one circuit under one set of faults, and what the engine reads."""

    name: str
    measurement: Measurement
    ours: float
    deck: Deck
    ends: tuple[str, str]


def bays(family: Family) -> list[Bay]:
    """Every circuit of a family, in every build that differs in its parts or in what is measured in it."""
    relevant, seen = Relevance(family).of_circuit, {}
    for circuit in family.circuits:
        for configuration in configurations(family, {}, relevant[circuit.id]):
            options = {name: configuration.options[name] for name in relevant[circuit.id] & set(configuration.options)}
            if not holds(circuit.when, options):
                continue
            wanted = tuple(dict.fromkeys(_measurements(family, circuit, options)))
            parts = tuple(id(part) for part in circuit.parts if holds(part.when, options))
            here = (f.id for f in family.faults if f.id in circuit.changes and holds(f.when, options))
            bay = Bay(circuit, options, wanted, tuple(here))
            seen.setdefault((circuit.id, parts, wanted, bay.faults), bay)
    return list(seen.values())


def jobs(bay: Bay) -> Iterator[Job]:
    """Every measurement of a bay without a fault, and under each."""
    circuit, hypotheses = bay.circuit, [(), *((fault,) for fault in bay.faults)]
    network = AtTheMiddle(circuit, bay.options, bay.faults)
    for measurement in bay.wanted:
        solved = solve(network, measurement.setting, [_probe(network, measurement)], hypotheses, np.array([0]), ROOM)
        for row, faults in enumerate(hypotheses):
            found = (getattr(solved[0], what)[row, 0] for what in ("voltage", "impedance", "current"))
            setting = measurement.setting
            deck = build(circuit, bay.options, faults, setting.command, setting.powered, setting.apart, ROOM)
            yield Job(f"{measurement} {faults}", measurement, _shown(measurement, *found), deck,
                      _ends(bay, measurement, deck))  # fmt: skip


def _probe(network: Network, measurement: Measurement) -> Probe:
    if not measurement.part:
        return Probe(network.node(measurement.plus), network.node(measurement.minus))
    index = network.branch(measurement.part)
    return Probe(network.branches[index].a, network.branches[index].b, index)


def _shown(measurement: Measurement, voltage: complex, impedance: complex, current: complex) -> float:
    if measurement.kind == "current":
        return abs(current)
    if measurement.kind == "resistance":
        return impedance.real
    return abs(voltage) if measurement.part else abs(voltage * METER / (METER + impedance))


def _ends(bay: Bay, measurement: Measurement, deck: Deck) -> tuple[str, str]:
    """The nodes that a meter goes to: for a voltage the part's terminals, for a current its inside."""
    if not measurement.part:
        return measurement.plus, measurement.minus
    if measurement.kind == "voltage":
        part = next(p for p in bay.circuit.parts if p.id == measurement.part and holds(p.when, bay.options))
        return part.a, part.b
    element = deck.elements.get(measurement.part)
    return ("", "") if element is None else (element.a, element.b)


def disagreements(bay: Bay) -> Iterator[str]:
    """Where engine and ngspice read differently: those with power apart from those without, many in one run."""
    everything = list(jobs(bay))
    unknown = {job.measurement.kind for job in everything} - set(NOTHING)
    if unknown:
        raise TypeError(f"no way to measure {sorted(unknown)} in ngspice")
    for ohmic in (True, False):
        todo = [job for job in everything if (job.measurement.kind == "resistance") is ohmic]
        for some in (todo[i : i + AT_ONCE] for i in range(0, len(todo), AT_ONCE)):
            for job, theirs in zip(some, _readings(bay.circuit, some), strict=True):
                if not _agree(job, theirs):
                    yield f"{job.name}: engine {job.ours!r}, ngspice {theirs!r}"


def _agree(job: Job, theirs: float) -> bool:
    kind = job.measurement.kind
    if job.ours < NOTHING[kind] and theirs < NOTHING[kind]:
        return True
    if kind == "resistance" and job.ours >= OPEN_OHMS and theirs >= OPEN_OHMS:
        return True
    return bool(abs(job.ours - theirs) <= TOLERANCE * max(abs(theirs), NOTHING[kind]))


def _readings(circuit: Circuit, todo: Sequence[Job]) -> list[float]:
    """Parts that turn out too cool to be hot count as cold, and what has such a part is solved again."""
    readings, cold = [0.0] * len(todo), [frozenset[str]()] * len(todo)
    left = range(len(todo))
    while left:
        solved = _solved(circuit, [(todo[i], cold[i]) for i in left])
        again = []
        for i, (reading, cooled) in zip(left, solved, strict=True):
            readings[i] = reading
            if cooled:
                cold[i] |= cooled
                again.append(i)
        left = again
    return readings


def _solved(circuit: Circuit, todo: Sequence[tuple[Job, frozenset[str]]]) -> list[tuple[float, frozenset[str]]]:
    """Each job's reading, and its parts that take too little to be hot; given with each are those known to be cold."""
    hertz = 0.0 if todo[0][0].measurement.kind == "resistance" else float(circuit.frequency)
    bench, wanted = Bench(circuit.reference), {}
    for i, (job, cold) in enumerate(todo):
        m = job.measurement
        meter = (*job.ends, METER) if m.kind == "voltage" and not m.part else None
        tag = bench.add(job.deck, sorted(cold), meter, job.ends if m.kind == "resistance" else None, hertz)
        if job.ends[0]:
            wanted[f"r{i}"] = bench.full(tag, job.ends)
        for part, element in job.deck.elements.items():
            if element.heating is not None and m.setting.powered and element.closed and part not in cold:
                wanted[f"h{i}_{part}"] = bench.full(tag, (element.a, element.b))
    found = bench.run(hertz, wanted)
    return [
        (_reading(job, found.get(f"r{i}", 0.0), cold, hertz), _cooled(job, {
            part: found[f"h{i}_{part}"] for part in job.deck.elements if f"h{i}_{part}" in found}))
        for i, (job, cold) in enumerate(todo)
    ]  # fmt: skip


def _cooled(job: Job, volts: Mapping[str, float]) -> frozenset[str]:
    """Which of the parts that count as hot take less than their heating power."""
    elements = job.deck.elements
    return frozenset(part for part, v in volts.items() if v**2 / elements[part].ohms < elements[part].heating)


def _reading(job: Job, volts: float, cold: frozenset[str], hertz: float) -> float:
    m = job.measurement
    if m.kind == "resistance":
        return volts / INJECTED
    if m.kind == "voltage":
        return volts
    element = job.deck.elements.get(m.part)
    return 0.0 if element is None else element.amperes(volts, hertz, cold=m.part in cold)
