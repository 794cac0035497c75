"""Bayes' rule over hypotheses, in log space, and piece by piece."""

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
    stages : ndarray of shape (1 + n_evidence, n_hypotheses)
        Row k: given the first k pieces; row 0 is the prior, and each row adds up to 1.
    surprise : ndarray of shape (n_evidence,)
        One over the probability of each piece given all the others.
    log_evidence : float
        Logarithm of the probability of all the evidence, in nats.
    """

    probabilities: Array
    stages: Array
    surprise: Array
    log_evidence: float


def posterior(log_prior: Array, log_likelihoods: Array, likelihoods: Array | None = None) -> Posterior:
    """Combine a prior with pieces of evidence that are independent given the hypothesis.

    Parameters
    ----------
    log_prior : ndarray of shape (n_hypotheses,), in nats, normalised
    log_likelihoods : ndarray of shape (n_evidence, n_hypotheses), in nats
        -inf is allowed as long as some hypothesis is possible under all of it.
    likelihoods : ndarray of shape (n_evidence, n_hypotheses) or None
        Their exponentials, where the caller has them already.

    Returns
    -------
    Posterior

    Raises
    ------
    EngineError
        When no hypothesis is possible; the message says which piece of evidence did it.
    """
    logs = np.cumsum(np.concatenate([log_prior[None], log_likelihoods]), axis=0)
    peaks = logs.max(axis=1, keepdims=True)
    if not np.isfinite(peaks[-1, 0]):
        _raise_impossible(log_prior, log_likelihoods)
    stages = np.exp(logs - peaks)
    masses = stages.sum(axis=1, keepdims=True)
    stages /= masses
    if likelihoods is None:
        likelihoods = np.exp(log_likelihoods)
    surprise = left_out(stages[-1], likelihoods).sum(axis=-1)
    return Posterior(stages[-1], stages, surprise, float(peaks[-1, 0] + np.log(masses[-1, 0])))


def left_out(weights: Array, likelihood: Array) -> Array:
    """Take a piece of evidence back: weights over its likelihood, not normalised.

    A hypothesis that the piece made impossible stays so.  With rows of likelihoods each row is taken back by itself.
    """
    return np.divide(weights, likelihood, out=np.zeros(likelihood.shape), where=likelihood > 0)


def _raise_impossible(log_prior: Array, log_likelihoods: Array) -> None:
    running = log_prior.copy()
    for piece, row in enumerate(log_likelihoods):
        running = running + row
        if not np.isfinite(running.max()):
            raise EngineError(f"evidence {piece} contradicts what came before it: no hypothesis is left")
    raise EngineError("the prior leaves no hypothesis")


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
