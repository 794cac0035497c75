"""A clamp meter turns out to read 6 % low: how many verdicts change, against integrals of the normal distribution.

What is expected is worked out here by itself, from the limits, the meter's data sheet and the correction: verdicts by
JCGM 106:2012 (the probability that a normal distribution lies between two limits, and thresholds of 0.95 and 0.05, the
settings' defaults), the reading's uncertainty by JCGM 100:2008, 4.3.7 and 5.1.2.  Nothing of it is ours.  All
readings are invented.
"""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta
from math import hypot, sqrt
from random import Random
from statistics import NormalDist

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.stats import binom

from probewright.batch.reevaluating import Reevaluator
from probewright.engine import check_readings, diagnose
from probewright.packs.loader import load_packs
from probewright.packs.registry import Registry
from probewright.settings import Settings
from probewright_schemas.batch_records import (
    Changes,
    EarlierAnswer,
    EarlierFault,
    EarlierReading,
    MeterCorrection,
    StoredJob,
)
from probewright_schemas.records import Case, Conditions, Correction, Limits, Meter, Quantity, Reading
from support.families import pack_of, warmer

#: It shows 94 % of what is there, so what it shows is to be multiplied by 1/0.94; the calibration is sure to 0.4 %.
SHOWS, GAIN, U_GAIN = 0.94, 1 / 0.94, 0.004
#: Percent of the reading and counts of a milliampere.
PERCENT, COUNTS, DIGIT = 1.5, 20.0, 0.001
CLAMP = Meter("clamp_meter", PERCENT, COUNTS, Quantity(DIGIT, "A"), id="clamp-07")
WITHIN, OUTSIDE = 0.95, 0.05
VERDICTS = ("within", "inconclusive", "outside")
#: Of so many counts each lies in the middle 99.9 % of its binomial distribution.
CASES, SURE = 3000, 0.999
#: What is truly there, and the scatter of what is shown, in A.
TRUE, NOISE = NormalDist(3.42, 0.2), 0.03
LOW, HIGH = 3.2, 3.6
UNIT = NormalDist()
#: A flat igniter at 120 V; its limits are the pack's own, 3.2 to 3.6 A.
FLAT = {"fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat"}
NOMINAL = Conditions(supply_voltage=Quantity(120.0, "V"))


def verdict_of(shown, gain, u_gain, low, high):
    """The verdict of a reading, and nothing of it by the service."""
    half_width = shown * PERCENT / 100 + COUNTS * DIGIT
    u = hypot(gain * half_width / sqrt(3), shown * u_gain)
    return _probability(shown * gain, u, low, high)


def _probability(value, u, low, high):
    below = 0.0 if low is None else UNIT.cdf((low - value) / u)
    above = 0.0 if high is None else 1.0 - UNIT.cdf((high - value) / u)
    return 1.0 - below - above


def named(probability):
    return "within" if probability >= WITHIN else "outside" if probability <= OUTSIDE else "inconclusive"


def edges(gain, u_gain, low, high):
    """The readings at which the verdict turns."""
    grid = np.linspace(0.5, 8.0, 3001)
    found = []
    for threshold in (WITHIN, OUTSIDE):
        def over(x, threshold=threshold):
            return verdict_of(x, gain, u_gain, low, high) - threshold
        signs = [over(x) > 0 for x in grid]
        found += [brentq(over, a, b, xtol=1e-12) for a, b, s, t in zip(grid, grid[1:], signs, signs[1:], strict=False)
                  if s != t]  # fmt: skip
    return found


def expected(low, high):
    """Probability of each verdict before and after: the normal distribution of what is shown, piece by piece."""
    shown = NormalDist(TRUE.mean * SHOWS, hypot(TRUE.stdev * SHOWS, NOISE))
    cuts = sorted([*edges(1.0, 0.0, low, high), *edges(GAIN, U_GAIN, low, high)])
    shares = Counter()
    for left, right in zip([0.5, *cuts], [*cuts, 8.0], strict=True):
        middle = (left + right) / 2
        before = named(verdict_of(middle, 1.0, 0.0, low, high))
        after = named(verdict_of(middle, GAIN, U_GAIN, low, high))
        shares[before, after] += shown.cdf(right) - shown.cdf(left)
    return shares


def readings(seed, count=CASES):
    chance = Random(seed)
    return [SHOWS * chance.gauss(TRUE.mean, TRUE.stdev) + chance.gauss(0.0, NOISE) for _ in range(count)]


def assert_as_expected(counts, shares, of):
    assert sum(counts.values()) == of
    for pair in ((before, after) for before in VERDICTS for after in VERDICTS):
        share = min(max(shares[pair], 0.0), 1.0)
        least, most = binom.interval(SURE, of, share) if share > 1e-12 else (0, 0)
        assert least <= counts[pair] <= most, (pair, counts[pair], share * of)


@pytest.fixture(scope="module")
def gas_range():
    return load_packs().get("gas_range")


def igniter(shown, correction=None, **more):
    reading = Reading("bake_igniter_current", shown, unit="A", meter="clamp", correction=correction)
    fields = {"options": FLAT, "conditions": NOMINAL, "meters": {"clamp": CLAMP}, "effort": "none"}
    return Case("gas_range", readings=(reading,), **(fields | more))


def of_warmer(shown, correction=None, low=LOW, high=HIGH):
    reading = Reading("heater_current", shown, unit="A", meter="clamp", correction=correction)
    return Case("warmer", options={"style": "small", "lamp": "yes"}, readings=(reading,), meters={"clamp": CLAMP},
                tech_sheet={"heater_current": Limits("A", low, high)})  # fmt: skip


def both(make, pack, seed, **more):
    """How often each verdict came before and after the correction."""
    settings, correction = Settings(), Correction(GAIN, U_GAIN)
    return Counter(
        tuple(check_readings(make(x, c, **more), pack, settings).readings[0].verdict for c in (None, correction))
        for x in readings(seed)
    )


def test_the_verdicts_of_a_recall_by_a_technical_sheet_are_as_many_as_the_integrals_say():
    counts = both(of_warmer, pack_of(warmer()), seed=1)
    assert_as_expected(counts, expected(LOW, HIGH), CASES)
    # What reads 6 % low calls good parts bad, and bad ones good.
    assert counts["inconclusive", "within"] > 100
    assert counts["outside", "inconclusive"] > 100
    assert counts["within", "inconclusive"] + counts["within", "outside"] > 100


@pytest.mark.parametrize(("low", "high"), [(LOW, None), (None, HIGH)])
def test_limits_may_be_open_on_one_side(low, high):
    counts = both(of_warmer, pack_of(warmer()), seed=2, low=low, high=high)
    assert_as_expected(counts, expected(low, high), CASES)


def test_the_verdicts_of_a_recall_by_the_packs_limits_are_as_many_as_the_integrals_say(gas_range):
    test = next(test for test in gas_range.family.tests if test.id == "bake_igniter_current")
    limit = next(limit for limit in test.limits if limit.when == {"igniter_style": "flat"})
    assert (float(limit.low), float(limit.high)) == (LOW, HIGH)
    assert float(gas_range.family.supply.nominal) == 120.0
    assert_as_expected(both(igniter, gas_range, seed=3), expected(LOW, HIGH), CASES)


def test_what_is_expected_depends_on_the_correction():
    # A check that cannot fail is none: without the correction, or with half of it, the counts would be far off.
    counts = both(of_warmer, pack_of(warmer()), seed=1)
    uncorrected = Counter({(before, before): sum(share for (b, _), share in expected(LOW, HIGH).items() if b == before)
                           for before in VERDICTS})  # fmt: skip
    with pytest.raises(AssertionError):
        assert_as_expected(counts, uncorrected, CASES)


def test_the_service_counts_the_same_when_it_asks_stored_cases_again(gas_range):
    """Through re-evaluation: only the meter's readings, of the days that the correction holds for."""
    settings, chance = Settings(), Random(11)
    begins, ends = date(2026, 3, 1), date(2026, 8, 28)
    correction = MeterCorrection("clamp-07", "current", Correction(GAIN, U_GAIN), begins, ends)
    found = Reevaluator(Changes((correction,)), Registry({"gas_range": gas_range}), settings)
    jobs, inside = [], []
    for shown in readings(4, 2000):
        day = date(2026, 1, 1) + timedelta(days=chance.randrange(365))
        case = igniter(shown, complaints=("bake_does_not_light",), day=day)
        jobs.append(StoredJob(case, _earlier(case, gas_range, settings)))
        inside.append(begins <= day <= ends)
    results = found.results(jobs)
    counts: Counter[tuple[str, str]] = Counter()
    for job, result, holds in zip(jobs, results, inside, strict=True):
        changed = [change for change in result.changes if change.kind == "verdict"]
        assert len(result.corrected) == holds
        if not holds:
            assert result.status == "same"
            continue
        before = job.answer.readings[0].verdict
        assert [change.before for change in changed] in ([], [before])
        counts[before, changed[0].after if changed else before] += 1
    assert 800 < sum(inside) < 1200
    assert_as_expected(counts, expected(LOW, HIGH), sum(inside))


def _earlier(case, pack, settings):
    answer = diagnose(case, pack, settings)
    return EarlierAnswer(
        answer.pack,
        tuple(EarlierReading(r.test, r.verdict, r.probability_within) for r in answer.readings),
        tuple(EarlierFault(f.fault, f.probability) for f in answer.faults), answer.unexplained, answer.no_fault,
        computation=answer.computation,
    )  # fmt: skip
