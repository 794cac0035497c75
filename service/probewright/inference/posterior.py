"""Bayes' rule over hypotheses, in log space, with and without each piece of evidence."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.errors import EngineError

Array = NDArray[np.float64]

#: Odds are clipped here before they become decibans: 120 decibans either way.
_LEAST = 1e-12


@dataclass(frozen=True, slots=True)
class Posterior:
    """Probabilities of hypotheses.

    Attributes
    ----------
    probabilities : ndarray of shape (n_hypotheses,)
        Given all evidence; they add up to 1.
    without : ndarray of shape (n_evidence, n_hypotheses)
        Given all evidence but one piece; each row adds up to 1.
    surprise : ndarray of shape (n_evidence,)
        One over the probability of each piece given all the others.
    log_evidence : float
        Logarithm of the probability of all the evidence, in nats.
    """

    probabilities: Array
    without: Array
    surprise: Array
    log_evidence: float


def posterior(log_prior: Array, log_likelihoods: Array, inverse: Array | None = None) -> Posterior:
    """Combine a prior with pieces of evidence that are independent given the hypothesis.

    Leaving a piece out divides by its likelihood: P(h | all but e) is proportional to P(h | all) / P(e | h).

    Parameters
    ----------
    log_prior : ndarray of shape (n_hypotheses,), in nats
    log_likelihoods : ndarray of shape (n_evidence, n_hypotheses), in nats
        -inf is allowed as long as some hypothesis is possible under all of it.
    inverse : ndarray of shape (n_evidence, n_hypotheses) or None
        One over the likelihoods, where the caller has it already; finite.

    Returns
    -------
    Posterior

    Raises
    ------
    EngineError
        When no hypothesis is possible; the message says which piece of evidence did it.
    """
    total = log_prior + log_likelihoods.sum(axis=0)
    peak = total.max()
    if not np.isfinite(peak):
        _raise_impossible(log_prior, log_likelihoods)
    weights = np.exp(total - peak)
    mass = weights.sum()
    weights /= mass
    if inverse is None:
        if np.isinf(log_likelihoods).any():
            return _one_by_one(log_prior, log_likelihoods, weights, float(peak + np.log(mass)))
        inverse = np.exp(-log_likelihoods)
    without = inverse * weights
    surprise = without.sum(axis=1)
    without /= surprise[:, None]
    return Posterior(weights, without, surprise, float(peak + np.log(mass)))


def _one_by_one(log_prior: Array, log_likelihoods: Array, weights: Array, log_evidence: float) -> Posterior:
    """As :func:`posterior`, where impossible hypotheses come back when a piece is left out."""
    without, surprise = np.empty(log_likelihoods.shape), np.empty(len(log_likelihoods))
    for left_out in range(len(log_likelihoods)):
        rest = log_prior + np.delete(log_likelihoods, left_out, axis=0).sum(axis=0)
        without[left_out] = np.exp(rest - rest.max())
        mass = without[left_out].sum()
        without[left_out] /= mass
        surprise[left_out] = np.exp(rest.max() + np.log(mass) - log_evidence)
    return Posterior(weights, without, surprise, log_evidence)


def _raise_impossible(log_prior: Array, log_likelihoods: Array) -> None:
    running = log_prior.copy()
    for piece, row in enumerate(log_likelihoods):
        running = running + row
        if not np.isfinite(running.max()):
            raise EngineError(f"evidence {piece} contradicts what came before it: no hypothesis is left")
    raise EngineError("the prior leaves no hypothesis")


def decibans(with_all: Array, without: Array) -> Array:
    """Ten times the decimal logarithm of the Bayes factor of each piece of evidence, given the rest.

    Parameters
    ----------
    with_all : ndarray of shape (n_faults,)
        Probabilities given all evidence.
    without : ndarray of shape (n_evidence, n_faults)
        The same without each piece.

    Returns
    -------
    ndarray of shape (n_evidence, n_faults)
    """
    return np.asarray(10 * (_log10_odds(with_all) - _log10_odds(without)))


def _log10_odds(p: Array) -> Array:
    p = np.clip(p, _LEAST, 1 - _LEAST)
    return np.asarray(np.log10(p / (1 - p)))
