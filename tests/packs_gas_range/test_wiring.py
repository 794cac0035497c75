"""What the wiring reads, against arithmetic done by hand and the trade's own figures."""

from __future__ import annotations

import numpy as np
import pytest

from probewright.circuit.measure import stations
from probewright_packs.common.supply import stray

METER = 10e6
BOTH = pytest.mark.parametrize("burner", ["bake", "broil"])


@BOTH
@pytest.mark.parametrize(("style", "low", "high"), [("flat", 3.2, 3.6), ("round", 2.5, 3.0)])
def test_igniter_currents_are_those_of_the_trade(wired, burner, style, low, high):
    """Common practice; harness and valve spread a hundredth beyond."""
    amperes = wired(igniter_style=style).reads(f"{burner}_igniter_current")
    assert amperes.min() > low - 0.06
    assert amperes.max() < high + 0.06
    assert amperes.mean() == pytest.approx((low + high) / 2, abs=0.05)


@BOTH
def test_line_voltage_less_the_valves_few_volts_stands_across_the_igniter(wired, burner):
    """In series with about an ohm at 3.2 to 3.6 A the valve takes some 3 to 5 V."""
    range_ = wired()
    whole, igniter = range_.reads(f"{burner}_circuit_voltage"), range_.reads(f"{burner}_igniter_voltage")
    valve = whole - igniter
    assert 2.5 < valve.min() < valve.max() < 4.8
    assert whole.min() > 117.0


@BOTH
def test_an_open_valve_coil_takes_the_whole_line(wired, burner):
    range_ = wired()
    assert range_.reads(f"{burner}_circuit_voltage", f"{burner}_valve_coil_open").min() > 119.9
    assert range_.reads(f"{burner}_igniter_voltage", f"{burner}_valve_coil_open", meter=METER).max() < 0.01
    assert range_.reads(f"{burner}_igniter_voltage", f"{burner}_igniter_open").min() > 119.9


@BOTH
def test_a_weak_igniter_draws_less_but_keeps_its_voltage(wired, burner):
    range_ = wired()
    weak = range_.reads(f"{burner}_igniter_current", f"{burner}_igniter_weak")
    assert weak.max() < 3.3
    assert 2.2 < weak.mean() < 2.7
    assert range_.reads(f"{burner}_circuit_voltage", f"{burner}_igniter_weak").min() > 117.0
    assert range_.reads(f"{burner}_circuit_voltage", f"{burner}_harness_corroded").max() < 110.0


@BOTH
@pytest.mark.parametrize(
    "fault",
    ["no_supply", "neutral_open", "supply_cord_open", "board_dead", "control_locked", "oven_sensor_open",
     "oven_sensor_shorted", "oven_sensor_harness_open", "board_sensor_input_failed", "relay_open", "harness_open"],
)  # fmt: skip
def test_what_keeps_voltage_from_the_load(wired, burner, fault):
    """An open sensor stops the oven, and so does a lock."""
    own = f"{burner}_{fault}" if fault in ("relay_open", "harness_open") else fault
    assert wired().reads(f"{burner}_circuit_voltage", own, meter=METER).max() < 1.0
    assert wired().reads(f"{burner}_igniter_current", own).max() < 0.01


@BOTH
def test_one_burners_faults_leave_the_other_alone(wired, burner):
    other = {"bake": "broil", "broil": "bake"}[burner]
    range_ = wired()
    for fault in ("relay_open", "igniter_open", "valve_coil_open", "harness_open"):
        touched = range_.reads(f"{other}_igniter_current", f"{burner}_{fault}")
        assert np.array_equal(touched, range_.reads(f"{other}_igniter_current"))


@BOTH
def test_a_floating_wire_reads_20_to_80_volts_on_10_megohm_and_nothing_on_3_kilohm(wired, burner):
    """Common practice; the wire floats when both its feed and its load are open."""
    faults = (f"{burner}_relay_open", f"{burner}_igniter_open")
    ghost = wired().reads(f"{burner}_circuit_voltage", *faults, meter=METER)
    assert 19.0 < ghost.min() < 25.0
    assert 75.0 < ghost.max() < 81.0
    assert wired().reads(f"{burner}_circuit_voltage", *faults, meter=3e3).max() < 0.1


def test_the_stray_capacitance_against_the_divider_done_by_hand():
    """A resistor R in series with a capacitor C at 60 Hz: |V| = 120 R / sqrt(R^2 + 1/(2 pi 60 C)^2)."""
    spread = stray()
    for farads, volts in ((spread.first, 20.0), (spread.second, 80.0)):
        reactance = 1 / (2 * np.pi * 60.0 * float(farads))
        assert 120.0 * 10e6 / np.hypot(10e6, reactance) == pytest.approx(volts, rel=1e-9)


def test_cold_igniter_and_coil(wired):
    range_ = wired()
    cold = range_.reads("bake_igniter_resistance")
    assert 40.0 <= cold.min() < 45.0
    assert 360.0 < cold.max() <= 400.0
    coil = range_.reads("bake_valve_resistance")
    assert coil.mean() == pytest.approx(1.0, abs=0.1)
    assert range_.reads("bake_valve_resistance", "bake_valve_coil_open").min() >= 1e9


def test_outlet(wired):
    range_ = wired()
    assert range_.reads("outlet_voltage").min() > 118.5
    assert range_.reads("outlet_hot_to_ground").min() > 119.0
    assert range_.reads("outlet_neutral_to_ground").max() < 3.0


@pytest.mark.parametrize(
    ("fault", "hot_neutral", "hot_ground", "neutral_ground"),
    [
        ("no_supply", (0, 2.6), (0, 2.6), (0, 0.1)),
        ("supply_connection_bad", (0, 87), (0, 87), (0, 3)),
        ("neutral_connection_bad", (0, 119.5), (116, 120.1), (0, 120)),
        ("supply_voltage_high", (130, 240), (131, 241), (0, 4)),
        ("supply_voltage_low", (84, 108), (84, 108), (0, 3)),
        ("polarity_reversed", (118, 120), (0, 3), (118, 120)),
        ("neutral_open", (0, 1), (119, 120.1), (115, 120.1)),
        ("ground_missing", (118, 120), (15, 105), (15, 105)),
    ],
)
def test_outlet_faults(wired, fault, hot_neutral, hot_ground, neutral_ground):
    """Crossed conductors swap the two readings to ground; a missing ground floats between hot and neutral."""
    range_ = wired()
    tests = ("outlet_voltage", "outlet_hot_to_ground", "outlet_neutral_to_ground")
    for test, (low, high) in zip(tests, (hot_neutral, hot_ground, neutral_ground), strict=True):
        volts = range_.reads(test, fault, meter=METER)
        assert volts.min() >= low, test
        assert volts.max() <= high, test


def test_spark_module(wired):
    """About 120 V with a knob at light; nothing with the switch or the harness open."""
    range_ = wired()
    assert range_.reads("spark_module_supply_voltage").min() > 119.0
    for fault in ("ignition_switch_stuck_open", "ignition_harness_open", "no_supply", "neutral_open"):
        assert range_.reads("spark_module_supply_voltage", fault, meter=METER).max() < 1.0
    assert range_.reads("ignition_switch_at_off").min() >= 1e9
    assert range_.reads("ignition_switch_at_light").max() < 1.0
    assert range_.reads("ignition_switch_at_off", "ignition_switch_stuck_closed").max() < 400.0


@pytest.mark.parametrize(
    ("curve", "degrees", "ohms"),
    [
        # IEC 60751, Callendar-Van Dusen: Pt1000 at 70 degF and at 350 degF.
        ("iec_60751", 21.1111, 1082.25),
        ("iec_60751", 176.6667, 1672.44),
        # The 3750 ppm/K curve as commonly given: 1000 (1 + 3.81e-3 t - 6.02e-7 t^2).
        ("trade_3750", 21.1111, 1080.17),
        ("trade_3750", 176.6667, 1654.4),
    ],
)
def test_sensor_follows_its_curve(wired, curve, degrees, ohms):
    read = wired(sensor_curve=curve).reads("oven_sensor_resistance").mean(axis=0)
    fitted = np.polynomial.Polynomial.fit(stations(), read, 4)
    assert float(fitted(degrees)) == pytest.approx(ohms, abs=1.0)


def test_sensor_and_harness_are_told_apart(wired):
    range_ = wired()
    at_sensor, at_board = "oven_sensor_resistance", "oven_sensor_resistance_at_board"
    assert range_.reads(at_board, "oven_sensor_harness_open").min() >= 1e9
    assert range_.reads(at_sensor, "oven_sensor_harness_open").max() < 3000.0
    assert range_.reads(at_sensor, "oven_sensor_open").min() >= 1e9
    assert range_.reads("oven_sensor_to_chassis").min() > 1e6
    assert range_.reads("oven_sensor_to_chassis", "oven_sensor_leaks_to_chassis").max() < 1e6


def test_mechanical_control_switches_without_a_board(wired):
    range_ = wired(oven_control="mechanical", sensor_curve=None)
    assert range_.reads("bake_circuit_voltage").min() > 117.0
    assert range_.reads("bake_control_output_voltage", "thermostat_contacts_open", meter=METER).max() < 1.0


def test_spark_ignited_oven_has_a_solenoid_valve(wired):
    range_ = wired(oven_ignition="spark", igniter_style=None)
    assert range_.reads("bake_valve_resistance").min() > 100.0
    assert range_.reads("bake_circuit_voltage").min() > 118.0
