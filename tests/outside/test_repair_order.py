"""Repair order, expected cost of repair and value of a test, against examples and theorems from the literature.

Sources
-------
- Smith, Naval Research Logistics Quarterly 3 (1956), and Kadane and Simon, Cognitive Psychology 9 (1977): chance over
  cost orders independent actions optimally.  Heckerman, Breese and Rommelse, Communications of the ACM 38(3), 1995,
  49-57: the same for repairs, parts that are looked at before they are replaced, and the myopic value of a test.
- Jensen, Kjaerulff, Kristiansen, Langseth, Skaanning, Vomlel and Vomlelova, AI EDAM 15 (2001), 321-333: actions that
  share causes.
- Langseth and Jensen, *Heuristics for two extensions of basic troubleshooting*, SCAI 2001, and Ottosen and Jensen,
  arXiv 1203.3502: actions behind a cover that is opened once.
- Lin, *Complexity of troubleshooting*, 2015: independent actions with a call to the service at any time.
- de Kleer and Williams, *Diagnosing multiple faults*, Artificial Intelligence 32 (1987): the next probe.
- Jensen and Nielsen, *Bayesian Networks and Decision Graphs*, 2nd edition, Springer 2007, start problem of the chapter
  on troubleshooting (a computer that behaves irregularly): probabilities, costs and chances as printed there.
- Raiffa, *Decision Analysis*, 1968: the oil wildcatter, with the figures of Shenoy, Operations Research 40 (1992), as
  tabulated in the HUGIN manual.
- SAS/OR User's Guide, *The DTREE Procedure*: the oil wildcatter with other figures, and the value of perfect
  information printed there, 155 000.

Where a publication gives the problem or the theorem but not the number, the number is found here by enumeration, and
says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from numpy.typing import NDArray

from probewright.decision.kernels import uncertainty
from probewright.decision.policy import EFFORTS, choose, one_step, repairs_only, telling
from probewright.decision.problem import Decision
from support.exact import exact
from support.random_jobs import plain

Array = NDArray[np.float64]


def sequence_cost(job: Decision, order: Sequence[int]) -> float:
    """Cost of one sequence with the way out at its end, by the definition; each zone is paid for once."""
    total, weights, opened = 0.0, job.weights, 0
    for r in order:
        fresh = int(job.repair_zones[r]) & ~opened
        opening = sum(m for z, m in enumerate(job.zone_minutes) if fresh >> z & 1)
        total += (job.repair_minutes[r] + opening) * weights.sum()
        weights, opened = weights * (1 - job.cures[r]), opened | fresh
    return float(total + weights @ job.way_out)


def sequences(job: Decision, *, all_of_them: bool = True) -> dict[tuple[int, ...], float]:
    """Cost of every order of all repairs; or of some of them, too."""
    count = len(job.cures)
    lengths = [count] if all_of_them else range(count + 1)
    return {order: sequence_cost(job, order) for k in lengths for order in permutations(range(count), k)}


def followed(job: Decision) -> list[int]:
    """The order in which repairs are advised, each after the others have failed."""
    left, order = list(range(len(job.cures))), []
    while left:
        first = repairs_only(job)
        if first.kind == "way_out":
            break
        order.append(left.pop(first.index))
        if not (job.weights * (1 - job.cures[first.index])).any():
            break
        job = job.after_failed(first.index)
    return order


def test_chance_over_cost_on_four_independent_repairs() -> None:
    # Numbers invented for the test; best and worst order by enumeration, the rule by Kadane and Simon.
    job = plain([0.45, 0.25, 0.20, 0.10], np.eye(4), [8.0, 2.0, 5.0, 1.0])
    costs = sequences(job)
    assert min(costs, key=costs.__getitem__) == (1, 3, 0, 2)
    assert (min(costs.values()), max(costs.values())) == (pytest.approx(8.95), pytest.approx(12.25))
    assert repairs_only(job).cost == pytest.approx(8.95)
    assert followed(job) == [1, 3, 0, 2]


@pytest.mark.parametrize("seed", range(20))
def test_no_order_beats_chance_over_cost(seed: int) -> None:
    # The theorem of Kadane and Simon, by all 720 orders of six random repairs; each may fail.
    rng = np.random.default_rng(seed)
    cures = np.diag(rng.uniform(0.5, 1.0, 6))
    job = plain(rng.dirichlet(np.ones(6)), cures, rng.uniform(1.0, 50.0, 6), way_out=1e9)
    costs = sequences(job)
    ratio = job.weights * np.diag(cures) / job.repair_minutes
    assert followed(job) == list(min(costs, key=costs.__getitem__)) == np.argsort(-ratio).tolist()
    assert repairs_only(job).cost == pytest.approx(min(costs.values()), rel=1e-12)


def test_repairs_that_share_causes_follow_updated_chances() -> None:
    # Three unit-cost actions over pairs of four causes; the updating greedy gives 1.50, the optimum is 1.45.
    cures = [[1, 1, 0, 0], [0, 1, 1, 0], [0, 0, 1, 1]]
    job = plain([0.20, 0.25, 0.40, 0.15], cures, [1.0, 1.0, 1.0])
    assert repairs_only(job).cost == pytest.approx(1.50)
    assert followed(job) == [1, 0, 2]
    costs = sequences(job)
    assert (min(costs, key=costs.__getitem__), min(costs.values())) == ((2, 0, 1), pytest.approx(1.45))
    # Looking ahead finds it, where the greedy order does not.
    for effort in EFFORTS:
        assert choose(job, effort).best.cost == pytest.approx(1.45)


def test_irregular_computer_of_jensen_and_nielsen() -> None:
    # Program .8, virus .15, hardware .05; reboot 1, virus tool 2, reinstall 25, new computer 500.
    cures = [[1.0, 0.0, 0.0], [0.0, 0.95, 0.0], [0.99, 0.99, 0.0], [1.0, 1.0, 1.0]]
    job = plain([0.8, 0.15, 0.05], cures, [1.0, 2.0, 25.0, 500.0])
    costs = {order: cost for order, cost in sequences(job, all_of_them=False).items() if 3 in order}
    best = min(costs, key=costs.__getitem__)
    assert best == (0, 1, 2, 3)
    assert repairs_only(job).cost == pytest.approx(costs[best])
    assert repairs_only(job).cost == pytest.approx(1 + 0.2 * 2 + 0.0575 * 25 + 0.050075 * 500)
    assert followed(job) == [0, 1, 2, 3]


def test_first_violation_is_no_reason_to_stop() -> None:
    # Invented numbers; by enumeration: way out 10, one repair first 11, both 9.
    job = plain([0.5, 0.5], np.eye(2), [6.0, 6.0], way_out=10.0)
    costs = [sequence_cost(job, order) for order in ((), (0,), (0, 1))]
    assert costs == [pytest.approx(10.0), pytest.approx(11.0), pytest.approx(9.0)]
    assert repairs_only(job).cost == pytest.approx(9.0)
    assert repairs_only(job).kind == "repair"


@pytest.mark.parametrize("seed", range(20))
def test_no_plan_with_a_call_to_the_service_is_better(seed: int) -> None:
    # Lin: the best beginning of the order by chance over cost is optimal; by all sequences of five random repairs.
    rng = np.random.default_rng(seed)
    cures = np.diag(rng.uniform(0.5, 1.0, 5))
    job = plain(rng.dirichlet(np.ones(5)), cures, rng.uniform(5.0, 60.0, 5), way_out=rng.uniform(30.0, 120.0))
    costs = sequences(job, all_of_them=False)
    assert repairs_only(job).cost == pytest.approx(min(costs.values()), rel=1e-12)
    assert exact(job) == pytest.approx(min(costs.values()), rel=1e-12)


def test_two_repairs_behind_one_cover_are_taken_as_a_block() -> None:
    # Invented numbers; by enumeration: the block rule's order costs 11.4, chance over cost with the cover counted for
    # whatever comes first 12.1.
    job = plain([0.30, 0.25, 0.25, 0.20], np.eye(4), [4.0, 2.0, 2.0, 8.0], repair_zones=[0, 1, 1, 0], zone_cost=[5.0])
    costs = sequences(job)
    assert followed(job) == [0, 1, 2, 3]
    assert costs[0, 1, 2, 3] == pytest.approx(11.4)
    assert costs[1, 2, 0, 3] == pytest.approx(12.1)
    assert repairs_only(job).cost == pytest.approx(min(costs.values())) == pytest.approx(11.4)


@pytest.mark.parametrize("way_out", [1e4, 60.0])
def test_no_order_beats_the_block_rule(way_out: float) -> None:
    # Langseth and Jensen, and Ottosen and Jensen: optimal where covers do not nest; by all orders (and, with a cheap
    # way out, all beginnings of them) of random repairs behind two covers or none.
    dearer = 0
    for seed in range(40):
        rng = np.random.default_rng(seed)
        job = plain(
            rng.dirichlet(np.ones(5)), np.eye(5), rng.uniform(1.0, 30.0, 5), way_out=way_out,
            repair_zones=[0, 1, 1, 2, 2], zone_cost=rng.uniform(2.0, 25.0, 2),
        )  # fmt: skip
        costs = sequences(job, all_of_them=False)
        assert repairs_only(job).cost == pytest.approx(min(costs.values()), rel=1e-12), seed
        plainly = tuple(np.argsort(-job.weights / job.repair_minutes).tolist())
        dearer += min(costs[plainly[:k]] for k in range(6)) > min(costs.values()) * (1 + 1e-9)
    # Otherwise the covers would not have mattered.
    assert dearer >= 15


@pytest.mark.parametrize("seed", range(8))
def test_parts_that_can_be_looked_at_first(seed: int) -> None:
    """Looking costs c, replacing a bad part d: the order goes by p / c, whatever replacing costs.

    The form is Heckerman, Breese and Rommelse's (from memory); its sum over orders is enumerated here: looking at the
    i-th part while none before it was bad, replacing it where it is bad, and at last the way out for what is not among
    them.
    """
    rng = np.random.default_rng(seed)
    parts = 4
    weights = np.append(rng.dirichlet(np.full(parts, 4.0)) * 0.7, 0.3)
    looking, replacing = rng.uniform(1.0, 4.0, parts), rng.uniform(60.0, 90.0, parts)
    way_out = 400.0
    tests = [(c, np.stack((1.0 - row, row))) for c, row in zip(looking, np.eye(parts, parts + 1), strict=True)]
    job = plain(weights, np.eye(parts, parts + 1), replacing, way_out=way_out, tests=tests)

    def cost(order: Sequence[int]) -> float:
        left, total = 1.0, weights[-1] * way_out
        for i in order:
            total += left * looking[i] + weights[i] * replacing[i]
            left -= weights[i]
        return float(total)

    best = min(permutations(range(parts)), key=cost)
    assert list(best) == np.argsort(-weights[:parts] / looking).tolist()
    assert exact(job) == pytest.approx(cost(best), rel=1e-12)
    for effort in EFFORTS:
        first = choose(job, effort).best
        assert (first.kind, first.index) == ("test", best[0])
        # Where little weight is left, the search counts repairs alone: a trifle too much.
        assert cost(best) * (1 - 1e-12) <= first.cost <= cost(best) * 1.001


def test_value_of_an_imperfect_test_between_two_repairs() -> None:
    # Invented numbers: .6 and .4, repairs 10 each, right in 9 of 10 at 1: 14 without the test, 1 + 11 with it.
    weights, shown = np.array([0.6, 0.4]), np.array([[0.9, 0.1], [0.1, 0.9]])
    job = plain(weights, np.eye(2), [10.0, 10.0], tests=[(1.0, shown)])
    assert repairs_only(job).cost == pytest.approx(14.0)
    for option in (one_step(job), choose(job).best, choose(job, "quick").best):
        assert (option.kind, option.cost) == ("test", pytest.approx(12.0))
    joint = shown * weights
    gain = uncertainty(weights) - sum(uncertainty(row) for row in joint)
    by_definition = sum(p * np.log(p / (joint[o].sum() * weights[f])) for o in range(2) for f, p in enumerate(joint[o]))
    assert gain == pytest.approx(by_definition, rel=1e-12)
    assert gain == pytest.approx(0.3552, abs=5e-5)


def test_the_best_probe_of_de_kleer_and_williams() -> None:
    """Three multipliers (X = A C, Y = B D, Z = C E) and two adders (F = X + Y, G = Y + Z), F 10 instead of 12.

    With A, B, C, D, E = 3, 2, 2, 3, 3 the smallest diagnoses are {A1}, {M1}, {A2, M2} and {M2, M3}; X is the probe to
    take next, as printed.  What each diagnosis predicts at the probes is by arithmetic; the chance of a fault, 0.01, is
    ours.
    """
    values = {"X": [6, 4, 6, 6], "Y": [6, 6, 4, 4], "Z": [6, 6, 6, 8]}
    for x, y, z, adders in zip(*values.values(), ("A1", "", "A2", ""), strict=True):
        # What is not accused adds and multiplies as it should.
        assert "A1" in adders or x + y == 10
        assert "A2" in adders or y + z == 12
    weights = np.array([0.01, 0.01, 0.01**2, 0.01**2])
    shown = [np.array([np.array(v) == value for value in sorted(set(v))], dtype=float) for v in values.values()]
    job = plain(weights, np.eye(4), [20.0] * 4, tests=[(1.0, rows) for rows in shown])
    assert (telling(job).kind, telling(job).index) == ("test", 0)
    for effort in EFFORTS:
        assert (choose(job, effort).best.kind, choose(job, effort).best.index) == ("test", 0)
    # Of the two likely ones alone X leaves nothing open; Y and Z tell nothing.
    likely = replace(job, weights=np.array([0.5, 0.5, 0.0, 0.0]))
    for t, left in enumerate([0.0, np.log(2), np.log(2)]):
        rows = likely.outcome[likely.starts[t] : likely.starts[t + 1]] * likely.weights
        assert sum(uncertainty(row) for row in rows) == pytest.approx(left, abs=1e-12)


SEISMIC = np.array([[0.6, 0.3, 0.1], [0.3, 0.4, 0.4], [0.1, 0.3, 0.5]])
"""P(no, open, closed structure | dry, wet, soaking): rows are what is seen.  The same in both publications."""


def test_oil_wildcatter_of_raiffa() -> None:
    # Not drilling forgoes 0, 120 or 270; drilling costs 70.  Expected utility 20 without the test, 22.5 with it (10).
    weights, worth = np.array([0.5, 0.3, 0.2]), np.array([0.0, 120.0, 270.0])
    drill = plain(weights, np.ones((1, 3)), [70.0], way_out=worth, tests=[(10.0, SEISMIC)])
    assert weights @ worth - repairs_only(drill).cost == pytest.approx(20.0)
    for option in (one_step(drill), choose(drill).best, choose(drill, "quick").best):
        assert option.kind == "test"
        assert weights @ worth - option.cost == pytest.approx(22.5)


def test_value_of_information_of_the_sas_wildcatter() -> None:
    # Drilling costs 310 on average (150, 300, 500 with .2, .6, .2); dry 0, wet 700, soaking 1200; in thousands.
    weights, worth = np.array([0.5, 0.3, 0.2]), np.array([0.0, 700.0, 1200.0])
    cost, price = 0.2 * 150 + 0.6 * 300 + 0.2 * 500, 60.0
    drill = plain(weights, np.ones((1, 3)), [cost], way_out=worth, tests=[(price, SEISMIC)])
    assert weights @ worth - repairs_only(drill).cost == pytest.approx(140.0)
    knowing = [repairs_only(replace(drill, weights=truth)).cost for truth in np.eye(3)]
    assert repairs_only(drill).cost - weights @ knowing == pytest.approx(155.0)
    # A sounding at 60 is therefore dearer than it is worth (40.1 by hand from the printed table).
    choice = choose(drill)
    assert choice.best.kind == "repair"
    [sounding] = [option for option in choice.options if option.kind == "test"]
    assert repairs_only(drill).cost - (sounding.cost - price) == pytest.approx(40.1)
