"""Modified nodal analysis of a network under many hypotheses and samples at once.

Axes, always in this order: hypothesis (H), sample (S), then node, branch or probe.  Every node has a conductance of
``LEAST_CONDUCTANCE`` siemens to the reference, so a floating part reads 0 V and 100 gigohm instead of failing.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.faulty import Faulty, Hypothesis, Setting, carry_out
from probewright.circuit.network import Network

Array = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]
Ends = tuple[tuple[int, int], ...]

#: Siemens.  Less than a 10 megohm meter or any insulation limit could notice.
LEAST_CONDUCTANCE = 1e-11
#: Siemens.  Branches that conduct better are written as impedances with a current of their own: as admittances they
#: would leave nothing of the least conductance in double precision, and a floating island would read anything.
_FIRM = 1e2

__all__ = ["LEAST_CONDUCTANCE", "Hypothesis", "Probe", "Setting", "Solved", "solve"]


@dataclass(frozen=True, slots=True)
class Probe:
    """A pair of nodes; or a branch or source (counted after the branches), whose own ends then count."""

    plus: int
    minus: int
    branch: int = -1


@dataclass(frozen=True, slots=True)
class Solved:
    """Phasors of one probe, each of shape (H, S): open-circuit voltage, source impedance, and branch current."""

    voltage: ComplexArray
    impedance: ComplexArray
    current: ComplexArray


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
    hot = np.full((len(hypotheses), len(samples), len(network.branches)), setting.powered)
    # A part that does not take its heating power in its hot state is cold.  Parts only ever turn from hot to cold
    # here, so this ends after at most one round for each part that heats itself.
    while True:
        faulty = carry_out(network, setting, hypotheses, parameters, temperature, hot)
        solved = [_Solution(network, faulty, probes, rows) for rows in _alike(faulty.ends)]
        cold = np.zeros_like(hot)
        for solution in solved:
            cold[solution.rows] = solution.cooled(hot[solution.rows])
        if not cold.any():
            return [_gathered(solved, i, hot.shape[:2]) for i in range(len(probes))]
        hot &= ~cold


def _alike(ends: Sequence[Ends]) -> list[NDArray[np.intp]]:
    """Hypotheses whose branches end at the same nodes: they are solved together."""
    groups: dict[Ends, list[int]] = {}
    for row, of_row in enumerate(ends):
        groups.setdefault(of_row, []).append(row)
    return [np.array(rows, dtype=np.intp) for rows in groups.values()]


def _gathered(solved: Sequence[_Solution], probe: int, shape: tuple[int, ...]) -> Solved:
    whole = Solved(*(np.empty(shape, dtype=complex) for _ in range(3)))
    for solution in solved:
        part = solution.read(probe)
        whole.voltage[solution.rows] = part.voltage
        whole.impedance[solution.rows] = part.impedance
        whole.current[solution.rows] = part.current
    return whole


class _Solution:
    """The solution of some hypotheses (``rows``) that share the ends of their branches."""

    def __init__(self, network: Network, faulty: Faulty, probes: Sequence[Probe], rows: NDArray[np.intp]) -> None:
        self.rows = rows
        self._network, self._probes = network, probes
        self._admittance, self._own = faulty.admittance[rows], faulty.own[rows]
        self._contact = faulty.contact[rows]
        sources = tuple((network.node(s.a), network.node(s.b)) for s in network.sources)
        self._ends = (*faulty.ends[int(rows[0])], *sources)
        # Sources, and then firm branches, have currents of their own.
        self._firm = np.flatnonzero((np.abs(self._admittance) > _FIRM).any(axis=(0, 1)))
        firm = self._admittance[:, :, self._firm]
        conducts = np.abs(firm) > 0
        self._nodes = self._solve(
            np.concatenate([faulty.tie[rows], conducts], axis=-1),
            np.concatenate([faulty.series[rows], np.where(conducts, 1 / np.where(conducts, firm, 1.0), 1.0)], axis=-1),
            np.concatenate([faulty.emf[rows], np.zeros_like(firm)], axis=-1),
        )

    def _solve(self, tie: Array, series: ComplexArray, emf: ComplexArray) -> ComplexArray:
        """Node voltages and own currents: column 0 from the sources, then from one ampere into each probe pair.

        Returns an array of shape (H, S, nodes + sources + firm branches, 1 + probes).
        """
        size, count = self._network.size, tie.shape[-1]
        incidence, branches = _incidence(size, self._ends), len(self._network.branches)
        ties = np.concatenate([incidence[:, branches:], incidence[:, self._firm]], axis=1)
        shape, total = self._admittance.shape[:2], size + count
        real = not self._admittance.imag.any() and not emf.imag.any() and not series.imag.any()
        matrix = np.zeros((*shape, total, total), dtype=float if real else complex)
        admittance = self._admittance.real if real else self._admittance
        for branch in np.setdiff1d(np.arange(branches), self._firm).tolist():
            _stamp(matrix, self._ends[branch], admittance[:, :, branch])
        matrix[:, :, np.arange(size), np.arange(size)] += LEAST_CONDUCTANCE
        matrix[:, :, :size, size:] = ties
        matrix[:, :, size:, :size] = ties.T * tie[:, :, :, None]
        matrix[:, :, np.arange(size, total), np.arange(size, total)] = -(series.real if real else series)
        right = np.zeros((*shape, total, 1 + len(self._probes)), dtype=matrix.dtype)
        right[:, :, size:, 0] = emf.real if real else emf
        for column, probe in enumerate(self._probes, start=1):
            for node, amperes in zip(self._terminals(probe), (1.0, -1.0), strict=True):
                if node >= 0:
                    right[:, :, node, column] += amperes
        return np.linalg.solve(matrix, right).astype(complex, copy=False)

    def _terminals(self, probe: Probe) -> tuple[int, int]:
        return self._ends[probe.branch] if probe.branch >= 0 else (probe.plus, probe.minus)

    def _across(self, ends: tuple[int, int], column: int) -> ComplexArray:
        zero = np.zeros(self._nodes.shape[:2], dtype=complex)
        a, b = (self._nodes[:, :, node, column] if node >= 0 else zero for node in ends)
        return a - b

    def cooled(self, hot: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Which parts that count as hot do not take their heating power; shapes (H, S, branches)."""
        cold = np.zeros_like(hot)
        for i, branch in enumerate(self._network.branches):
            if branch.law.heats_above is not None:
                volts = self._across(self._ends[i], 0)
                # Without what a bad contact in series drops.
                volts = volts * (1 - self._admittance[:, :, i] * self._contact[:, :, i])
                power = np.abs(volts) ** 2 * self._own[:, :, i].real
                cold[:, :, i] = hot[:, :, i] & (power < branch.law.heats_above)
        return cold

    def read(self, index: int) -> Solved:
        """One probe."""
        probe = self._probes[index]
        ends, branches = self._terminals(probe), len(self._network.branches)
        voltage, impedance = self._across(ends, 0), self._across(ends, 1 + index)
        if probe.branch < 0:
            current = np.zeros_like(voltage)
        elif probe.branch >= branches:
            current = self._nodes[:, :, self._network.size + probe.branch - branches, 0]
        elif probe.branch in self._firm:
            own = len(self._network.sources) + int(np.searchsorted(self._firm, probe.branch))
            current = self._nodes[:, :, self._network.size + own, 0]
        else:
            current = voltage * self._admittance[:, :, probe.branch]
        return Solved(voltage, impedance, current)


def _stamp(matrix: Array | ComplexArray, ends: tuple[int, int], admittance: Array | ComplexArray) -> None:
    """Add a branch to the admittances between nodes; matrix of shape (H, S, total, total), admittance (H, S)."""
    a, b = ends
    for node in (a, b):
        if node >= 0:
            matrix[:, :, node, node] += admittance
    if a >= 0 and b >= 0:
        matrix[:, :, a, b] -= admittance
        matrix[:, :, b, a] -= admittance


def _incidence(size: int, ends: Ends) -> Array:
    """Signed incidence of branches and then sources, of shape (nodes, branches + sources)."""
    matrix = np.zeros((size, len(ends)))
    for column, (a, b) in enumerate(ends):
        if a >= 0:
            matrix[a, column] += 1
        if b >= 0:
            matrix[b, column] -= 1
    return matrix
