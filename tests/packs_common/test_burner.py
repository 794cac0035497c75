"""Igniters and valves: an oven's pair in series, and a dryer's valve with its flame sensor, by the series law."""

from __future__ import annotations

import math

import pytest

from probewright.packs import Circuit, Part, Resistance, common_practice, exactly, from_memory
from probewright_packs.common import (
    FREQUENCY,
    bimetal_valve,
    glowing,
    igniter,
    igniter_changes,
    line,
    line_changes,
    module_input,
    solenoid_valve,
    thermostat,
    thermostat_changes,
    two_coil_changes,
    two_coil_valve,
    valve_changes,
)
from support.middle import Bench

#: Cord and neutral, in the middle.
WIRES = 2 * 0.11
BAND = glowing(common_practice(3.2), common_practice(3.6), from_memory(1.0))
COILS = {"holding": (1350.0, 2.5), "booster": (560.0, 1.05), "secondary": (1350.0, 2.5)}


def oven() -> Circuit:
    parts = (*line(), igniter("igniter", "hot", "middle", BAND), bimetal_valve("valve", "middle", "neutral"))
    changes = {**line_changes(heavy=True), **igniter_changes("igniter"), **valve_changes("valve")}
    return Circuit("oven", "earth", parts, changes, FREQUENCY)


def dryer() -> Circuit:
    """Igniter, flame sensor and the valve's three coils; the sensor opens once it burns."""
    no_valve = exactly(from_memory(45.0))
    parts = (
        *line(),
        Part("harness", "hot", "burner", Resistance(exactly(from_memory(0.1)))),
        igniter("igniter", "burner", "sensed", no_valve),
        *two_coil_valve("valve", "burner", "sensed", "neutral"),
        thermostat("sensor", "sensed", "neutral", ("off", "glow", "burn"), ("burn",)),
    )
    changes = {**two_coil_changes("valve"), **igniter_changes("igniter"), **thermostat_changes("sensor")}
    return Circuit("dryer", "earth", parts, changes, FREQUENCY)


OVEN = Bench(oven())
GLOWS, BURNS = Bench(dryer(), "glow"), Bench(dryer(), "burn")


def coil(name: str) -> complex:
    ohms, henries = COILS[name]
    return complex(ohms, 2 * math.pi * 60 * henries)


def test_the_glowing_igniter_draws_its_band_with_the_valve_behind_it() -> None:
    # 120 V over 3.2 to 3.6 A, less 1 ohm: 36.5 and 32.33 ohm.
    assert (float(BAND.first), float(BAND.second)) == pytest.approx((120 / 3.6 - 1, 36.5), abs=1e-9)
    assert OVEN.amperes("igniter") == pytest.approx(120 / (BAND.median + 1.05 + WIRES), rel=1e-4)
    assert 3.2 < OVEN.amperes("igniter") < 3.6


def test_a_weak_igniter_glows_and_draws_too_little() -> None:
    assert OVEN.amperes("igniter", "igniter_weak") == pytest.approx(
        120 / (1.35 * BAND.median + 1.05 + WIRES), rel=1e-4
    )
    assert OVEN.amperes("igniter", "igniter_weak") < 2.7


def test_an_open_part_of_a_series_has_the_whole_voltage() -> None:
    assert OVEN.volts("hot", "middle", "igniter_open") == pytest.approx(120.0, abs=0.1)
    assert OVEN.volts("middle", "neutral", "igniter_open") < 0.01
    assert OVEN.volts("middle", "neutral", "valve_coil_open") == pytest.approx(120.0, abs=0.1)
    assert OVEN.amperes("igniter", "valve_coil_open") < 1e-3


def test_cold_an_igniter_reads_hundreds_of_ohms_and_the_valve_about_one() -> None:
    assert OVEN.ohms("hot", "middle", apart=("valve", "cord_hot", "neutral_conductor")) == pytest.approx(
        (40.0 * 400.0) ** 0.5, rel=1e-3
    )
    assert OVEN.ohms("middle", "neutral", apart=("igniter",)) == pytest.approx(1.05, rel=1e-3)


def test_while_cold_the_flame_sensor_bridges_the_secondary_coil() -> None:
    assert GLOWS.amperes("igniter") == pytest.approx(120 / (45.0 + 0.1 + 0.055 + WIRES), rel=5e-3)
    assert GLOWS.volts("sensed", "neutral") < 0.3
    assert GLOWS.amperes("valve_holding_coil") == pytest.approx(120 / abs(coil("holding")), rel=0.01)
    assert GLOWS.amperes("valve_booster_coil") == pytest.approx(120 / abs(coil("booster")), rel=0.01)
    assert GLOWS.amperes("valve_secondary_coil") < 1e-3


def test_once_hot_the_secondary_coil_has_nearly_the_whole_voltage() -> None:
    # Cold again, the igniter is 126 ohm, beside the booster coil; both lie in series with the secondary coil.
    beside = 1 / (1 / ((40.0 * 400.0) ** 0.5) + 1 / coil("booster"))
    volts = 120 * abs(coil("secondary") / (coil("secondary") + beside))
    assert BURNS.volts("sensed", "neutral") == pytest.approx(volts, rel=2e-3)
    assert BURNS.amperes("igniter") < 0.1
    assert BURNS.amperes("valve_holding_coil") == pytest.approx(120 / abs(coil("holding")), rel=0.01)


def test_an_open_coil_takes_no_current_and_leaves_the_others() -> None:
    for name in COILS:
        for bench in (GLOWS, BURNS):
            assert bench.amperes(f"valve_{name}_coil", f"valve_{name}_open") < 1e-6
    assert BURNS.amperes("valve_holding_coil", "valve_secondary_open") > 0.06
    assert BURNS.volts("sensed", "neutral", "valve_secondary_open") == pytest.approx(120.0, abs=0.1)


def test_a_flame_sensor_that_stays_shut_glows_on_and_one_that_stays_open_never_glows() -> None:
    assert BURNS.amperes("igniter", "sensor_welded") > 2.5
    assert BURNS.amperes("valve_secondary_coil", "sensor_welded") < 1e-3
    assert GLOWS.amperes("igniter", "sensor_open") < 0.1


def test_coils_read_their_ohms_with_one_lead_off() -> None:
    off = ("harness", "igniter", "sensor")
    bench = Bench(dryer())
    others = COILS["holding"][0] + COILS["secondary"][0]
    assert bench.ohms("burner", "sensed", apart=off) == pytest.approx(1 / (1 / 560.0 + 1 / others), rel=1e-3)
    assert bench.ohms("burner", "sensed", "valve_booster_open", apart=off) == pytest.approx(others, rel=1e-3)


def test_a_solenoid_and_a_module_across_mains() -> None:
    parts = (*line(), solenoid_valve("valve", "hot", "neutral"), module_input("module", "hot", "neutral"))
    bench = Bench(Circuit("spark", "earth", parts, valve_changes("valve"), FREQUENCY))
    assert bench.amperes("valve") == pytest.approx(120 / abs(complex(375.0, 2 * math.pi * 60 * 2.75)), rel=2e-3)
    assert bench.amperes("valve", "valve_coil_open") < 1e-9
    assert bench.amperes("module", "valve_coil_open") == pytest.approx(120 / (3e3 * 15e3) ** 0.5, rel=2e-3)


def test_parts_can_be_restricted_to_builds() -> None:
    when = {"heat": "gas"}
    made = (
        igniter("i", "a", "b", BAND, when), bimetal_valve("v", "a", "b", when), solenoid_valve("s", "a", "b", when),
        *two_coil_valve("t", "a", "b", "c", when), module_input("m", "a", "b", when),
    )  # fmt: skip
    assert all(part.when == when for part in made)
