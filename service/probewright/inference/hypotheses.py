"""Sets of faults: none, each one, and pairs; and their prior probabilities in one configuration."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from probewright.circuit.parts import holds
from probewright.packs.model import Family, Fault

Array = NDArray[np.float64]
Index = NDArray[np.intp]


class Hypotheses:
    """Hypotheses of one configuration.

    The order is: no fault, single faults in the order of ``faults``, pairs, and last *something that the pack does
    not know*.

    Attributes
    ----------
    faults : tuple of str
        Faults that this configuration can have.
    first, second : ndarray of int, shape (n_hypotheses - 1,)
        The faults of each hypothesis but the last, counted from 1; 0 stands for none.  ``first`` is less than
        ``second`` for pairs; single faults stand in ``first``.
    log_prior : ndarray of shape (n_hypotheses,), in nats, normalised
    """

    def __init__(self, faults: Sequence[str], first: Index, second: Index, log_prior: Array) -> None:
        self.faults = tuple(faults)
        self.first, self.second, self.log_prior = first, second, log_prior
        self._place: dict[tuple[str, ...], Index] = {}  # bounded by the lists that the family's records have

    @classmethod
    def of(cls, family: Family, configuration: Mapping[str, str]) -> Hypotheses:
        """All hypotheses of a family in one configuration."""
        present = [fault for fault in family.faults if holds(fault.when, configuration)]
        count = len(present)
        a, b = np.triu_indices(count, 1)
        allowed = np.array([together(present[i], present[j]) for i, j in zip(a, b, strict=True)], dtype=bool)
        a, b = a[allowed] + 1, b[allowed] + 1
        singles = np.arange(1, count + 1)
        first = np.concatenate([[0], singles, a]).astype(np.intp)
        second = np.concatenate([[0], np.zeros(count, dtype=np.intp), b]).astype(np.intp)
        log_prior = _prior(present, first, second, float(family.unknown_rate))
        return cls([fault.id for fault in present], first, second, log_prior)

    def __len__(self) -> int:
        return len(self.log_prior)

    def singly(self) -> Hypotheses:
        """No fault, the single faults and the unknown one, with what prior they had."""
        kept = len(self.faults) + 1
        log_prior = np.append(self.log_prior[:kept], self.log_prior[-1])
        return Hypotheses(self.faults, self.first[:kept], self.second[:kept], log_prior)

    def sets(self) -> list[tuple[str, ...]]:
        """The fault ids in each hypothesis but the last."""
        names = ("", *self.faults)
        return [
            tuple(names[i] for i in pair if i) for pair in zip(self.first.tolist(), self.second.tolist(), strict=True)
        ]

    def set_of(self, place: int) -> tuple[str, ...]:
        """The fault ids in one hypothesis, as in :meth:`sets`."""
        pair = (int(self.first[place]), int(self.second[place]))
        return tuple(self.faults[i - 1] for i in pair if i)

    def positions(self, faults: Sequence[str]) -> Index:
        """Where each fault of this configuration (from 1, 0 for none) stands in a list, counted from 1, else 0."""
        known = tuple(faults)
        if known not in self._place:
            place = {fault: i for i, fault in enumerate(known, start=1)}
            self._place[known] = np.array([0, *(place.get(fault, 0) for fault in self.faults)], dtype=np.intp)
        return self._place[known]

    def per_fault(self, values: Mapping[str, float]) -> Array:
        """Numbers by fault as an array of shape (n_faults + 1,), zero for none and for faults not named."""
        return np.array([0.0, *(float(values.get(fault, 0.0)) for fault in self.faults)])


def together(a: Fault, b: Fault) -> bool:
    """Whether two faults can be there at the same time."""
    same_part = a.part is not None and a.part == b.part
    return not (same_part or b.id in a.excludes or a.id in b.excludes)


def _prior(present: Sequence[Fault], first: Index, second: Index, unknown_rate: float) -> Array:
    log_odds = np.zeros(len(present) + 1)
    rates = np.array([float(fault.rate) for fault in present])
    log_odds[1:] = np.log(rates) - np.log1p(-rates)
    unknown = np.log(unknown_rate) - np.log1p(-unknown_rate)
    log_prior = np.append(log_odds[first] + log_odds[second], unknown)
    return np.asarray(log_prior - np.log(np.exp(log_prior).sum()))

