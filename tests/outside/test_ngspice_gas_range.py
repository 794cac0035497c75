"""Every circuit test of the gas range under every fault of its circuit, against ngspice, within 0.1 %.

ngspice (Debian package ``ngspice``) is an independent circuit simulator.  Every uncertain number stands at the middle
of its spread; faults are carried out on the netlist by ``support.spice``, not by the engine.
"""

from __future__ import annotations

import os
from dataclasses import dataclass

import numpy as np
import pytest

from probewright.circuit.measure import Measurement
from probewright.circuit.network import Network
from probewright.circuit.parts import holds
from probewright.circuit.solve import Probe, solve
from probewright.inference.configurations import configurations
from probewright.inference.store import ModelStore, _measurements
from probewright.packs.loader import load_packs
from support.spice import METER, NGSPICE, Bench, Deck, build

pytestmark = [
    pytest.mark.ngspice,
    pytest.mark.skipif(
        NGSPICE is None and not os.environ.get("PROBEWRIGHT_REQUIRE_NGSPICE"), reason="ngspice is not installed"
    ),
]

TOLERANCE = 1e-3
#: Below these both must agree that there is nothing, above that it is open.
NOTHING = {"voltage": 2e-3, "current": 1e-6, "resistance": 1e-6}
OPEN_OHMS = 1e9


class AtTheMiddle(Network):
    """A network whose parameters all stand at the middle of their spreads."""

    def _sample(self):
        return np.array([[spread.median] for spread in self._spreads]).reshape(len(self._spreads), 1)


@dataclass
class Job:
    """One measurement in one circuit under one set of faults."""

    name: str
    measurement: Measurement
    faults: tuple[str, ...]
    ours: float
    deck: Deck
    part_ends: tuple[str, str]


def family():
    return load_packs().get("gas_range").family


def cases():
    """Every circuit in every build that differs in its parts or in what is measured in it."""
    model, seen = family(), {}
    for configuration in configurations(model, {}):
        for circuit in model.circuits:
            if not holds(circuit.when, configuration.options):
                continue
            wanted = tuple(dict.fromkeys(_measurements(model, circuit, configuration.options)))
            parts = tuple(str(part) for part in circuit.parts if holds(part.when, configuration.options))
            here = (f.id for f in model.faults if holds(f.when, configuration.options))
            possible = tuple(fault for fault in here if fault in circuit.changes)
            seen.setdefault((circuit.id, parts, wanted, possible), (circuit, configuration.options, wanted, possible))
    return list(seen.values())


def jobs(circuit, configuration, wanted, possible):
    hypotheses = [(), *((fault,) for fault in possible)]
    network = AtTheMiddle(circuit, configuration, possible)
    for measurement in wanted:
        if measurement.part:
            index = network.branch(measurement.part)
            branch = network.branches[index]
            probe = Probe(branch.a, branch.b, index)
        else:
            probe = Probe(network.node(measurement.plus), network.node(measurement.minus))
        here = (part for part in circuit.parts if part.id == measurement.part and holds(part.when, configuration))
        terminals = next(((part.a, part.b) for part in here), ("", ""))
        solved = solve(network, measurement.setting, [probe], hypotheses, np.array([0]), 25.0)[0]
        for row, faults in enumerate(hypotheses):
            ours = reading(measurement, solved.voltage[row, 0], solved.impedance[row, 0], solved.current[row, 0])
            deck = build(circuit, configuration, faults, measurement.setting.command, measurement.setting.powered,
                         measurement.setting.apart)  # fmt: skip
            yield Job(f"{circuit.id}/{measurement}/{faults}", measurement, faults, ours, deck, terminals)


def reading(measurement, voltage, impedance, current) -> float:
    if measurement.kind == "current":
        return abs(current)
    if measurement.kind == "resistance":
        return impedance.real
    return abs(voltage * METER / (METER + impedance)) if not measurement.part else abs(voltage)


def ends(job: Job) -> tuple[str, str]:
    """The nodes that a meter goes to: for a voltage the part's terminals, for a current its inside."""
    m = job.measurement
    if not m.part:
        return m.plus, m.minus
    element = job.deck.elements.get(m.part)
    if m.kind == "voltage":
        return job.part_ends
    return (element.a, element.b) if element is not None else ("", "")


def solve_by_spice(circuit, todo: list[Job], cold: dict[int, list[str]]):
    """Run all jobs of one kind of analysis; returns readings, and the parts that turn out too cool to be hot."""
    hertz = 0.0 if todo[0].measurement.kind == "resistance" else float(circuit.frequency)
    bench, wanted = Bench(circuit.reference), {}
    for i, job in enumerate(todo):
        m, (plus, minus) = job.measurement, ends(job)
        between = not m.part
        tag = bench.add(job.deck, cold.get(i, []), (plus, minus, METER) if between and m.kind == "voltage" else None,
                        (plus, minus) if m.kind == "resistance" else None, hertz)  # fmt: skip
        name = (lambda n, tag=tag: "0" if n == circuit.reference else f"{tag}_{n}".lower())  # noqa: E731
        if plus:
            wanted[f"r{i}"] = (name(plus), name(minus))
        for part, element in job.deck.elements.items():
            if element.heating is not None and m.setting.powered and element.closed:
                wanted[f"h{i}_{part}"] = (name(element.a), name(element.b))
    found = bench.run(hertz, wanted)
    readings, cooled = {}, {}
    for i, job in enumerate(todo):
        volts = found.get(f"r{i}", 0.0)
        readings[i] = to_reading(job, volts, cold.get(i, []))
        for part, element in job.deck.elements.items():
            key = f"h{i}_{part}"
            if key in found and part not in cold.get(i, []) and found[key] ** 2 / element.ohms < element.heating:
                cooled.setdefault(i, []).append(part)
    return readings, cooled


def to_reading(job: Job, volts: float, cold: list[str]) -> float:
    kind = job.measurement.kind
    if kind == "resistance":
        return volts / 1e-6
    if kind == "voltage":
        return volts
    element = job.deck.elements.get(job.measurement.part)
    if element is None or not element.closed:
        return 0.0
    ohms = element.cold if job.measurement.part in cold and element.cold is not None else element.ohms
    reactance = 2 * np.pi * 60.0 * (element.henries or 0.0)
    return volts / abs(complex(ohms, reactance))


@pytest.mark.parametrize("case", cases(), ids=lambda case: f"{case[0].id}-{'-'.join(sorted(case[1].values()))}")
def test_every_measurement_under_every_fault(case):
    circuit = case[0]
    everything = list(jobs(*case))
    assert everything
    worst = 0.0
    for dead in (True, False):
        todo = [job for job in everything if (job.measurement.kind == "resistance") is dead]
        if not todo:
            continue
        cold: dict[int, list[str]] = {}
        readings, cooled = solve_by_spice(circuit, todo, cold)
        while cooled:
            for i, parts in cooled.items():
                cold.setdefault(i, []).extend(parts)
            readings, cooled = solve_by_spice(circuit, todo, cold)
        for i, job in enumerate(todo):
            kind = job.measurement.kind
            if job.ours < NOTHING[kind] and readings[i] < NOTHING[kind]:
                continue
            if kind == "resistance" and job.ours >= OPEN_OHMS and readings[i] >= OPEN_OHMS:
                continue
            error = abs(job.ours - readings[i]) / max(abs(readings[i]), NOTHING[kind])
            worst = max(worst, error)
            assert error <= TOLERANCE, f"{job.name}: engine {job.ours!r}, ngspice {readings[i]!r}"
    assert worst <= TOLERANCE


def test_every_circuit_of_the_pack_is_compared():
    model = family()
    assert {case[0].id for case in cases()} == {circuit.id for circuit in model.circuits}
    store = ModelStore(model)
    named = {fault for circuit in model.circuits for fault in circuit.changes}
    compared = {fault for case in cases() for fault in case[3]}
    assert compared == named
    assert store.family is model
