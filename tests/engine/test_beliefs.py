"""From a case to what planning is told of its tests, with options given and with options open."""

from __future__ import annotations

import numpy as np
import pytest

from probewright.engine.beliefs import belief, likely, teller
from probewright.inference.evaluate import Rules, evaluate
from probewright.inference.outcomes import Axes, Tables, shared_stacks
from probewright.inference.store import ModelStore
from probewright_schemas.records import Conditions, Limits, Quantity

MISREAD = 0.01


@pytest.fixture(scope="module")
def store(gas_range):
    return ModelStore(gas_range.family)


@pytest.fixture(scope="module")
def tables(store):
    axes, made = Axes(), {}

    def table(compiled):
        if compiled not in made:
            made[compiled] = Tables(compiled, axes)
        return made[compiled]

    return table


def believed(case, store, tables):
    found = evaluate(case, store, Rules())
    chosen = [tables(found.readings.opened.builds[i].compiled) for i in likely(found)]
    known = found.readings.supply is not None
    return belief(found, shared_stacks(chosen, MISREAD, supply_known=known), teller(case, found))


def test_a_build_that_is_known(job, store, tables):
    found = believed(job(complaints=("bake_does_not_light",)), store, tables)
    table = found.outcomes["bake_igniter_current"]
    assert (table.unit, table.edges[-1]) == ("A", 3.6)
    assert found.told("bake_igniter_current") == table.labels
    assert table.labels[-2:] == ("3.2 to 3.6 A", "over 3.6 A")
    assert found.outcomes["bake_igniter_glow"].unit is None
    assert found.told("bake_igniter_glow") == ("white", "dim orange", "none")


def test_conditions_of_the_case_stand_in_what_is_told(job, store, tables):
    conditions = Conditions(Quantity(86.0, "degF"), Quantity(108.0, "V"), Quantity(350.0, "degF"))
    case = job(complaints=("bake_does_not_light",), conditions=conditions)
    found = believed(case, store, tables)
    assert found.told("bake_igniter_current")[-1] == "over 3.24 A"
    assert all(label.endswith("at 30 degC") for label in found.told("oven_sensor_resistance")[:-1])
    assert found.told("oven_temperature")[0].startswith("under 1")
    count = len(found.outcomes["bake_igniter_current"].labels)
    assert found.told("bake_igniter_current", [0] * (count - 1) + [1]) == ("under 3.24 A", "over 3.24 A")


def test_a_technical_sheet_stands_in_what_is_told(job, store, tables):
    sheet = {"bake_igniter_current": Limits("A", 2.9, 3.3)}
    found = believed(job(complaints=("bake_does_not_light",), tech_sheet=sheet), store, tables)
    assert "2.90 to 3.30 A" in found.told("bake_igniter_current")


def test_open_options_are_averaged_on_common_cuts(job, store, tables):
    options = {"fuel": "natural_gas", "oven_ignition": "hot_surface", "cooktop_ignition": "spark",
               "oven_control": "electronic"}  # fmt: skip
    # The cold resistance weighs no style against the other: both are open.
    case = job(complaints=("bake_does_not_light",), options=options)
    found = believed(case, store, tables)
    evaluation = evaluate(case, store, Rules())
    table = found.outcomes["bake_igniter_current"]
    assert {2.5, 3.0, 3.2, 3.6} <= set(table.edges)
    assert table.given.sum(axis=1) == pytest.approx(1.0)
    shares = dict.fromkeys(("flat", "round"), 0.0)
    weak = np.zeros(len(table.labels))
    row = 1 + found.faults.index("bake_igniter_weak")
    for i in likely(evaluation):
        compiled, share = evaluation.readings.opened.builds[i].compiled, float(evaluation.shares[i])
        shares[compiled.configuration["igniter_style"]] += share
        axis, places = tables(compiled).axis(compiled.tests["bake_igniter_current"])
        under = axis.under(table.edges)[places[1 + compiled.hypotheses.faults.index("bake_igniter_weak")]]
        weak += share * np.diff(under, prepend=0.0, append=1.0)
    assert min(shares.values()) > 0.02
    # Apart from misreadings, which every row has alike.
    assert np.abs(table.given[row] - weak / sum(shares.values())).sum() / 2 < 2 * MISREAD
