"""Trying a burner, and looking at the display: what they show under each fault."""

from __future__ import annotations

import numpy as np
import pytest

from probewright.inference.configurations import configurations
from probewright.inference.situation import Situation
from probewright.inference.store import ModelStore

NO_METER = (0.0, 0.0, 0.0)
NOMINAL = Situation(supply=120.0)


@pytest.fixture(scope="module")
def store(family):
    return ModelStore(family)


def compiled(store, family, **options):
    return store.compiled(configurations(family, {"fuel": "natural_gas", **options})[0])


def shown(model, test: str, fault: str | None) -> dict[str, float]:
    """Probabilities of a test's outcomes under one fault at the nominal supply."""
    row = model.hypotheses.faults.index(fault) + 1 if fault else 0
    chances = model.chances(test, NOMINAL, NO_METER)[row]
    return dict(zip(model.tests[test].outcomes, chances.tolist(), strict=True))


@pytest.mark.parametrize("burner", ["bake", "broil"])
@pytest.mark.parametrize("ignition", ["hot_surface", "spark", "standing_pilot"])
@pytest.mark.parametrize("control", ["electronic", "mechanical"])
def test_a_burner_that_is_tried_lights_as_often_as_the_function_works(store, family, burner, ignition, control):
    model = compiled(store, family, oven_ignition=ignition, oven_control=control)
    works = model.working(f"{burner}_lights", 120.0)
    faults = model.hypotheses.faults
    fails = model.chances(f"{burner}_burner_lighting", NOMINAL, NO_METER)[: len(faults) + 1, -1]
    assert np.abs(fails - (1 - works[: len(faults) + 1])).max() < 0.02
    assert fails[0] < 0.01
    assert (fails > 0.9).sum() >= 4


@pytest.mark.parametrize(
    ("fault", "likeliest"),
    [(None, "in_time"), ("bake_igniter_weak", "does_not_light"), ("bake_igniter_open", "does_not_light"),
     ("bake_valve_coil_open", "does_not_light"), ("gas_shut_off", "does_not_light"),
     ("control_locked", "does_not_light"), ("oven_sensor_drifted", "in_time"), ("broil_igniter_open", "in_time")],
)  # fmt: skip
def test_what_a_trial_of_the_bake_burner_shows(store, family, fault, likeliest):
    model = compiled(store, family, oven_ignition="hot_surface", igniter_style="flat", oven_control="electronic")
    chances = shown(model, "bake_burner_lighting", fault)
    assert max(chances, key=chances.__getitem__) == likeliest


def test_a_weak_igniter_that_still_opens_the_valve_does_so_late(store, family):
    model = compiled(store, family, oven_ignition="hot_surface", igniter_style="flat", oven_control="electronic")
    weak, sound = shown(model, "bake_burner_lighting", "bake_igniter_weak"), shown(model, "bake_burner_lighting", None)
    assert weak["late"] > 1.5 * weak["in_time"]
    assert sound["late"] < 0.1 * sound["in_time"]


@pytest.mark.parametrize(
    ("fault", "error"),
    [(None, False), ("oven_sensor_open", True), ("oven_sensor_harness_open", True), ("board_sensor_input_failed", True),
     ("oven_sensor_drifted", False), ("control_locked", False), ("no_supply", False)],
)  # fmt: skip
def test_what_the_display_shows(store, family, fault, error):
    model = compiled(store, family, oven_control="electronic")
    assert (shown(model, "display_error", fault)["sensor_error"] > 0.5) is error
