"""Classes of hypotheses change no likelihood, and leaving out idle options changes no answer."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest

from probewright.inference.compiled import WRONG_REPORT, volts
from probewright.inference.configurations import configurations
from probewright.inference.evaluate import Rules, evaluate, read
from probewright.inference.evidence import Evidence, tell
from probewright.inference.likelihood import Weighed, error_of
from probewright.inference.reports import Reports
from probewright.inference.store import ModelStore
from probewright.inference.structure import classes
from probewright.packs.loader import load_packs
from probewright_schemas.records import Case, Reading
from support.any_cases import any_case

SEED = 4711
OPTIONS = {
    "fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat", "cooktop_ignition": "spark",
    "oven_control": "electronic",
}  # fmt: skip


@pytest.fixture(scope="module")
def store():
    return ModelStore(load_packs().get("gas_range").family)


def alone(evidence: Evidence, rules: Rules) -> np.ndarray:
    """Log-likelihoods with every hypothesis worked out by itself, in no class with others."""
    opened, rows = evidence.opened, []
    blocks = [(build, np.arange(len(build.compiled.hypotheses))) for build in opened.builds]
    said = [Reports(build.compiled, volts([evidence.supply]), every) for build, every in blocks]
    for name in evidence.complaints:
        chances = [
            np.broadcast_to(told.complained(name), (1, len(every)))[0] if name in build.compiled.complaints
            else np.full(len(every), opened.by_chance[name])
            for told, (build, every) in zip(said, blocks, strict=True)
        ]  # fmt: skip
        rows.append(np.log(np.concatenate(chances)))
    for name in evidence.working:
        chances = [
            told.works(name)[0] if name in build.compiled.functions else np.full(len(every), float(WRONG_REPORT))
            for told, (build, every) in zip(said, blocks, strict=True)
        ]
        rows.append(np.log(np.concatenate(chances)))
    return np.array([*rows, *(reading(one, blocks, rules) for one in evidence.weighed)])


def reading(one: Weighed, blocks: list, rules: Rules) -> np.ndarray:
    prepared, test = one.prepared, one.prepared.test
    found = []
    for build, every in blocks:
        compiled = build.compiled
        if test.id not in compiled.tests:
            found.append(np.full(len(every), np.log(error_of(prepared, rules.misread))))
        elif test.outcomes:
            outcome = test.outcomes.index(prepared.reading.seen)
            chances = compiled.chances(test.id, prepared.situation, prepared.beeper)
            found.append(np.log((1 - rules.misread) * chances[:, outcome] + rules.misread / len(test.outcomes)))
        else:
            likelihood = one.by_predictor[id(compiled.numeric(test.id))].likelihood
            found.append(np.log(likelihood[compiled.index(test.id)]))
    return np.concatenate(found)


def evidence_of(case: Case, store: ModelStore, rules: Rules) -> Evidence:
    readings = read(case, store, rules)
    return Evidence(readings.opened, case.complaints, case.working, readings.supply, readings.weighed)


def test_hypotheses_of_one_class_have_the_same_likelihood(store):
    chance, rules = random.Random(SEED), Rules()
    for _ in range(60):
        evidence = evidence_of(any_case(store.family, chance, OPTIONS), store, rules)
        [told] = tell([evidence], rules.misread)
        np.testing.assert_array_equal(told.log_likelihoods(), alone(evidence, rules))


def test_classes_are_few(store):
    compiled = store.compiled(configurations(store.family, OPTIONS)[0])
    for record in ("test:bake_igniter_current", "complaint:bake_does_not_light", "function:display_on"):
        found = classes(compiled, (record,))
        assert len(found.members) < len(compiled.hypotheses) / 10
        assert found.index[-1] == len(found.members) - 1
        assert (found.index == found.index[-1]).sum() == 1, "the unknown one stands alone"
        assert (found.index[found.members] == np.arange(len(found.members))).all()


def test_several_reports_of_one_function_are_classed_together(store):
    compiled = store.compiled(configurations(store.family, OPTIONS)[0])
    alone = [classes(compiled, (record,)) for record in ("complaint:oven_slow_to_light", "function:bake_lights")]
    together = classes(compiled, ("complaint:oven_slow_to_light", "function:bake_lights"))
    for found in alone:
        parts = {(int(a), int(b)) for a, b in zip(together.index, found.index, strict=True)}
        assert len(parts) == len(together.members), "each class lies within one of either"


def fault_chances(case: Case, store: ModelStore) -> dict[str, float]:
    found = evaluate(case, store, Rules())
    chances = dict(zip(found.faults, found.present.tolist(), strict=True))
    return {**chances, "none": found.none, "unknown": found.unknown}


def test_idle_options_do_not_multiply_builds_and_change_no_fault(store):
    open_curve = Case(store.family.id, options=OPTIONS, complaints=("bake_does_not_light",),
                      readings=(Reading("bake_igniter_current", 2.6, unit="A"),))  # fmt: skip
    assert len(store.open_builds(open_curve).builds) == 1
    with_sensor = Case(store.family.id, options=OPTIONS, complaints=("bake_does_not_light",),
                       readings=(Reading("oven_sensor_resistance", 1080, unit="ohm"),))  # fmt: skip
    assert len(store.open_builds(with_sensor).builds) == 2
    chances = [
        fault_chances(replace(open_curve, options={**OPTIONS, "sensor_curve": curve}), store)
        for curve in ("iec_60751", "trade_3750")
    ]
    assert chances[0] == pytest.approx(chances[1], rel=1e-12)
