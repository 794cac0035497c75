"""A network under one setting and many hypotheses: admittances, ends and sources, with every fault carried out.

Axes, always in this order: hypothesis (H), sample (S), then branch or source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.laws import Operating
from probewright.circuit.network import Effect, Network
from probewright.circuit.parts import Change, Contact, Drift, Leak, Level, Open, Short, Stuck, Swap

Array = NDArray[np.float64]
ComplexArray = NDArray[np.complex128]
Hypothesis = tuple[str, ...]

#: Siemens, the firmest connection: a tenth of a micro-ohm, finer than any contact.
MOST_CONDUCTANCE = 1e7

#: Changes to one part are carried out in this order, whatever faults they belong to: where a switch stands, what the
#: part itself has become, what bridges it, what is in series with all that, and whether anything is left of it.
_ORDER: tuple[type[Change], ...] = (Stuck, Drift, Short, Leak, Contact, Level, Open, Swap)


@dataclass(frozen=True, slots=True)
class Setting:
    """How the network is operated: under a command, with or without mains, at a frequency (Hz), with parts apart."""

    command: str
    powered: bool
    hertz: float
    apart: tuple[str, ...] = ()


@dataclass(slots=True)
class Faulty:
    """A network with the faults of each hypothesis.

    Attributes
    ----------
    admittance : ndarray of shape (H, S, n_branches)
        Siemens, from end to end of each branch, bad contacts included.
    own : ndarray of shape (H, S, n_branches)
        Siemens of the part itself, without what bridges it and what is in series.
    contact : ndarray of shape (H, S, n_branches)
        Ohms in series with it.
    ends : list of tuples of (a, b), for each hypothesis
        Where each branch ends: crossed conductors end elsewhere.
    tie, series, emf : ndarray of shape (H, S, n_sources)
        Source equations: ``tie`` (va - vb) - ``series`` i = ``emf``, with i flowing from a to b inside the source.
    """

    admittance: ComplexArray
    own: ComplexArray
    contact: Array
    ends: list[tuple[tuple[int, int], ...]]
    tie: Array
    series: Array
    emf: ComplexArray


def conductance_of(impedance: Array | ComplexArray) -> ComplexArray:
    """One over an impedance, no firmer than :data:`MOST_CONDUCTANCE`; infinite ohms conduct nothing."""
    size = np.abs(impedance)
    firm = size * MOST_CONDUCTANCE < 1
    open_ = np.isinf(size)
    inverse = 1 / np.where(firm | open_, 1.0, impedance)
    return np.where(open_, 0.0, np.where(firm, MOST_CONDUCTANCE, inverse)).astype(complex)


def carry_out(
    network: Network, setting: Setting, hypotheses: Sequence[Hypothesis], parameters: Array, temperature: float,
    hot: NDArray[np.bool_],
) -> Faulty:  # fmt: skip
    """Assemble the network for every hypothesis.

    Parameters
    ----------
    parameters : ndarray of shape (n_parameters, S)
    temperature : float
        At every part, in degC.
    hot : ndarray of bool, shape (H, S, n_branches)
        Which parts count as hot.
    """
    closed = _conducting(network, setting, len(hypotheses), parameters, temperature, hot)
    own = closed.copy()
    own[:, :, [_rests(branch, setting) for branch in network.branches]] = 0
    shape = (len(hypotheses), parameters.shape[1], len(network.sources))
    emf = np.zeros(shape, dtype=complex)
    if setting.powered:
        emf[:] = [float(s.volts) * np.exp(1j * np.radians(s.phase)) for s in network.sources]
    ends = tuple((branch.a, branch.b) for branch in network.branches)
    faulty = Faulty(
        own.copy(), own, np.zeros(own.shape), [ends] * len(hypotheses),
        np.full(shape, float(setting.powered)), np.full(shape, float(not setting.powered)), emf,
    )  # fmt: skip
    apart = [i for i, branch in enumerate(network.branches) if branch.id in setting.apart]
    for row, hypothesis in enumerate(hypotheses):
        effects = [effect for fault in hypothesis for effect in network.effects.get(fault, ())]
        for effect in sorted(effects, key=lambda effect: _ORDER.index(type(effect.change))):
            _apply(effect, faulty, row, parameters, closed)
        faulty.admittance[row][:, apart] = 0  # what is taken apart for a test stays apart, whatever is wrong with it
    return faulty


def _conducting(
    network: Network, setting: Setting, count: int, parameters: Array, temperature: float, hot: NDArray[np.bool_],
) -> ComplexArray:  # fmt: skip
    """Admittance of every branch as if every contact were closed and every fault's spare branch there."""
    admittance = np.empty((count, parameters.shape[1], len(network.branches)), dtype=complex)
    for i, branch in enumerate(network.branches):
        at = Operating(2 * np.pi * setting.hertz, np.array(temperature), hot[:, :, i])
        admittance[:, :, i] = conductance_of(branch.law.impedance(parameters[list(branch.slots)], at))
    return admittance


def _rests(branch: object, setting: Setting) -> bool:
    switch = getattr(branch, "switch", None)
    return bool(getattr(branch, "spare", False)) or (
        switch is not None and not switch.closed(setting.command, setting.powered)
    )


def _apply(effect: Effect, faulty: Faulty, row: int, parameters: Array, closed: ComplexArray) -> None:
    """Carry out one change in one hypothesis."""
    change = effect.change
    value = parameters[effect.slot] if effect.slot >= 0 else None
    if isinstance(change, Swap):
        faulty.ends[row] = _crossed(faulty.ends[row], effect.target, effect.partner)
    elif effect.source >= 0:
        _apply_to_source(effect, faulty, row, value)
    elif isinstance(change, Stuck | Leak):
        stands = isinstance(change, Leak) or change.position == "closed"
        conducts = closed[row][:, effect.target] if stands else np.zeros(closed.shape[1])
        faulty.own[row][:, effect.target] = faulty.admittance[row][:, effect.target] = conducts
    else:
        _apply_to_branch(change, faulty, row, effect.target, value)


def _crossed(ends: tuple[tuple[int, int], ...], first: int, second: int) -> tuple[tuple[int, int], ...]:
    changed = list(ends)
    changed[first], changed[second] = (ends[first][0], ends[second][1]), (ends[second][0], ends[first][1])
    return tuple(changed)


def _apply_to_branch(change: Change, faulty: Faulty, row: int, target: int, value: Array | None) -> None:
    y, own = faulty.admittance[row], faulty.own[row]
    if isinstance(change, Open):
        y[:, target] = 0
    elif value is None:
        return
    elif isinstance(change, Drift):
        own[:, target] = y[:, target] = y[:, target] / value
    elif isinstance(change, Short):
        y[:, target] = _firm(y[:, target] + conductance_of(value))
    elif isinstance(change, Contact):
        y[:, target] = y[:, target] / (1 + y[:, target] * value)
        faulty.contact[row][:, target] += value


def _firm(y: ComplexArray) -> ComplexArray:
    return y * np.minimum(1.0, MOST_CONDUCTANCE / np.maximum(np.abs(y), 1.0))


def _apply_to_source(effect: Effect, faulty: Faulty, row: int, value: Array | None) -> None:
    source = effect.source
    if isinstance(effect.change, Open):
        faulty.tie[row, :, source], faulty.series[row, :, source], faulty.emf[row, :, source] = 0, 1, 0
    elif value is None:
        return
    elif isinstance(effect.change, Level):
        faulty.emf[row, :, source] *= value * np.exp(1j * np.radians(float(effect.change.turned or 0.0)))
    elif isinstance(effect.change, Contact):
        faulty.series[row, :, source] += value * faulty.tie[row, :, source]
