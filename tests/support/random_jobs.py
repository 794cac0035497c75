"""Random jobs, as decisions: the prior and what tests show, zones, states, repairs and modules, all of it invented.

One fault of several is there, the last of which no repair cures.  Each fault lies in a zone; its repair, and most
tests, need that zone open.  A module takes the place of several parts of one zone at once.  State 0 is dead and safe,
state 1 live and running.  The rate is 1, so that minutes are costs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from probewright.decision.problem import ANY, Decision

Array = NDArray[np.float64]
Range = tuple[float, float]
DEAD, LIVE, UNKNOWN = 0, 1, 2


@dataclass(frozen=True, slots=True)
class Family:
    """Ranges that jobs are drawn from, evenly unless the name says otherwise."""

    residual: Range = (0.02, 0.08)
    opening: Range = (3.0, 15.0)
    testing: Range = (1.0, 12.0)
    missed: Range = (0.02, 0.20)
    false_alarm: Range = (0.01, 0.15)
    repair_log: Range = (8.0, 100.0)
    success: Range = (0.88, 1.0)
    isolating: Range = (1.0, 6.0)
    energising: Range = (0.5, 3.0)
    checking: Range = (2.0, 6.0)
    way_out: Range = (120.0, 300.0)


ORDINARY: Final = Family()
NOISY: Final = Family(missed=(0.15, 0.35), false_alarm=(0.10, 0.30))
DEAR_ACCESS: Final = Family(opening=(15.0, 45.0), testing=(0.5, 4.0))
CHEAP_REPAIRS: Final = Family(repair_log=(4.0, 30.0))
DEAR_SWITCHING: Final = Family(isolating=(8.0, 20.0), energising=(4.0, 10.0))
FAMILIES: Final = {
    "ordinary": ORDINARY, "noisy": NOISY, "dear access": DEAR_ACCESS, "cheap repairs": CHEAP_REPAIRS,
    "dear switching": DEAR_SWITCHING,
}  # fmt: skip


def random_job(
    rng: np.random.Generator, faults: int, tests: int, family: Family = ORDINARY, pairs: int = 0, by_fault: bool = False
) -> Decision:
    """A job of so many faults, the last of which no repair cures, and so many tests.

    ``pairs`` adds hypotheses of two faults; with ``by_fault`` the way out costs something else for each hypothesis.
    """
    curable = faults - 1
    zones = int(rng.integers(3, 9))
    home = rng.integers(zones, size=curable)
    both = _pairs(rng, curable, pairs)
    outcome, starts = _outcomes(rng, family, faults, tests, both)
    cures, repair_zones = _repairs(rng, family, home, faults)
    repairs, count = len(cures), faults + pairs
    isolating, energising = rng.uniform(*family.isolating), rng.uniform(*family.energising)
    way_out = rng.uniform(*family.way_out)
    return Decision(
        weights=_prior(rng, family, faults, pairs),
        pair=np.concatenate((np.full((faults, 2), -1), both)).astype(np.int64),
        course=np.arange(count),
        way_out=way_out * (rng.uniform(0.5, 1.5, count) if by_fault else np.ones(count)),
        outcome=outcome,
        starts=starts,
        test_minutes=rng.uniform(*family.testing, tests),
        test_extra=np.zeros(tests),
        test_state=rng.choice([DEAD, LIVE, ANY], tests, p=[0.5, 0.35, 0.15]),
        test_zones=np.where(rng.random(tests) < 0.35, 0, 1 << rng.integers(zones, size=tests)),
        cures=np.concatenate((cures, np.zeros((repairs, pairs))), axis=1),
        repair_minutes=_even_in_logarithms(rng, family.repair_log, repairs),
        repair_extra=np.zeros(repairs),
        repair_state=np.full(repairs, DEAD),
        repair_zones=repair_zones,
        away=np.zeros(repairs, dtype=bool),
        zone_minutes=rng.uniform(*family.opening, zones),
        move=np.array([[0.0, energising], [isolating, 0.0], [isolating, energising]]),
        can_open=np.array([True, False, False]),
        safe=DEAD,
        running=LIVE,
        check_minutes=rng.uniform(*family.checking),
        rate=1.0,
        state=LIVE,
    )


def _even_in_logarithms(rng: np.random.Generator, ends: Range, count: int) -> Array:
    low, high = np.log(ends)
    return np.exp(rng.uniform(low, high, count))


def _prior(rng: np.random.Generator, family: Family, faults: int, pairs: int) -> Array:
    residual = rng.uniform(*family.residual)
    known = rng.dirichlet(rng.uniform(0.5, 1.5, faults - 1)) * (1 - residual)
    together = rng.uniform(0.02, 0.15, pairs)
    return np.concatenate((known, [residual], together)) / (1 + together.sum())


def _pairs(rng: np.random.Generator, curable: int, pairs: int) -> NDArray[np.int64]:
    """Different pairs of faults that repairs cure."""
    one, other = np.triu_indices(curable, 1)
    chosen = rng.choice(len(one), pairs, replace=False)
    return np.stack((one[chosen], other[chosen]), axis=1)


def _outcomes(
    rng: np.random.Generator, family: Family, faults: int, tests: int, both: NDArray[np.int64]
) -> tuple[Array, NDArray[np.int64]]:
    """Rows of every outcome, the normal one of each test first; a quarter of the tests tell two kinds of abnormal."""
    rows: list[Array] = []
    starts = [0]
    for _ in range(tests):
        fires = rng.random(faults) < rng.uniform(0.15, 0.5)
        fires[rng.integers(faults)] = True
        abnormal = np.where(fires, 1 - rng.uniform(*family.missed), rng.uniform(*family.false_alarm))
        # A pair shows what either of its faults would.
        abnormal = np.concatenate((abnormal, 1 - (1 - abnormal[both]).prod(axis=1)))
        rows.append(1 - abnormal)
        if rng.random() < 0.25:
            share = rng.random(len(abnormal))
            rows += [abnormal * share, abnormal * (1 - share)]
        else:
            rows.append(abnormal)
        starts.append(len(rows))
    return np.array(rows), np.array(starts)


def _repairs(
    rng: np.random.Generator, family: Family, home: NDArray[np.int64], faults: int
) -> tuple[Array, NDArray[np.int64]]:
    """What each repair cures, and the zone it needs: one for each fault, then modules of two to four faults."""
    curable = len(home)
    cures = [np.eye(curable, faults)[f] * rng.uniform(*family.success) for f in range(curable)]
    zones = [1 << int(zone) for zone in home]
    for _ in range(max(1, faults // 6)):
        shared = [zone for zone in np.unique(home) if (home == zone).sum() > 1]
        if not shared:
            break
        zone = int(rng.choice(shared))
        inside = np.flatnonzero(home == zone)
        covered = rng.choice(inside, min(len(inside), int(rng.integers(2, 5))), replace=False)
        row = np.zeros(faults)
        row[covered] = rng.uniform(*family.success, len(covered))
        cures.append(row)
        zones.append(1 << zone)
    return np.array(cures), np.array(zones, dtype=np.int64)


def varied(rng: np.random.Generator, job: Decision) -> Decision:
    """The same job with all that the families leave plain.

    A rate, money besides, repairs behind several zones, repairs that are not at hand, outcomes that stop the job, a
    third state (off, and zones may be opened), and one of all states, or an unknown one, to begin with.
    """
    zones, tests, repairs = len(job.zone_minutes), len(job.test_minutes), len(job.repair_minutes)
    off = LIVE + 1
    move = rng.uniform(0.5, 6.0, (4, 3))
    move[[0, 1, 2], [0, 1, 2]] = 0.0
    return replace(
        job,
        rate=float(rng.uniform(0.5, 3.0)),
        test_extra=rng.uniform(0.0, 3.0, tests),
        repair_extra=rng.uniform(0.0, 60.0, repairs),
        repair_zones=job.repair_zones | np.where(rng.random(repairs) < 0.4, 1 << rng.integers(zones, size=repairs), 0),
        test_zones=job.test_zones | np.where(rng.random(tests) < 0.2, 1 << rng.integers(zones, size=tests), 0),
        test_state=np.where(rng.random(tests) < 0.3, off, job.test_state),
        repair_state=np.where(rng.random(repairs) < 0.3, off, job.repair_state),
        away=rng.random(repairs) < 0.4,
        move=move,
        can_open=np.array([True, False, True, False]),
        state=int(rng.integers(4)),
        opened=int(rng.integers(1 << zones)) & int(rng.integers(1 << zones)),
        stops=rng.random(len(job.outcome)) < 0.1,
    )


def perturbed(
    rng: np.random.Generator, job: Decision, *, prior: float = 0.5, likelihood: float = 0.5, cost: float = 0.3
) -> Decision:
    """The same job by a wrong model: everything is off by normal deviates on the logarithmic scale."""

    def off(values: Array, deviation: float) -> Array:
        return np.asarray(values * np.exp(deviation * rng.standard_normal(np.shape(values))))

    outcome, weights = off(job.outcome, likelihood), off(job.weights, prior)
    totals = np.add.reduceat(outcome, job.starts[:-1], axis=0)
    return replace(
        job,
        weights=weights / weights.sum(),
        outcome=outcome / np.repeat(totals, np.diff(job.starts), axis=0),
        test_minutes=off(job.test_minutes, cost),
        repair_minutes=off(job.repair_minutes, cost),
        zone_minutes=off(job.zone_minutes, cost),
        move=off(job.move, cost),
        check_minutes=float(off(np.array(job.check_minutes), cost)),
        way_out=job.way_out * float(off(np.array(1.0), cost)),
    )


def stall(bits: int, test_cost: float) -> Decision:
    """Equally likely faults and as many tests as their number has bits, each showing one; no single test pays."""
    count = 1 << bits
    shows = (np.arange(count) >> np.arange(bits)[:, None] & 1).astype(float)
    return plain(
        np.full(count, 1 / count),
        np.eye(count),
        np.full(count, 60.0),
        way_out=100.0,
        tests=[(test_cost, np.stack((1 - row, row))) for row in shows],
    )


def plain(
    weights: object, cures: object, cost: object, *, way_out: object = 1e6, repair_zones: object = 0,
    zone_cost: object = (), tests: Sequence[tuple[float, Array]] = (),
) -> Decision:  # fmt: skip
    """A decision of one state, in which everything is done and zones are opened; checks of the function are free.

    ``tests`` are costs and outcomes, each of shape (outcomes, hypotheses).
    """
    chance, price = np.atleast_2d(np.array(cures, dtype=float)), np.array(cost, dtype=float)
    repairs, count = chance.shape
    number = len(tests)
    return Decision(
        weights=np.array(weights, dtype=float),
        pair=np.full((count, 2), -1),
        course=np.arange(count),
        way_out=np.broadcast_to(np.array(way_out, dtype=float), (count,)).copy(),
        outcome=np.concatenate([rows for _, rows in tests]) if tests else np.zeros((0, count)),
        starts=np.cumsum([0, *(len(rows) for _, rows in tests)]),
        test_minutes=np.array([spent for spent, _ in tests], dtype=float),
        test_extra=np.zeros(number),
        test_state=np.full(number, ANY),
        test_zones=np.zeros(number, dtype=np.int64),
        cures=chance,
        repair_minutes=price,
        repair_extra=np.zeros(repairs),
        repair_state=np.zeros(repairs, dtype=np.int64),
        repair_zones=np.broadcast_to(np.array(repair_zones, dtype=np.int64), (repairs,)).copy(),
        away=np.zeros(repairs, dtype=bool),
        zone_minutes=np.array(zone_cost, dtype=float),
        move=np.zeros((2, 1)),
        can_open=np.array([True, True]),
        safe=0,
        running=0,
        check_minutes=0.0,
        rate=1.0,
        state=0,
    )
