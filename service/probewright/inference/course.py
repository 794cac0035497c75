"""The course of a job: what was found before any repair, and after each.

Between repairs nothing changes, so the evidence of each stretch is combined by Bayes' rule as it is.  A repair carries
what is believed at the end of one stretch to the beginning of the next (:mod:`probewright.inference.aftermath`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.inference.aftermath import Passages
from probewright.inference.evidence import Piece, Source
from probewright.inference.misfits import misfits
from probewright.inference.posterior import Posterior, posterior
from probewright_schemas.records import Clash

Array = NDArray[np.float64]
Rows = NDArray[np.int32]


@dataclass(frozen=True, slots=True, eq=False)
class Stretch:
    """A part of a job in which nothing was repaired.

    ``found`` is what its pieces of evidence led to, from what was believed when it began.
    """

    pieces: tuple[Source, ...]
    found: Posterior


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """All stretches of a job, the first before any repair.

    Attributes
    ----------
    stretches : tuple of Stretch
        One more than repairs.
    repairs : tuple of str
        What the repairs are called as evidence.
    passages : tuple of Passages
        One for each repair.
    """

    stretches: tuple[Stretch, ...]
    repairs: tuple[str, ...]
    passages: tuple[Passages, ...]

    @property
    def now(self) -> Array:
        """What is believed at the end: shape (n_columns,), adding up to 1."""
        return self.stretches[-1].found.probabilities

    @property
    def log_evidence(self) -> float:
        """Logarithm of the probability of all that was found, in nats."""
        return sum(stretch.found.log_evidence for stretch in self.stretches)

    @property
    def sources(self) -> tuple[str, ...]:
        """The pieces of evidence in the order in which they count; a repair stands before what was read after it."""
        told = [piece.source for piece in self.stretches[0].pieces]
        for repair, stretch in zip(self.repairs, self.stretches[1:], strict=True):
            told += [repair, *(piece.source for piece in stretch.pieces)]
        return tuple(told)

    def present(self, faults: tuple[Rows, Rows]) -> Array:
        """Probability of each fault before any evidence and after each piece: shape (1 + n_evidence, n_faults).

        Parameters are as of :meth:`Posterior.present`.
        """
        found = [stretch.found.present(faults) for stretch in self.stretches]
        return found[0] if len(found) == 1 else np.concatenate(found)

    def clashes(self) -> tuple[Clash, ...]:
        """The evidence that does not go together, of all stretches."""
        if len(self.stretches) == 1:
            return misfits(self.stretches[0].pieces, self.stretches[0].found)
        found: dict[tuple[str, ...], Clash] = {}
        for i, stretch in enumerate(self.stretches):
            later, start = self._later(i), stretch.found.log_prior
            rows = np.concatenate([stretch.found.log_likelihoods, _rows(later, len(start))])
            for clash in misfits([*stretch.pieces, *later], posterior(start, rows)):
                found.setdefault(clash.sources, clash)
        return tuple(found[key] for key in sorted(found))

    def _later(self, begin: int) -> list[Piece]:
        """Each later repair as evidence on a stretch: how likely it makes what was found after it."""
        pieces, before = [], np.ones(len(self.now))
        for end in range(begin + 1, len(self.stretches)):
            values = np.ones(len(self.now))
            for i in range(end, begin, -1):
                likelihood = np.add.reduce(self.stretches[i].found.log_likelihoods, axis=0)
                values = self.passages[i - 1].backward(values * np.exp(likelihood - likelihood.max()))
            pieces.append(Piece(self.repairs[end - 1], 0.0, log_likelihood=_log(values) - _log(before)))
            before = values
        return pieces


def follow(
    log_prior: Array, pieces: Sequence[Sequence[Piece]], repairs: Sequence[str], passages: Sequence[Passages],
) -> Course:  # fmt: skip
    """Go through a job.

    Parameters
    ----------
    log_prior : ndarray of shape (n_columns,), in nats
    pieces : sequence of sequences of Piece
        The evidence before any repair, and after each.
    repairs, passages : sequences
        Of each repair what it is called as evidence, and what it did.
    """
    start = log_prior
    stretches: list[Stretch] = []
    for i, told in enumerate(pieces):
        if i:
            moved = passages[i - 1].forward(stretches[-1].found.probabilities)
            start = _log(moved / moved.sum())
        stretches.append(Stretch(tuple(told), posterior(start, _rows(told, len(start)))))
    return Course(tuple(stretches), tuple(repairs), tuple(passages))


def _rows(pieces: Sequence[Piece], count: int) -> Array:
    return np.array([piece.log_likelihood for piece in pieces]).reshape(len(pieces), count)


def _log(weights: Array) -> Array:
    """Logarithms, for what may have no weight at all."""
    return np.log(np.maximum(weights, np.finfo(np.float64).tiny))
