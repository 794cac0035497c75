"""Modified nodal analysis of a network under many hypotheses and samples at once.

Axes, always in this order: hypothesis (H), sample (S), then node, branch or probe.  Every node has a conductance of
``LEAST_CONDUCTANCE`` siemens to the reference, so a floating part reads 0 V and 100 gigohm instead of failing; an
open part keeps that conductance too.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.laws import Operating
from probewright.circuit.network import Effect, Network
from probewright.circuit.parts import Contact, Drift, Leak, Level, Open, Short, Stuck, Swap

Array = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]

#: Siemens.  An order below what a 10 megohm meter or any insulation limit could notice.
LEAST_CONDUCTANCE = 1e-11
#: Siemens, the firmest connection: a micro-ohm, against a law that gives no impedance at all.
MOST_CONDUCTANCE = 1e6

Hypothesis = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Setting:
    """How the network is operated: under a command, with or without mains, at a frequency (Hz), with parts apart."""

    command: str
    powered: bool
    hertz: float
    apart: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Probe:
    """A pair of nodes, or a branch whose current is wanted (then ``branch`` is not negative)."""

    plus: int
    minus: int
    branch: int = -1


@dataclass(frozen=True, slots=True)
class Solved:
    """Phasors per probe, each of shape (H, S): open-circuit voltage, source impedance, and branch current."""

    voltage: ComplexArray
    impedance: ComplexArray
    current: ComplexArray


@dataclass(slots=True)
class _System:
    """Admittances (H, S, branches), source equations (H, S, sources): ``tie`` v - ``series`` i = ``emf``."""

    admittance: ComplexArray
    tie: Array
    series: Array
    emf: ComplexArray
    hot: NDArray[np.bool_] = field(default_factory=lambda: np.zeros((0,), dtype=bool))


def solve(
    network: Network,
    setting: Setting,
    probes: Sequence[Probe],
    hypotheses: Sequence[Hypothesis],
    samples: NDArray[np.intp],
    temperature: float,
) -> list[Solved]:
    """Solve the network for every hypothesis and sample.

    Parameters
    ----------
    network : Network
    setting : Setting
    probes : sequence of Probe
    hypotheses : sequence of tuples of fault ids
    samples : ndarray of int
        Which of the lattice's points to use.
    temperature : float
        At every part, in degC.

    Returns
    -------
    list of Solved, one for each probe, arrays of shape (n_hypotheses, n_samples).
        Volts and amperes are effective values at the nominal supply.
    """
    parameters = network.parameters[:, samples]
    hot = np.ones((len(hypotheses), len(samples), len(network.branches)), dtype=bool)
    hot &= setting.powered
    # A part that does not take its heating power in its hot state is cold.  Parts only ever turn from hot to cold
    # here, so this ends after at most one round for each part that heats itself.
    while True:
        system = _assemble(network, setting, hypotheses, parameters, temperature, hot)
        nodes = _nodal(network, system, probes)
        colder = _cooled(network, system, nodes, hot)
        if not colder.any():
            return [_read(network, system, nodes, probe, i) for i, probe in enumerate(probes)]
        hot &= ~colder


def _assemble(
    network: Network, setting: Setting, hypotheses: Sequence[Hypothesis], parameters: Array, temperature: float,
    hot: NDArray[np.bool_],
) -> _System:  # fmt: skip
    count = parameters.shape[1]
    impedance = np.empty((len(hypotheses), count, len(network.branches)), dtype=complex)
    at_temperature = np.array(temperature)
    for i, branch in enumerate(network.branches):
        at = Operating(2 * np.pi * setting.hertz, at_temperature, hot[:, :, i])
        impedance[:, :, i] = branch.law.impedance(parameters[list(branch.slots)], at)
    with np.errstate(divide="ignore", invalid="ignore"):
        admittance = np.where(np.isinf(impedance.real), 0, 1 / impedance)
    resting = [
        branch.spare
        or branch.id in setting.apart
        or (branch.switch is not None and not branch.switch.closed(setting.command, setting.powered))
        for branch in network.branches
    ]
    closed_admittance = admittance.copy()
    admittance[:, :, resting] = 0
    sources = (len(hypotheses), count, len(network.sources))
    emf = np.empty(sources, dtype=complex)
    emf[:] = [float(s.volts) * np.exp(1j * np.radians(s.phase)) for s in network.sources]
    system = _System(admittance, np.full(sources, float(setting.powered)), np.zeros(sources), emf * setting.powered)
    system.series += not setting.powered
    for row, hypothesis in enumerate(hypotheses):
        effects = [effect for fault in hypothesis for effect in network.effects.get(fault, ())]
        for effect in sorted(effects, key=lambda effect: isinstance(effect.change, Swap)):  # crossed as they then are
            _apply(effect, system, row, parameters, closed_admittance, setting)
    admittance.real = np.minimum(admittance.real, MOST_CONDUCTANCE)
    return system


def _apply(
    effect: Effect, system: _System, row: int, parameters: Array, closed: ComplexArray, setting: Setting,
) -> None:  # fmt: skip
    """Carry out one change in one hypothesis."""
    change = effect.change
    y = system.admittance[row]
    value = parameters[effect.slot] if effect.slot >= 0 else None
    if isinstance(change, Swap):
        spare = list(effect.spares)
        y[:, spare] = y[:, [effect.target, effect.source]]
        y[:, [effect.target, effect.source]] = 0
    elif isinstance(change, Leak):
        y[:, list(effect.spares)] = closed[row][:, list(effect.spares)]
    elif effect.source >= 0:
        _apply_to_source(effect, system, row, value)
    elif isinstance(change, Open):
        y[:, effect.target] = 0
    elif isinstance(change, Stuck):
        y[:, effect.target] = closed[row][:, effect.target] if change.position == "closed" else 0
    elif value is not None:
        _apply_to_branch(effect, y, value)
    # A part that was taken apart for the test stays apart, whatever is wrong with it.
    if effect.target >= 0 and _is_apart(effect, setting):
        y[:, effect.target] = 0


def _is_apart(effect: Effect, setting: Setting) -> bool:
    change = effect.change
    return getattr(change, "part", getattr(change, "switch", None)) in setting.apart


def _apply_to_branch(effect: Effect, y: ComplexArray, value: Array) -> None:
    target = effect.target
    if isinstance(effect.change, Short):
        y[:, target] = y[:, target] + 1 / value
    elif isinstance(effect.change, Drift):
        y[:, target] = y[:, target] / value
    elif isinstance(effect.change, Contact):
        y[:, target] = y[:, target] / (1 + y[:, target] * value)


def _apply_to_source(effect: Effect, system: _System, row: int, value: Array | None) -> None:
    source = effect.source
    if isinstance(effect.change, Level) and value is not None:
        system.emf[row, :, source] *= value
    elif isinstance(effect.change, Contact) and value is not None:
        system.series[row, :, source] += value * system.tie[row, :, source]
    elif isinstance(effect.change, Open):
        system.tie[row, :, source], system.series[row, :, source], system.emf[row, :, source] = 0, 1, 0


def _incidence(network: Network) -> Array:
    """Signed incidence of branches and then sources, of shape (nodes, branches + sources)."""
    ends = [(b.a, b.b) for b in network.branches] + [(network.node(s.a), network.node(s.b)) for s in network.sources]
    matrix = np.zeros((network.size, len(ends)))
    for column, (a, b) in enumerate(ends):
        if a >= 0:
            matrix[a, column] += 1
        if b >= 0:
            matrix[b, column] -= 1
    return matrix


def _nodal(network: Network, system: _System, probes: Sequence[Probe]) -> ComplexArray:
    """Node voltages and source currents: column 0 from the sources, then from one ampere into each probe pair.

    Returns an array of shape (H, S, nodes + sources, 1 + probes).
    """
    size, n_sources = network.size, len(network.sources)
    incidence = _incidence(network)
    branches, ties = incidence[:, : len(network.branches)], incidence[:, len(network.branches) :]
    shape = system.admittance.shape[:2]
    real = not np.iscomplexobj(system.admittance) or (not system.admittance.imag.any() and not system.emf.imag.any())
    matrix = np.zeros((*shape, size + n_sources, size + n_sources), dtype=float if real else complex)
    admittance = system.admittance.real if real else system.admittance
    matrix[:, :, :size, :size] = (branches * admittance[:, :, None, :]) @ branches.T
    matrix[:, :, np.arange(size), np.arange(size)] += LEAST_CONDUCTANCE
    matrix[:, :, :size, size:] = ties
    matrix[:, :, size:, :size] = ties.T * system.tie[:, :, :, None]
    matrix[:, :, np.arange(size, size + n_sources), np.arange(size, size + n_sources)] = -system.series
    right = np.zeros((*shape, size + n_sources, 1 + len(probes)), dtype=matrix.dtype)
    right[:, :, size:, 0] = system.emf.real if real else system.emf
    for column, probe in enumerate(probes, start=1):
        for node, amperes in ((probe.plus, 1.0), (probe.minus, -1.0)):
            if node >= 0:
                right[:, :, node, column] += amperes
    return np.linalg.solve(matrix, right).astype(complex, copy=False)


def _across(nodes: ComplexArray, a: int, b: int, column: int) -> ComplexArray:
    zero = np.zeros(nodes.shape[:2], dtype=complex)
    return (nodes[:, :, a, column] if a >= 0 else zero) - (nodes[:, :, b, column] if b >= 0 else zero)


def _cooled(network: Network, system: _System, nodes: ComplexArray, hot: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Which parts that count as hot do not take their heating power."""
    cooled = np.zeros_like(hot)
    for i, branch in enumerate(network.branches):
        if branch.law.heats_above is not None:
            volts = _across(nodes, branch.a, branch.b, 0)
            power = np.abs(volts) ** 2 * system.admittance[:, :, i].real
            cooled[:, :, i] = hot[:, :, i] & (power < branch.law.heats_above)
    return cooled


def _read(network: Network, system: _System, nodes: ComplexArray, probe: Probe, index: int) -> Solved:
    voltage = _across(nodes, probe.plus, probe.minus, 0)
    impedance = _across(nodes, probe.plus, probe.minus, 1 + index)
    if probe.branch < 0:
        current = np.zeros_like(voltage)
    elif probe.branch < len(network.branches):
        current = voltage * system.admittance[:, :, probe.branch]
    else:
        current = nodes[:, :, network.size + probe.branch - len(network.branches), 0]
    return Solved(voltage, impedance, current)
