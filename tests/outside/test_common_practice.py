"""Facts of the trade, without a citable source: common practice, and tested as such.

Each is a plain sentence that a technician would nod at; the engine must arrive at it from the wiring and the laws.
"""

from __future__ import annotations

import pytest

from probewright.engine import check_readings, diagnose
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright_schemas.records import Case, Conditions, Quantity, Reading

BUILD = {
    "fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat", "cooktop_ignition": "spark",
    "oven_control": "electronic",
}  # fmt: skip
ROOM = Conditions(ambient=Quantity(70, "degF"), supply_voltage=Quantity(120, "V"))


@pytest.fixture(scope="module")
def pack():
    return load_packs().get("gas_range")


def ask(pack, *readings, complaints=(), working=(), **options):
    case = Case("gas_range", options={**BUILD, **options}, complaints=complaints, working=working, conditions=ROOM,
                readings=readings)  # fmt: skip
    return diagnose(case, pack, Settings())


def chance(answer, *faults):
    return sum(f.probability for f in answer.faults if f.fault in faults)


@pytest.mark.parametrize("curve", ["iec_60751", "trade_3750"])
def test_a_common_sensor_reads_about_1080_ohm_at_70_degf(pack, curve):
    reading = Reading("oven_sensor_resistance", value=1080.0, unit="ohm", state="isolated")
    case = Case("gas_range", options={**BUILD, "sensor_curve": curve}, conditions=ROOM, readings=(reading,))
    (checked,) = check_readings(case, pack, Settings()).readings
    assert checked.verdict == "within"
    assert checked.expected.low == pytest.approx(1080, rel=0.03)
    assert checked.expected.high == pytest.approx(1080, rel=0.03)


def test_a_spark_module_gets_about_120_v_with_a_knob_at_light(pack):
    reading = Reading("spark_module_supply_voltage", value=120.0, unit="V", state="live_gas_off")
    (checked,) = ask(pack, reading).readings
    assert checked.verdict == "within"
    assert checked.expected.low < 120 < checked.expected.high


@pytest.mark.parametrize("burner", ["bake", "broil"])
def test_a_glow_that_is_not_white_means_too_weak_to_open_the_valve(pack, burner):
    dim = ask(pack, Reading(f"{burner}_igniter_glow", seen="dim_orange"), complaints=(f"{burner}_does_not_light",))
    white = ask(pack, Reading(f"{burner}_igniter_glow", seen="white"), complaints=(f"{burner}_does_not_light",))
    assert dim.faults[0].fault == f"{burner}_igniter_weak"
    assert chance(dim, f"{burner}_igniter_weak") > 0.8
    assert chance(white, f"{burner}_igniter_weak") < 0.3


def test_voltage_in_and_no_spark_anywhere_condemns_the_module(pack):
    seen = Reading("spark_at_electrodes", seen="none", state="live_gas_off")
    fed = Reading("spark_module_supply_voltage", value=119.0, unit="V", state="live_gas_off")
    starved = Reading("spark_module_supply_voltage", value=0.0, unit="V", state="live_gas_off")
    complaint = ("no_spark_at_any_burner",)
    assert chance(ask(pack, seen, fed, complaints=complaint), "spark_module_dead") > 0.9
    assert chance(ask(pack, seen, starved, complaints=complaint), "spark_module_dead") < 0.05


def test_an_open_sensor_stops_the_oven(pack):
    stopped = ask(pack, Reading("oven_sensor_resistance", over_range=True, state="isolated"),
                  complaints=("bake_does_not_light", "broil_does_not_light", "sensor_error_shown"))  # fmt: skip
    assert stopped.faults[0].fault == "oven_sensor_open"
    assert chance(stopped, "oven_sensor_open") > 0.9
    unaware = ask(pack, complaints=("bake_does_not_light", "broil_does_not_light"))
    assert chance(unaware, "oven_sensor_open", "oven_sensor_harness_open") > 0.15


def test_line_voltage_across_igniter_and_valve_and_no_glow_leaves_these_two(pack):
    none = Reading("bake_igniter_glow", seen="none")
    live = Reading("bake_circuit_voltage", value=120.0, unit="V", state="live_gas_off")
    answer = ask(pack, none, live, complaints=("bake_does_not_light",))
    assert chance(answer, "bake_igniter_open", "bake_valve_coil_open") > 0.9
    assert chance(answer, "bake_relay_open", "bake_harness_open", "no_supply", "board_dead") < 0.02
