"""A world that differs from the model: other fault rates, wider tolerances, more mistakes, less told."""

from __future__ import annotations

from dataclasses import fields, replace
from math import exp, log

from probewright.circuit.laws import Law
from probewright.circuit.parts import Circuit, Part
from probewright.figures import Figure, Spread, derived
from probewright.packs.model import Family, Fault
from probewright.simulation.draw import MENTIONED, Omissions
from probewright.simulation.luck import Luck

#: Fault rates are multiplied by anything between one over this and this.
RATES = 2.0
#: Tolerances of parts are so many times as wide.
WIDER = 1.5
#: Share of misread readings.
MISREAD = 0.03
#: How often what was noted in the model's own world is not noted, and how often customers tell more than was asked.
OMISSIONS = Omissions(ambient=0.5, supply=0.5, option=0.15, unasked=float(MENTIONED))
#: A width that would reach below nothing stops at this share of the lower bound.
_LEAST = 0.5
_HOW = "perturbed for a simulation"


def perturbed(family: Family, seed: int, world: int) -> Family:
    """A copy of a family with other rates and wider tolerances; the same seed and world give the same copy."""
    luck = Luck(seed, world)
    faults = tuple(_other_rate(fault, luck) for fault in family.faults)
    return replace(family, faults=faults, circuits=tuple(_wider_circuit(c) for c in family.circuits))


def _other_rate(fault: Fault, luck: Luck) -> Fault:
    factor = exp(log(RATES) * (2 * luck.uniform("rate", fault.id) - 1))
    return replace(fault, rate=derived(min(float(fault.rate) * factor, 0.5), _HOW))


def _wider_circuit(circuit: Circuit) -> Circuit:
    parts = tuple(replace(p, law=_wider_law(p.law)) if isinstance(p, Part) else p for p in circuit.parts)
    return replace(circuit, parts=parts)


def _wider_law(law: Law) -> Law:
    values = {f.name: getattr(law, f.name) for f in fields(law)}  # type: ignore[arg-type]  # packs are checked: a record
    return replace(law, **{n: wider(v) for n, v in values.items() if isinstance(v, Spread)})  # type: ignore[type-var]


def wider(spread: Spread, factor: float = WIDER) -> Spread:
    """A spread so many times as wide about its middle, in its own scale; one of a positive number stays positive."""
    low, high = float(spread.first), float(spread.second)
    if spread.kind == "normal":
        return replace(spread, second=derived(high * factor, _HOW))
    if spread.kind == "log_normal":
        return replace(spread, second=derived(high**factor, _HOW))
    if spread.kind == "log_uniform":
        middle, half = (log(low) + log(high)) / 2, factor * (log(high) - log(low)) / 2
        return _between(spread, exp(middle - half), exp(middle + half))
    middle, half = (low + high) / 2, factor * (high - low) / 2
    least = middle - half
    return _between(spread, max(least, _LEAST * low) if low > 0 else least, middle + half)


def _between(spread: Spread, low: float, high: float) -> Spread:
    return replace(spread, first=_figure(low), second=_figure(high))


def _figure(value: float) -> Figure:
    return derived(value, _HOW)
