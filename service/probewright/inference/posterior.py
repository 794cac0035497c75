"""Bayes' rule over hypotheses, in log space, and piece by piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import isfinite, log
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from probewright.errors import EngineError
from probewright.inference.kernels import add_up, add_up_by_stage, left_out_by_class, share_out

Array = NDArray[np.float64]
Rows = NDArray[np.int32]

#: Odds are clipped here before they become decibans: 120 decibans either way.
_LEAST = 1e-12


class Posterior:
    """Probabilities of hypotheses, and what is derived from them when asked for.

    Attributes
    ----------
    probabilities : ndarray of shape (n_hypotheses,)
        Given all evidence; they add up to 1.
    log_evidence : float
        Logarithm of the probability of all the evidence, in nats.
    log_prior : ndarray of shape (n_hypotheses,), in nats
    log_likelihoods : ndarray of shape (n_evidence, n_hypotheses), in nats
    """

    def __init__(self, probabilities: Array, log_evidence: float, log_prior: Array, log_likelihoods: Array) -> None:
        self.probabilities, self.log_evidence = probabilities, log_evidence
        self.log_prior, self.log_likelihoods = log_prior, log_likelihoods

    @cached_property
    def stages(self) -> Array:
        """Probabilities as the evidence comes in: shape (1 + n_evidence, n_hypotheses).

        Row k is given the first k pieces; row 0 is the prior, and each row adds up to 1.
        """
        logs = np.cumsum(np.concatenate([self.log_prior[None], self.log_likelihoods]), axis=0)
        logs -= logs.max(axis=1, keepdims=True)
        stages = np.exp(logs)
        stages /= stages.sum(axis=1, keepdims=True)
        return stages

    @cached_property
    def likelihoods(self) -> Array:
        """Of each piece under each hypothesis: shape (n_evidence, n_hypotheses)."""
        return np.exp(self.log_likelihoods)

    @cached_property
    def surprise(self) -> Array:
        """One over the probability of each piece given all the others: shape (n_evidence,)."""
        return np.asarray(left_out(self.probabilities, self.likelihoods).sum(axis=-1))

    @cached_property
    def predictive(self) -> Array:
        """Probability of each piece before any other came in: shape (n_evidence,)."""
        return np.asarray(self.likelihoods @ self.stages[0])

    def present(self, faults: tuple[Rows, Rows]) -> Array:
        """Probability of each fault as the evidence comes in: shape (1 + n_evidence, n_faults).

        Parameters
        ----------
        faults : two ndarrays of int32, shape (n_hypotheses,)
            The faults of each hypothesis, counted from 1; 0 for none.
        """
        return present(self.stages.copy(), faults)


class TabledPosterior(Posterior):
    """The same for evidence that is known by classes of hypotheses: most is worked out without a row for each piece."""

    def __init__(self, probabilities: Array, log_evidence: float, log_prior: Array, evidence: Tables) -> None:
        self.probabilities, self.log_evidence, self.log_prior = probabilities, log_evidence, log_prior
        self._evidence = evidence

    @cached_property
    def log_likelihoods(self) -> Array:  # type: ignore[override]  # worked out when asked for
        """Of each piece under each hypothesis: shape (n_evidence, n_hypotheses), in nats."""
        return self._evidence.log_likelihoods()

    @cached_property
    def _expected(self) -> tuple[Array, Array]:
        surprise, predictive = np.empty((2, len(self._evidence.pieces)))
        prior = np.exp(self.log_prior)
        left_out_by_class(self.probabilities, prior / prior.sum(), *self._evidence, surprise, predictive)
        return surprise, predictive

    @property
    def surprise(self) -> Array:
        """One over the probability of each piece given all the others: shape (n_evidence,)."""
        return self._expected[0]

    @property
    def predictive(self) -> Array:
        """Probability of each piece before any other came in: shape (n_evidence,)."""
        return self._expected[1]

    def present(self, faults: tuple[Rows, Rows]) -> Array:
        weights = np.empty((1 + len(self._evidence.pieces), len(self.log_prior)))
        add_up_by_stage(self.log_prior, *self._evidence, weights)
        return present(np.exp(weights, out=weights), faults)


class Tables(NamedTuple):
    """Evidence by classes of hypotheses.

    Attributes
    ----------
    classes : ndarray of int32, shape (n_records, n_columns)
        The class of each hypothesis in each record of evidence.
    tables : ndarray of shape (n_entries,), in nats
        Log-likelihoods by class of pieces of evidence, end to end.
    pieces : ndarray of int, shape (n_evidence, 2)
        Of each piece of one case its record, and where its table begins.
    """

    classes: Rows
    tables: Array
    pieces: NDArray[np.int64]

    def log_likelihoods(self) -> Array:
        """Of each piece under each hypothesis: shape (n_evidence, n_columns), in nats."""
        rows = np.empty((len(self.pieces), self.classes.shape[1]))
        for row, (record, start) in zip(rows, self.pieces.tolist(), strict=True):
            np.take(self.tables[start:], self.classes[record], out=row)
        return rows


def present(weights: Array, faults: tuple[Rows, Rows]) -> Array:
    """Probability of each fault, from weights of hypotheses, which are made probabilities.

    Parameters
    ----------
    weights : ndarray of shape (n_rows, n_hypotheses)
        Each row is divided by its sum, in place.
    faults : two ndarrays of int32, shape (n_hypotheses,)
        The faults of each hypothesis, counted from 1; 0 for none.

    Returns
    -------
    ndarray of shape (n_rows, n_faults)
    """
    first, second = faults
    found = np.empty((len(weights), 1 + max(int(first.max()), int(second.max()))))
    share_out(weights, first, second, np.empty(len(weights)), found)
    return found[:, 1:]


def posterior(log_prior: Array, log_likelihoods: Array) -> Posterior:
    """Combine a prior with pieces of evidence that are independent given the hypothesis.

    Parameters
    ----------
    log_prior : ndarray of shape (n_hypotheses,), in nats, normalised
    log_likelihoods : ndarray of shape (n_evidence, n_hypotheses), in nats
        -inf is allowed as long as some hypothesis is possible under all of it.

    Returns
    -------
    Posterior

    Raises
    ------
    EngineError
        When no hypothesis is possible; the message says which piece of evidence did it.
    """
    # The ufuncs' own reductions, in place: on arrays this small the methods of arrays cost more than the sums.
    weights = np.add.reduce(log_likelihoods, axis=0)
    weights += log_prior
    peak = float(np.maximum.reduce(weights))
    if not isfinite(peak):
        raise impossible(log_prior, log_likelihoods)
    weights -= peak
    np.exp(weights, out=weights)
    mass = float(np.add.reduce(weights))
    weights /= mass
    return Posterior(weights, peak + log(mass), log_prior, log_likelihoods)


@dataclass(frozen=True, slots=True)
class Batch:
    """The posteriors of many cases with the same prior.

    Attributes
    ----------
    probabilities : ndarray of shape (n_cases, n_hypotheses)
        Rows without meaning where no hypothesis is possible.
    present : ndarray of shape (n_cases, n_faults)
        Probability that each fault is present.
    log_evidence : ndarray of shape (n_cases,), in nats
    possible : ndarray of bool, shape (n_cases,)
        Whether any hypothesis is.
    """

    probabilities: Array
    present: Array
    log_evidence: Array
    possible: NDArray[np.bool_]


def posteriors(
    log_prior: Array, faults: tuple[Rows, Rows], classes: Rows, tables: Array, pieces: Sequence[NDArray[np.int64]],
) -> Batch:  # fmt: skip
    """Combine a prior with the evidence of each of many cases, whose pieces are tables over classes of hypotheses.

    Each case is worked out by itself, so it has the same bits alone and among others.

    Parameters
    ----------
    log_prior : ndarray of shape (n_hypotheses,), in nats, normalised
    faults : two ndarrays of int32, shape (n_hypotheses,)
        The faults of each hypothesis, counted from 1; 0 for none.
    classes : ndarray of int32, shape (n_records, n_hypotheses)
        The class of each hypothesis in each record of evidence.
    tables : ndarray of shape (n_entries,), in nats
        Log-likelihoods by class of pieces of evidence.
    pieces : sequence of ndarrays of int, shape (n_evidence, 2)
        Of each piece of each case its record, and where its table begins.
    """
    count, (first, second) = len(pieces), faults
    ends = np.cumsum([len(own) for own in pieces])
    weights, peaks, masses = np.empty((count, len(log_prior))), np.empty(count), np.empty(count)
    add_up(log_prior, classes, tables, np.concatenate(pieces).astype(np.int64, copy=False), ends, weights, peaks)
    np.exp(weights, out=weights)
    present = np.empty((count, 1 + max(int(first.max()), int(second.max()))))
    share_out(weights, first, second, masses, present)
    return Batch(weights, present[:, 1:], peaks + np.log(masses), np.isfinite(peaks))


def left_out(weights: Array, likelihood: Array) -> Array:
    """Take a piece of evidence back: weights over its likelihood, not normalised.

    A hypothesis that the piece made impossible stays so.  With rows of likelihoods each row is taken back by itself.
    """
    return np.divide(weights, likelihood, out=np.zeros(likelihood.shape), where=likelihood > 0)


def impossible(log_prior: Array, log_likelihoods: Array) -> EngineError:
    """The error that says which piece of evidence left no hypothesis."""
    running = log_prior
    if not np.isfinite(running.max()):
        return EngineError("the prior leaves no hypothesis")
    for piece, row in enumerate(log_likelihoods):
        running = running + row
        if not np.isfinite(running.max()):
            return EngineError(f"evidence {piece} contradicts what came before it: no hypothesis is left")
    return EngineError("the evidence leaves no hypothesis")


def decibans(stages: Array) -> Array:
    """What each piece of evidence did: ten times the decimal logarithm of the factor it changed the odds by.

    Parameters
    ----------
    stages : ndarray of shape (1 + n_evidence, n_faults)
        Probabilities before any evidence and after each piece.

    Returns
    -------
    ndarray of shape (n_evidence, n_faults)
        The columns add up to the whole way from the prior to the posterior odds.
    """
    p = np.clip(stages, _LEAST, 1 - _LEAST)
    return np.asarray(np.diff(10 * np.log10(p / (1 - p)), axis=0))
