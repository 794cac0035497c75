"""Merging what the evidence cannot tell apart changes no answer, and neither does leaving out idle options."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest

from probewright.inference.configurations import configurations
from probewright.inference.evaluate import Rules, read
from probewright.inference.evidence import Evidence, log_likelihoods
from probewright.inference.posterior import posterior
from probewright.inference.store import ModelStore
from probewright.inference.structure import labels
from probewright.packs.loader import load_packs
from probewright_schemas.records import Case, Conditions, Quantity, Reading

SEED = 4711
OPTIONS = {
    "fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat", "cooktop_ignition": "spark",
    "oven_control": "electronic",
}  # fmt: skip


@pytest.fixture(scope="module")
def store():
    return ModelStore(load_packs().get("gas_range").family)


def random_case(family, chance: random.Random) -> Case:
    """Options left open or not, a few complaints and functions, readings drawn without any regard to each other."""
    given = {option: value for option, value in OPTIONS.items() if chance.random() < 0.7}
    if "oven_ignition" not in given:
        given.pop("igniter_style", None)
    readings = []
    for test in chance.sample(family.tests, chance.randint(0, 7)):
        if test.outcomes:
            readings.append(Reading(test.id, seen=chance.choice(test.outcomes)))
        elif test.kind == "resistance" and chance.random() < 0.3:
            readings.append(Reading(test.id, over_range=True))
        else:
            readings.append(Reading(test.id, value=round(10 ** chance.uniform(-1, 3), 3), unit=test.unit))
    return Case(
        family.id,
        options=given,
        complaints=tuple(c.id for c in chance.sample(family.complaints, chance.randint(0, 2))),
        working=tuple(f.id for f in chance.sample(family.functions, chance.randint(0, 2))),
        conditions=Conditions(
            ambient=Quantity(chance.randint(15, 30), "degC"),
            supply_voltage=Quantity(chance.randint(100, 126), "V") if chance.random() < 0.5 else None,
        ),
        readings=tuple(readings),
    )


def fault_chances(case: Case, store: ModelStore, *, merged: bool):
    rules = Rules()
    readings = read(case, store, rules, merged=merged)
    opened = readings.opened
    evidence = Evidence(opened, case.complaints, case.working, readings.supply, readings.weighed)
    [rows] = log_likelihoods([evidence], rules.misread)
    found = posterior(opened.log_prior, rows)
    chances = dict(zip(opened.faults, opened.present(found.probabilities).tolist(), strict=True))
    chances["none"] = found.probabilities[opened.none].sum()
    chances["unknown"] = found.probabilities[opened.unknown].sum()
    return chances, found.log_evidence, len(opened.log_prior)


def test_merged_hypotheses_give_the_same_answers(store):
    chance = random.Random(SEED)
    saved = 0
    for _ in range(60):
        case = random_case(store.family, chance)
        one, evidence, few = fault_chances(case, store, merged=True)
        other, same_evidence, many = fault_chances(case, store, merged=False)
        assert one.keys() == other.keys()
        assert np.allclose(list(one.values()), [other[k] for k in one], rtol=1e-9, atol=1e-13)
        assert evidence == pytest.approx(same_evidence, rel=1e-12, abs=1e-9)
        saved += few < many / 2
    assert saved > 30, "merging is there to save work"


def test_no_fault_and_the_unknown_stand_alone(store):
    compiled = store.compiled(configurations(store.family, OPTIONS)[0])
    found = labels(compiled, ["test:bake_igniter_current", "complaint:bake_does_not_light"])
    assert (found == found[0]).sum() == 1
    merged = compiled.hypotheses.merged(found)
    assert merged.first[0] == merged.second[0] == 0
    assert merged.contains()[0].sum() == 0
    assert merged.contains()[-1].sum() == 0
    assert merged.log_prior[-1] == pytest.approx(compiled.hypotheses.log_prior[-1])
    assert np.exp(merged.log_prior).sum() == pytest.approx(1.0)
    prior = np.exp(compiled.hypotheses.log_prior) @ compiled.hypotheses.contains()
    assert np.exp(merged.log_prior) @ merged.contains() == pytest.approx(prior)


def test_idle_options_do_not_multiply_builds_and_change_no_fault(store):
    open_curve = Case(store.family.id, options=OPTIONS, complaints=("bake_does_not_light",),
                      readings=(Reading("bake_igniter_current", 2.6, unit="A"),))  # fmt: skip
    assert len(store.open_builds(open_curve, merged=True).builds) == 1
    with_sensor = Case(store.family.id, options=OPTIONS, complaints=("bake_does_not_light",),
                       readings=(Reading("oven_sensor_resistance", 1080, unit="ohm"),))  # fmt: skip
    assert len(store.open_builds(with_sensor, merged=True).builds) == 2
    chances = [
        fault_chances(replace(open_curve, options={**OPTIONS, "sensor_curve": curve}), store, merged=True)[0]
        for curve in ("iec_60751", "trade_3750")
    ]
    assert chances[0] == pytest.approx(chances[1], rel=1e-12)
