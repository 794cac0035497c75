"""Bayes' rule over hypotheses, in log space, with and without each piece of evidence."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.errors import EngineError

Array = NDArray[np.float64]
Index = NDArray[np.intp]

#: Odds are clipped here before they become decibans: 120 decibans either way.
_LEAST = 1e-12


@dataclass(frozen=True, slots=True)
class Posterior:
    """Probabilities of hypotheses.

    Attributes
    ----------
    weights : ndarray of shape (1 + n_evidence, n_hypotheses)
        Row 0: given all evidence.  Row 1 + e: given all evidence but piece e.  Each row adds up to 1.
    log_evidence : float
        Logarithm of the probability of all the evidence, in nats.
    """

    weights: Array
    log_evidence: float

    @property
    def probabilities(self) -> Array:
        """Given all evidence, shape (n_hypotheses,)."""
        return self.weights[0]


def posterior(log_prior: Array, log_likelihoods: Array) -> Posterior:
    """Combine a prior with pieces of evidence that are independent given the hypothesis.

    Parameters
    ----------
    log_prior : ndarray of shape (n_hypotheses,), in nats
    log_likelihoods : ndarray of shape (n_evidence, n_hypotheses), in nats
        -inf is allowed as long as some hypothesis is possible under all evidence but any one piece.

    Returns
    -------
    Posterior

    Raises
    ------
    EngineError
        When no hypothesis is possible; the message says which piece of evidence did it.
    """
    total = log_prior + log_likelihoods.sum(axis=0)
    logs = np.empty((len(log_likelihoods) + 1, len(log_prior)))
    logs[0] = total
    if np.isinf(log_likelihoods).any():
        for left_out in range(len(log_likelihoods)):
            logs[left_out + 1] = log_prior + np.delete(log_likelihoods, left_out, axis=0).sum(axis=0)
    else:
        np.subtract(total, log_likelihoods, out=logs[1:])
    peak = logs.max(axis=1, keepdims=True)
    if not np.isfinite(peak).all():
        _raise_impossible(log_prior, log_likelihoods)
    logs -= peak
    np.exp(logs, out=logs)
    sums = logs.sum(axis=1, keepdims=True)
    logs /= sums
    return Posterior(logs, float(peak[0, 0] + np.log(sums[0, 0])))


def _raise_impossible(log_prior: Array, log_likelihoods: Array) -> None:
    running = log_prior.copy()
    for piece, row in enumerate(log_likelihoods):
        running = running + row
        if not np.isfinite(running.max()):
            raise EngineError(f"evidence {piece} contradicts what came before it: no hypothesis is left")
    raise EngineError("the prior leaves no hypothesis")


def marginals(weights: Array, members: Index) -> Array:
    """Probability that each fault is present.

    Parameters
    ----------
    weights : ndarray of shape (..., n_hypotheses)
    members : ndarray of int, shape (n_faults, most)
        The hypotheses that contain each fault, padded with ``n_hypotheses``.

    Returns
    -------
    ndarray of shape (..., n_faults)
    """
    padded = np.concatenate([weights, np.zeros((*weights.shape[:-1], 1))], axis=-1)
    return np.asarray(padded[..., members].sum(axis=-1))


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
    return np.asarray(np.log10(p) - np.log10(1 - p))
