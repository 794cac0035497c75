"""One circuit in one configuration, made ready for the solver: branches, sources, and sampled parameters."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.lattice import POINTS, coordinate
from probewright.circuit.laws import Law, Resistance
from probewright.circuit.parts import (
    Change,
    Circuit,
    Contact,
    Drift,
    Leak,
    Level,
    Part,
    Short,
    Source,
    Swap,
    Switch,
    holds,
)  # fmt: skip
from probewright.errors import PackModelError
from probewright.figures import Spread

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Branch:
    """A conducting element between two nodes; ``spare`` ones conduct only under the fault that brings them."""

    id: str
    a: int
    b: int
    law: Law
    slots: tuple[int, ...]
    switch: Switch | None = None
    spare: bool = False


@dataclass(frozen=True, slots=True)
class Effect:
    """A change, resolved: the branch it acts on (and the one it is crossed with) or the source, and its parameter."""

    change: Change
    target: int = -1
    partner: int = -1
    source: int = -1
    slot: int = -1


class Network:
    """A circuit under one configuration.

    Attributes
    ----------
    nodes : dict of str to int
        Node numbers; the reference has number -1.
    branches, sources : tuple
        In order of their ids.
    effects : dict of str to tuple of Effect
        By fault id, for the faults that change this network.
    parameters : ndarray of shape (n_parameters, POINTS)
        Every uncertain number, sampled.
    """

    def __init__(self, circuit: Circuit, configuration: Mapping[str, str], faults: Sequence[str]) -> None:
        self.circuit = circuit
        self.nodes: dict[str, int] = {circuit.reference: -1}
        self._spreads: list[Spread] = []
        present = sorted((p for p in circuit.parts if holds(p.when, configuration)), key=lambda p: p.id)
        self.sources = tuple(p for p in present if isinstance(p, Source))
        branches = self._alike([self._branch(p) for p in present if not isinstance(p, Source)], present)
        for source in self.sources:
            self._node(source.a), self._node(source.b)
        self._index = {branch.id: i for i, branch in enumerate(branches)}
        self._source_index = {source.id: i for i, source in enumerate(self.sources)}
        self.effects = {
            fault: tuple(self._effects(fault, circuit.changes[fault], branches))
            for fault in sorted(circuit.changes)
            if fault in set(faults)
        }
        self.branches = tuple(branches)
        self.parameters = self._sample()

    @property
    def size(self) -> int:
        """How many nodes besides the reference."""
        return len(self.nodes) - 1

    def node(self, name: str) -> int:
        """The number of a node; raises PackModelError when this configuration lacks it."""
        try:
            return self.nodes[name]
        except KeyError:
            raise PackModelError(f"circuit {self.circuit.id!r} has no node {name!r} in this configuration") from None

    def branch(self, part: str) -> int:
        """The index of a part or switch; raises PackModelError when this configuration lacks it."""
        try:
            return self._index[part]
        except KeyError:
            raise PackModelError(f"circuit {self.circuit.id!r} has no part {part!r} in this configuration") from None

    def _node(self, name: str) -> int:
        return self.nodes.setdefault(name, len(self.nodes) - 1)

    def _slot(self, spread: Spread) -> int:
        self._spreads.append(spread)
        return len(self._spreads) - 1

    def _branch(self, part: Part | Switch) -> Branch:
        law = part.law if isinstance(part, Part) else Resistance(part.contact)
        slots = tuple(self._slot(spread) for spread in law.spreads)
        switch = part if isinstance(part, Switch) else None
        return Branch(part.id, self._node(part.a), self._node(part.b), law, slots, switch)

    def _alike(self, branches: list[Branch], present: Sequence[Part | Switch | Source]) -> list[Branch]:
        """Branches with the parameters of the parts that they are like; their own are sampled and not used."""
        like = {part.id: part.like for part in present if isinstance(part, Part) and part.like is not None}
        slots = {branch.id: branch.slots for branch in branches}
        return [replace(b, slots=slots.get(like[b.id], b.slots)) if b.id in like else b for b in branches]

    def _effects(self, fault: str, changes: Sequence[Change], branches: list[Branch]) -> Iterator[Effect]:
        for change in changes:
            if isinstance(change, Leak):
                yield self._leak(fault, change, branches)
            elif isinstance(change, Swap):
                if change.first in self._index and change.second in self._index:
                    yield Effect(change, target=self._index[change.first], partner=self._index[change.second])
            elif isinstance(change, Level):
                if change.source in self._source_index:
                    yield Effect(change, source=self._source_index[change.source], slot=self._slot(change.factor))
            else:
                yield from self._on_part(change)

    def _on_part(self, change: Change) -> Iterator[Effect]:
        part = change.switch if hasattr(change, "switch") else change.part  # type: ignore[union-attr]
        slot = -1
        if isinstance(change, Short | Contact):
            slot = self._slot(change.ohms)
        elif isinstance(change, Drift):
            slot = self._slot(change.factor)
        if part in self._index:
            yield Effect(change, target=self._index[part], slot=slot)
        elif part in self._source_index:
            yield Effect(change, source=self._source_index[part], slot=slot)

    def _leak(self, fault: str, change: Leak, branches: list[Branch]) -> Effect:
        law = Resistance(change.ohms)
        ends, slots = (self._node(change.a), self._node(change.b)), (self._slot(change.ohms),)
        branches.append(Branch(f"{fault} leak", *ends, law, slots, spare=True))
        return Effect(change, target=len(branches) - 1)

    def _sample(self) -> Array:
        """Sample every spread; those without width take no coordinate, so they cost nothing."""
        rows, used = [], 0
        for spread in self._spreads:
            if spread.first == spread.second and spread.kind == "uniform":
                rows.append(np.full(POINTS, float(spread.first)))
                continue
            rows.append(spread.quantile(coordinate(used)))
            used += 1
        return np.array(rows).reshape(len(rows), POINTS)
