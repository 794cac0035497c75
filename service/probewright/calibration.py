"""Scores of probability forecasts: how likely the truth was held, how well probabilities match frequencies.

Pure functions of arrays.  A forecast is a row of probabilities of outcomes that exclude each other, and the truth is
the column that came true.

The Brier score and the logarithmic score are strictly proper: on average nothing beats saying what one believes
(Gneiting and Raftery, Journal of the American Statistical Association 102, 2007).  The expected calibration error
says how far the probability of the likeliest outcome is from the share of cases in which it is true (Naeini, Cooper
and Hauskrecht, AAAI 2015).  Counted in bins it is never 0, not even for a perfect forecaster, and larger for few cases.
So no limit on it makes a test.  :func:`simulated_null` does: it draws the truth from the forecasts themselves, many
times, and says what a perfectly calibrated forecaster with just these forecasts would score.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.intp]

#: A truth that was held to be less likely than this is scored as if it had been held to be just that likely.
CLIP = 1e-6
#: Equal bins of the probability of the likeliest outcome.
BINS = 10
#: Truths drawn from the forecasts for a null.
DRAWS = 300
#: How far a row may be from adding up to 1.
_ROUNDING = 1e-6
_QUANTILE = 0.95


@dataclass(frozen=True, slots=True)
class Bin:
    """Cases whose likeliest outcome was held to be more likely than ``low`` and at most as likely as ``high``.

    ``confidence`` is its mean probability in these cases, ``frequency`` the share of them in which it was true.
    """

    low: float
    high: float
    count: int
    confidence: float
    frequency: float


@dataclass(frozen=True, slots=True)
class Murphy:
    """The parts of a Brier score of forecasts of one event: ``reliability - resolution + uncertainty``."""

    reliability: float
    resolution: float
    uncertainty: float

    @property
    def brier(self) -> float:
        """Their sum."""
        return self.reliability - self.resolution + self.uncertainty


@dataclass(frozen=True, slots=True)
class Null:
    """What 95 % of perfectly calibrated forecasters with the same forecasts stay under, and their mean error."""

    ece_95: float
    brier_95: float
    log_95: float
    ece_mean: float


@dataclass(frozen=True, slots=True)
class Scores:
    """All scores of one set of forecasts.

    ``truth`` is the mean probability of what was true, ``top_1`` and ``top_3`` the shares of cases in which it was
    among the likeliest one and three; ``brier`` and ``log`` as :func:`brier_score` and :func:`log_score`, ``ece`` as
    :func:`expected_calibration_error`.
    """

    count: int
    truth: float
    top_1: float
    top_3: float
    brier: float
    log: float
    ece: float
    bins: tuple[Bin, ...]
    null: Null

    @property
    def calibrated(self) -> bool:
        """Whether the calibration error is one that a perfectly calibrated forecaster would show."""
        return self.ece <= self.null.ece_95


def brier_score(probabilities: Array, truth: Index) -> float:
    """The mean over cases of the sum over outcomes of squared differences: 0 is best, 2 is worst.

    For two outcomes it is twice the mean squared difference of the forecasts of either, which :func:`murphy` divides.

    Parameters
    ----------
    probabilities : ndarray of shape (n_cases, n_outcomes); each row adds up to 1
    truth : ndarray of int, shape (n_cases,)
        The column that came true.

    Raises
    ------
    ValueError
        When the shapes do not fit, rows are no probabilities, there is no case, or a truth is no column.

    Source: Brier, Monthly Weather Review 78, 1950.
    """
    checked(probabilities, truth)
    # The sum of (p - y)**2 with y = 1 in one column and 0 elsewhere, without making y.
    return float(((probabilities**2).sum(axis=1) + 1.0 - 2.0 * _of_truth(probabilities, truth)).mean())


def log_score(probabilities: Array, truth: Index, clip: float = CLIP) -> float:
    """The mean of minus the natural logarithm of the probability of what came true, in nats; 0 is best.

    Parameters
    ----------
    probabilities, truth : as for :func:`brier_score`
    clip : float
        The least probability that is scored.

    Raises
    ------
    ValueError
        As :func:`brier_score`.

    Source: Good, Journal of the Royal Statistical Society B 14, 1952.
    """
    checked(probabilities, truth)
    return float(-np.log(np.maximum(_of_truth(probabilities, truth), clip)).mean())


def top_share(probabilities: Array, truth: Index, k: int) -> float:
    """The share of cases in which the truth is among the ``k`` likeliest; of equal ones the first column comes first.

    Parameters
    ----------
    probabilities, truth : as for :func:`brier_score`
    k : int

    Raises
    ------
    ValueError
        As :func:`brier_score`.
    """
    checked(probabilities, truth)
    own = _of_truth(probabilities, truth)[:, None]
    before = np.arange(probabilities.shape[1]) < truth[:, None]
    ahead = (probabilities > own) | ((probabilities == own) & before)
    return float((ahead.sum(axis=1) < k).mean())


def reliability(probabilities: Array, truth: Index, bins: int = BINS) -> tuple[Bin, ...]:
    """How often the likeliest outcome was true, by how likely it was held to be.

    Parameters
    ----------
    probabilities, truth : as for :func:`brier_score`
    bins : int
        Bins of equal width from 0 to 1; a forecast on an edge belongs to the bin under it.

    Returns
    -------
    tuple of Bin
        Those that hold a case, lowest first.

    Raises
    ------
    ValueError
        As :func:`brier_score`.
    """
    checked(probabilities, truth)
    confidence, hits = _likeliest(probabilities, truth)
    place = _binned(confidence, bins)
    counts = np.bincount(place, minlength=bins)
    held, true = (np.bincount(place, weights=values, minlength=bins) for values in (confidence, hits))
    return tuple(
        Bin(i / bins, (i + 1) / bins, int(counts[i]), float(held[i] / counts[i]), float(true[i] / counts[i]))
        for i in np.flatnonzero(counts).tolist()
    )


def expected_calibration_error(probabilities: Array, truth: Index, bins: int = BINS) -> float:
    """The mean over cases of how far ``confidence`` is from ``frequency`` in the case's bin of :func:`reliability`.

    Parameters
    ----------
    probabilities, truth, bins : as for :func:`reliability`

    Raises
    ------
    ValueError
        As :func:`brier_score`.
    """
    table = reliability(probabilities, truth, bins)
    return sum(b.count * abs(b.confidence - b.frequency) for b in table) / len(truth)


def murphy(forecasts: Array, events: NDArray[np.bool_] | Index) -> Murphy:
    """Divide the Brier score of forecasts of one event, exactly, by the values that were forecast.

    Parameters
    ----------
    forecasts : ndarray of shape (n_cases,)
        Probabilities of the event.  Round them first where hardly two are equal: each value is a bin of its own.
    events : ndarray of shape (n_cases,)
        1 where it came, else 0.

    Raises
    ------
    ValueError
        When there is no case, the lengths differ, or a forecast is no probability.

    Source: Murphy, Journal of Applied Meteorology 12, 1973.
    """
    if not len(forecasts) or forecasts.shape != np.shape(events):
        raise ValueError(f"{np.shape(forecasts)} forecasts of {np.shape(events)} events")
    if not ((forecasts >= 0) & (forecasts <= 1)).all():
        raise ValueError("forecasts are probabilities, from 0 to 1")
    values, place, counts = np.unique(forecasts, return_inverse=True, return_counts=True)
    share, base = np.bincount(place, weights=np.asarray(events)) / counts, float(np.mean(events))
    weight = counts / len(forecasts)
    return Murphy(float(weight @ (values - share) ** 2), float(weight @ (share - base) ** 2), base * (1.0 - base))


def simulated_null(
    probabilities: Array, seed: int, draws: int = DRAWS, bins: int = BINS, clip: float = CLIP,
) -> Null:  # fmt: skip
    """What the scores would be if the forecasts were right: the truth is drawn from the forecasts themselves.

    A score above its 95 % limit is one that a perfectly calibrated forecaster shows in one set of cases out of 20.

    Parameters
    ----------
    probabilities : ndarray of shape (n_cases, n_outcomes); each row adds up to 1
    seed : int
        The same seed draws the same truths.
    draws : int
        How many truths are drawn.
    bins, clip : as for :func:`reliability` and :func:`log_score`

    Raises
    ------
    ValueError
        As :func:`brier_score`.
    """
    checked(probabilities, np.zeros(len(probabilities), dtype=np.intp))
    chance, summed = np.random.default_rng(seed), np.cumsum(probabilities, axis=1)
    found = np.empty((draws, 3))
    for row in found:
        truth = (chance.random((len(probabilities), 1)) * summed[:, -1:] >= summed).sum(axis=1)
        row[0] = expected_calibration_error(probabilities, truth, bins)
        row[1] = brier_score(probabilities, truth)
        row[2] = log_score(probabilities, truth, clip)
    ece, brier, log = np.quantile(found, _QUANTILE, axis=0).tolist()
    return Null(ece, brier, log, float(found[:, 0].mean()))


def scores(
    probabilities: Array, truth: Index, seed: int = 0, draws: int = DRAWS, bins: int = BINS, clip: float = CLIP,
) -> Scores:  # fmt: skip
    """All scores of one set of forecasts, with their null.

    Parameters
    ----------
    probabilities, truth : as for :func:`brier_score`
    seed, draws, bins, clip : as for :func:`simulated_null`

    Raises
    ------
    ValueError
        As :func:`brier_score`.
    """
    checked(probabilities, truth)
    return Scores(
        count=len(truth),
        truth=float(_of_truth(probabilities, truth).mean()),
        top_1=top_share(probabilities, truth, 1),
        top_3=top_share(probabilities, truth, 3),
        brier=brier_score(probabilities, truth),
        log=log_score(probabilities, truth, clip),
        ece=expected_calibration_error(probabilities, truth, bins),
        bins=reliability(probabilities, truth, bins),
        null=simulated_null(probabilities, seed, draws, bins, clip),
    )


def checked(probabilities: Array, truth: Index) -> None:
    """Refuse arrays that are no forecasts of these cases.

    Raises
    ------
    ValueError
        As :func:`brier_score`.
    """
    if probabilities.ndim != 2 or truth.shape != probabilities.shape[:1]:
        raise ValueError(f"forecasts of shape {probabilities.shape} with truths of shape {truth.shape}")
    if not len(truth):
        raise ValueError("there is no case to score")
    if not (probabilities >= 0).all() or not (np.abs(probabilities.sum(axis=1) - 1) <= _ROUNDING).all():
        raise ValueError("each row of probabilities is at least 0 and adds up to 1")
    if not ((truth >= 0) & (truth < probabilities.shape[1])).all():
        raise ValueError("each truth is a column of the probabilities")


def _of_truth(probabilities: Array, truth: Index) -> Array:
    return probabilities[np.arange(len(truth)), truth]


def _likeliest(probabilities: Array, truth: Index) -> tuple[Array, Array]:
    """The probability of the likeliest outcome of each case, and 1 where it was true."""
    top = probabilities.argmax(axis=1)
    return _of_truth(probabilities, top), (top == truth).astype(np.float64)


def _binned(confidence: Array, bins: int) -> Index:
    return np.searchsorted(np.arange(1, bins) / bins, confidence)
