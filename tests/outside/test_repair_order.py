"""Repair order, expected cost of repair and value of a test, against examples from the literature.

Sources
-------
- Smith, Naval Research Logistics Quarterly 3 (1956), and Kadane and Simon, Cognitive Psychology 9 (1977): chance over
  cost orders independent actions optimally.  Heckerman, Breese and Rommelse, Communications of the ACM 38(3), 1995,
  49-57: the same for repairs, and the myopic value of a test.
- Jensen, Kjaerulff, Kristiansen, Langseth, Skaanning, Vomlel and Vomlelova, AI EDAM 15 (2001), 321-333: actions that
  share causes.
- Jensen and Nielsen, *Bayesian Networks and Decision Graphs*, 2nd edition, Springer 2007, start problem of the chapter
  on troubleshooting (a computer that behaves irregularly): probabilities, costs and chances as printed there.
- Raiffa, *Decision Analysis*, 1968: the oil wildcatter, with the figures of Shenoy, Operations Research 40 (1992), as
  tabulated in the HUGIN manual.
- SAS/OR User's Guide, *The DTREE Procedure*: the oil wildcatter with other figures, and the value of perfect
  information printed there, 155 000.

Where a publication gives the problem but not the number, the number is found here by enumeration, and says so.
"""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest
from numpy.typing import NDArray

from probewright.planning.information import information_gain
from probewright.planning.repair_order import Blocks, Repairs, least_cost

Array = NDArray[np.float64]
NEVER = 1e6


def repairs(cures: object, cost: object, way_out: object = NEVER) -> Repairs:
    """Repairs without zones and states."""
    chance, price = np.array(cures, dtype=float), np.array(cost, dtype=float)
    out = np.broadcast_to(np.array(way_out, dtype=float), chance.shape[1:]).copy()
    no_zones = np.zeros((len(price), 0))
    return Repairs(chance, price, out, no_zones, np.zeros(0), np.zeros((1, len(price))), Blocks.by_zones(no_zones))


def expected_cost(given: Repairs, weights: Array) -> float:
    """Sum of the least costs of the rows of weights."""
    rows = np.atleast_2d(weights)
    return float(least_cost(given, rows, np.zeros((len(rows), 0)), np.zeros(len(rows), dtype=np.intp)).cost.sum())


def sequence_cost(given: Repairs, weights: Array, order: tuple[int, ...]) -> float:
    """Cost of one sequence with the way out at its end, by the definition."""
    total = 0.0
    for r in order:
        total, weights = total + given.cost[r] * weights.sum(), weights * (1 - given.cures[r])
    return float(total + weights @ given.way_out)


def test_chance_over_cost_on_four_independent_repairs() -> None:
    # Numbers invented for the test; best and worst order by enumeration, the rule by Kadane and Simon.
    given, weights = repairs(np.eye(4), [8.0, 2.0, 5.0, 1.0]), np.array([0.45, 0.25, 0.20, 0.10])
    costs = {order: sequence_cost(given, weights, order) for order in permutations(range(4))}
    assert min(costs, key=costs.__getitem__) == (1, 3, 0, 2)
    assert (min(costs.values()), max(costs.values())) == (pytest.approx(8.95), pytest.approx(12.25))
    assert expected_cost(given, weights) == pytest.approx(8.95)


def test_repairs_that_share_causes_follow_updated_chances() -> None:
    # Three unit-cost actions over pairs of four causes; the updating greedy gives 1.50, the optimum is 1.45.
    given = repairs([[1, 1, 0, 0], [0, 1, 1, 0], [0, 0, 1, 1]], [1.0, 1.0, 1.0])
    weights = np.array([0.20, 0.25, 0.40, 0.15])
    assert expected_cost(given, weights) == pytest.approx(1.50)
    assert min(sequence_cost(given, weights, order) for order in permutations(range(3))) == pytest.approx(1.45)


def test_irregular_computer_of_jensen_and_nielsen() -> None:
    # Program .8, virus .15, hardware .05; reboot 1, virus tool 2, reinstall 25, new computer 500.
    given = repairs(
        [[1.0, 0.0, 0.0], [0.0, 0.95, 0.0], [0.99, 0.99, 0.0], [1.0, 1.0, 1.0]], [1.0, 2.0, 25.0, 500.0]
    )
    weights = np.array([0.8, 0.15, 0.05])
    orders = [order for k in range(1, 5) for order in permutations(range(4), k) if 3 in order]
    best = min(orders, key=lambda order: sequence_cost(given, weights, order))
    assert best == (0, 1, 2, 3)
    assert expected_cost(given, weights) == pytest.approx(sequence_cost(given, weights, best))
    assert expected_cost(given, weights) == pytest.approx(1 + 0.2 * 2 + 0.0575 * 25 + 0.050075 * 500)


def test_first_violation_is_no_reason_to_stop() -> None:
    # Invented numbers; by enumeration: way out 10, one repair first 11, both 9.
    given, weights = repairs(np.eye(2), [6.0, 6.0], 10.0), np.array([0.5, 0.5])
    costs = [sequence_cost(given, weights, order) for order in ((), (0,), (0, 1))]
    assert costs == [pytest.approx(10.0), pytest.approx(11.0), pytest.approx(9.0)]
    assert expected_cost(given, weights) == pytest.approx(9.0)


def test_value_of_an_imperfect_test_between_two_repairs() -> None:
    # Invented numbers: .6 and .4, repairs 10 each, right in 9 of 10: 14 without the test, 11 after it.
    given, weights = repairs(np.eye(2), [10.0, 10.0]), np.array([0.6, 0.4])
    joint = np.array([[0.9, 0.1], [0.1, 0.9]]) * weights
    assert expected_cost(given, weights) == pytest.approx(14.0)
    assert expected_cost(given, joint) == pytest.approx(11.0)
    by_definition = sum(
        p * np.log(p / (joint[o].sum() * weights[f])) for o in range(2) for f, p in enumerate(joint[o])
    )
    gain = float(information_gain(joint, np.array([0]), weights)[0])
    assert gain == pytest.approx(by_definition, rel=1e-12)
    assert gain == pytest.approx(0.3552, abs=5e-5)


SEISMIC = np.array([[0.6, 0.3, 0.1], [0.3, 0.4, 0.4], [0.1, 0.3, 0.5]])
"""P(no, open, closed structure | dry, wet, soaking): rows are what is seen.  The same in both publications."""


def test_oil_wildcatter_of_raiffa() -> None:
    # Not drilling forgoes 0, 120 or 270; drilling costs 70.  Expected utility 20 without the test, 22.5 with it (10).
    weights, worth = np.array([0.5, 0.3, 0.2]), np.array([0.0, 120.0, 270.0])
    drill = repairs(np.ones((1, 3)), [70.0], worth)
    assert weights @ worth - expected_cost(drill, weights) == pytest.approx(20.0)
    assert weights @ worth - expected_cost(drill, SEISMIC * weights) - 10.0 == pytest.approx(22.5)


def test_value_of_information_of_the_sas_wildcatter() -> None:
    # Drilling costs 310 on average (150, 300, 500 with .2, .6, .2); dry 0, wet 700, soaking 1200; in thousands.
    weights, worth = np.array([0.5, 0.3, 0.2]), np.array([0.0, 700.0, 1200.0])
    drill = repairs(np.ones((1, 3)), [0.2 * 150 + 0.6 * 300 + 0.2 * 500], worth)
    assert weights @ worth - expected_cost(drill, weights) == pytest.approx(140.0)
    assert expected_cost(drill, weights) - expected_cost(drill, np.diag(weights)) == pytest.approx(155.0)
    # A sounding at 60 is therefore dearer than it is worth (40.1 by hand from the printed table).
    assert expected_cost(drill, weights) - expected_cost(drill, SEISMIC * weights) == pytest.approx(40.1)
