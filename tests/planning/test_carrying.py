"""The parts to carry, against every set there is."""

from __future__ import annotations

from itertools import combinations, pairwise
from types import SimpleNamespace

import numpy as np
import pytest

from probewright.figures import invented
from probewright.packs.model import ReplaceablePart
from probewright.planning.carrying import MOST_PLANS, Bounds, Carrier, Parts
from probewright.planning.finish import ClosingState
from probewright.planning.following import follow
from probewright.planning.model import compile_model
from probewright.planning.next_step import Problem, lay_out
from probewright_schemas.records import Case


def random_carrier(make: SimpleNamespace, seed: int, count: int) -> Carrier:
    """Faults of one part each, some told apart by a look, some cured now and then by another part as well."""
    chance = np.random.default_rng(seed)
    names = [f"f{i:02d}" for i in range(count)]
    present = chance.dirichlet(np.full(count, 0.7)) * 0.97
    repairs, outcomes = [], {}
    for i, name in enumerate(names):
        cures = {name: float(chance.uniform(0.8, 1.0))}
        if chance.random() < 0.3:
            cures[names[(i + 1) % count]] = float(chance.uniform(0.1, 0.6))
        repairs.append(make.repair(f"fit_{name}", cures, part=f"p{i:02d}", minutes=invented(chance.uniform(5, 40))))
    for k in range(count // 2):
        bad = chance.uniform(0.0, 1.0, count + 2).round(1)
        outcomes[f"look_{k}"] = [0.05, *np.where(chance.random(count) < 0.5, bad[1:-1], 0.05).tolist(), 0.05]
    parts = tuple(
        ReplaceablePart(f"p{i:02d}", f"Part {i}", invented(float(chance.integers(5, 200)))) for i in range(count)
    )
    family = make.family(
        tests=[make.test(name, minutes=invented(3.0)) for name in outcomes], repairs=repairs,
        faults=[make.fault(name) for name in names], parts=parts, closings=(),
    )  # fmt: skip
    belief = make.belief(dict(zip(names, present.tolist(), strict=True)), outcomes, none=0.02, unknown=0.01)
    model = compile_model(family, None, belief.faults)
    return Carrier(lay_out(Problem(model, belief, Case(family.id), (), ClosingState())), [p.id for p in parts])


def used(carrier: Carrier) -> dict[str, float]:
    return follow(carrier.with_parts(frozenset(carrier.stock))).parts


def every_set(carrier: Carrier, bounds: Bounds) -> list[Parts]:
    sets = [frozenset(some) for n in range(len(carrier.stock) + 1) for some in combinations(carrier.stock, n)]
    return [parts for parts in sets if bounds.allow(parts, carrier.price)]


BOUNDS = (Bounds(), Bounds(budget=100.0), Bounds(most=2), Bounds(budget=180.0, most=3), Bounds(budget=0.0))


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("bounds", BOUNDS)
def test_of_few_parts_the_best_set_is_carried(make: SimpleNamespace, seed: int, bounds: Bounds) -> None:
    carrier = random_carrier(make, seed, 5)
    chosen = carrier.choose(used(carrier), bounds)
    assert bounds.allow(chosen, carrier.price)
    best = min(carrier.cost(parts) for parts in every_set(carrier, bounds))
    assert carrier.cost(chosen) <= best * 1.01


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("bounds", BOUNDS[:4])
def test_of_many_parts_a_set_as_good_is_found(make: SimpleNamespace, seed: int, bounds: Bounds) -> None:
    carrier = random_carrier(make, 100 + seed, 8)
    wanted = used(carrier)
    chosen = Carrier(carrier.job, carrier.stock).choose(wanted, bounds)
    assert bounds.allow(chosen, carrier.price)
    best = min(carrier.cost(parts) for parts in every_set(carrier, bounds))
    assert carrier.cost(chosen) <= best * 1.01


def test_planning_for_parts_is_bounded(make: SimpleNamespace) -> None:
    carrier = random_carrier(make, 7, 14)
    carrier.choose(used(carrier), Bounds(budget=400.0))
    assert 0 < carrier.plans <= MOST_PLANS + 1


def test_more_money_is_never_worse(make: SimpleNamespace) -> None:
    carrier = random_carrier(make, 3, 6)
    wanted = used(carrier)
    costs = [carrier.cost(carrier.choose(wanted, Bounds(budget))) for budget in (0.0, 50.0, 100.0, 200.0, 400.0, None)]
    assert all(more <= less * (1 + 1e-9) for less, more in pairwise(costs))


def test_parts_out_of_stock_are_never_carried(make: SimpleNamespace) -> None:
    carrier = random_carrier(make, 1, 5)
    few = Carrier(carrier.job, ["p01", "p03"])
    assert few.choose(used(carrier), Bounds()) <= {"p01", "p03"}
