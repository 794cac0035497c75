"""Fault rates from closed jobs.

**What a rate is.**  ``Fault.rate`` is the prior probability ``r`` that an appliance has the fault before anybody says
what is wrong with it, in builds that can have it.  The engine takes the faults as independent: a hypothesis ``h`` (no
fault, one, two at once, or something unknown) has the prior weight ``w_h``, the product of the odds ``r / (1 - r)`` of
its faults; no fault has the weight 1.

**What closed jobs are.**  Nobody calls about a sound appliance, so the proven faults of closed jobs are no sample of
that prior.  They are a sample of what is behind calls: given what is complained of, ``c``, and the build, ``o``,

    P(h | c, o) = w_h L(c | h, o) / sum over h' of w_h' L(c | h', o),

where ``L`` is the pack's own probability of the complaint.  ``c`` is the first complaint of the case, the one that the
customer called about; others are asked for because of it, and come in company, so they are no sample of anything.  A
fault that is proven often may be frequent, or just loud; dividing counts by jobs would take the second for the first.
What is conditioned on, complaint and options, drops out: a shop that is called for ovens only still learns the rates of
oven faults.

**What is learned.**  Before, the pack is worth ``n_0`` jobs like those in hand, of which it expects the share
``p_f = mean over jobs of P(f | c, o)`` to have fault ``f``.  After ``n_f`` of ``N`` jobs the Dirichlet posterior has
the mean ``(n_0 p_f + n_f) / (n_0 + N)``.  The learned rates are those under which the pack's own forecasts for these
calls add up to these means, for every fault and for something unknown:

    sum over jobs of (1 + v) P'(f | c, o) = n_f + sum over jobs of v P(f | c, o),    v = n_0 / N.

With one complaint and one build ``P'`` is the posterior mean itself, in closed form.  In general these are the
equations of the largest posterior density in the logarithms of the odds: ``P'`` is an exponential family, whose best
fit expects what was observed.  They are solved by Newton's method; the solution is unique.

**Several faults.**  A job with two proven faults counts for each of them, and the equations expect pairs as often as
the rates make them.  Jobs in which nothing was wrong count by having none: they fix the common scale of all rates,
together with the pairs.  Jobs whose trouble the pack does not know count for ``unknown_rate``.  A job that was handed
on counts like any other, with what was proven in the end or with ``unknown``: were such jobs left out, faults that tend
to be handed on would seem to vanish.

**Builds.**  A job counts for the faults that its options allow, and for no other.  A fault that few jobs could have
would be held by few prior jobs; so ``v`` of a job is ``n_0`` over the number of jobs that could have the rarest of its
faults.  Every fault is then held by ``n_0`` prior jobs at least, and by just ``n_0`` where all jobs allow the same
faults.

**Too few.**  Of a fault that is expected in next to no job, even many jobs say little: its prior share of ``n_0`` jobs
is next to nothing, and the posterior would follow the accident of a single job, or of none.  So a fault is learned by
itself only if at least :data:`LEAST_COUNT` jobs proved it, or were expected to.  All others are learned as one: their
odds are multiplied by the same factor, so that together they are as frequent as was seen, and the pack's word on which
of them is more likely stands.  Where they are too few even together they stay as they are.

**What is assumed.**  The pack's probabilities of complaints are right; the first complaint was the reason of the call;
what was proven was there, and nothing else; every job is recorded, whatever came of it; rates stayed the same
meanwhile.  Readings are not used here: what was proven says more.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from probewright.errors import EngineError
from probewright.inference.store import ModelStore
from probewright.learning.calls import Calls
from probewright.learning.jobs import Job
from probewright.packs.model import Family
from probewright_schemas.closed import UNKNOWN

Array = NDArray[np.float64]

#: Jobs that the pack's own rates are worth: with so many a shop's counts weigh as much as the pack.  In two simulated
#: worlds of ranges whose rates were off by up to a factor of two, 100 forecast better than the pack from 100 jobs on;
#: 50 did worse in one of them with 100 and with 300 jobs, and 200 learned more slowly in the other.
PRIOR_WEIGHT = 100.0
#: Jobs in which a fault was proven, or was expected, without which it is not learned by itself.
LEAST_COUNT = 5
_MOST_STEPS = 200
#: Logarithm of the factor by which a step may change odds.
_LONGEST_STEP = 1.0
_CLOSE = 1e-9
#: A pack's rates lie strictly between 0 and 1, and so do learned ones, whatever was proven.
_RATES = (1e-9, 0.99)


@dataclass(frozen=True, slots=True)
class Rate:
    """The rate of a fault before and after.

    ``proven`` is in how many jobs it was proven, of ``allowing`` that could have it; ``expected`` in how many the pack
    expected it beforehand.  ``fault`` is :data:`~probewright_schemas.closed.UNKNOWN` for ``unknown_rate``.
    """

    fault: str
    before: float
    after: float
    proven: int
    allowing: int
    expected: float


@dataclass(frozen=True, slots=True)
class Rates:
    """Rates in the order of the family's faults, ``unknown`` last.

    ``learned`` were learned one by one, ``pooled`` together, and ``kept`` not at all.  ``jobs`` counted; ``silent``
    jobs did not, for they complain of nothing.
    """

    learned: tuple[Rate, ...]
    pooled: tuple[Rate, ...]
    kept: tuple[Rate, ...]
    jobs: int
    silent: int


def learn_rates(jobs: Sequence[Job], store: ModelStore, weight: float = PRIOR_WEIGHT) -> Rates:
    """Learn fault rates; see the module.

    Parameters
    ----------
    jobs : sequence of Job
        The order does not matter.
    store : ModelStore
        Of the family as it is.
    weight : float
        How many jobs the pack's own rates are worth, ``n_0``.

    Raises
    ------
    ValueError
        When the weight is not positive.
    EngineError
        When no rates fit, which the prior jobs rule out.
    """
    if not weight > 0:
        raise ValueError(f"a prior weight is more than 0, not {weight}")
    speaking = Counter(((job.options, job.complaint), job.proven) for job in jobs if job.complaint is not None)
    known = sorted({call for call, _ in speaking})
    calls, place = Calls(known, store), {call: k for k, call in enumerate(known)}
    column = {fault: i for i, fault in enumerate((*(f.id for f in store.family.faults), UNKNOWN))}
    counts, proven = np.zeros(len(known)), np.zeros(len(column))
    for (call, faults), count in speaking.items():
        counts[place[call]] += count
        proven[[column[fault] for fault in faults]] += count
    before = _log_odds(store.family)
    forecast = calls.forecast(before)
    allowing = counts @ calls.possible
    expected = counts @ forecast
    ways = _ways(expected, proven)
    held = counts * _prior_share(calls.possible & _alone(expected, proven), allowing, weight)
    after = _fitted(calls, before, ways, proven + held @ forecast, counts + held)
    rates = [
        Rate(fault, _rate(before[i]), _rate(after[i]), int(proven[i]), int(allowing[i]), float(expected[i]))
        for fault, i in column.items()
    ]
    alone, moved, told = _alone(expected, proven), np.asarray(ways.any(axis=1)), int(counts.sum())
    learned, pooled, kept = (
        tuple(rate for rate, chosen in zip(rates, which.tolist(), strict=True) if chosen)
        for which in (alone, np.logical_and(moved, ~alone), np.logical_not(moved))
    )
    return Rates(learned, pooled, kept, told, len(jobs) - told)


def _alone(expected: Array, proven: Array) -> NDArray[np.bool_]:
    """Which faults are learned by themselves."""
    return np.asarray(np.maximum(expected, proven) >= LEAST_COUNT)


def _ways(expected: Array, proven: Array) -> Array:
    """How log odds may move: one column for each fault that is learned by itself, and one for all others together."""
    alone = _alone(expected, proven)
    ways = np.eye(len(alone))[:, alone]
    if max(expected[~alone].sum(), proven[~alone].sum()) >= LEAST_COUNT:
        ways = np.column_stack([ways, ~alone])
    return ways


def _log_odds(family: Family) -> Array:
    rates = np.array([*(float(fault.rate) for fault in family.faults), float(family.unknown_rate)])
    return np.asarray(np.log(rates) - np.log1p(-rates))


def _rate(log_odds: float) -> float:
    return float(np.clip(1.0 / (1.0 + np.exp(-log_odds)), *_RATES))


def _prior_share(possible: NDArray[np.bool_], allowing: Array, weight: float) -> Array:
    """How many prior jobs stand beside each job of a call, ``v``, one for each call."""
    all_jobs = allowing.max(initial=1.0)  # of something unknown
    return np.asarray(weight / np.where(possible, allowing, all_jobs).min(axis=1, initial=all_jobs))


def _fitted(calls: Calls, before: Array, ways: Array, wanted: Array, counts: Array) -> Array:
    """The log odds under which as many faults are expected of so many calls as are wanted, along the ways open."""
    log_odds = before.copy()
    if not ways.size:
        return log_odds
    for _ in range(_MOST_STEPS):
        expected, slope = calls.moments(log_odds, counts)
        missing = (wanted - expected) @ ways
        if (np.abs(missing) <= _CLOSE * (wanted @ ways)).all():
            return log_odds
        step = ways @ np.linalg.solve(ways.T @ slope @ ways, missing)
        log_odds += step * min(1.0, _LONGEST_STEP / float(np.abs(step).max()))
    raise EngineError("the rates that fit these jobs were not found")
