"""What the wiring reads, against arithmetic done by hand and the trade's own figures."""

from __future__ import annotations

import numpy as np
import pytest

from probewright.circuit.measure import stations

METER = 10e6
#: 240^2 over the most and the least watts that are fitted: 10.29 to 14.4 ohm.
LEAST, MOST = 240.0**2 / 5600.0, 240.0**2 / 4000.0


def test_the_element_by_hand(wired):
    ohms = wired().reads("element_resistance")
    assert (round(LEAST, 4), round(MOST, 4)) == (10.2857, 14.4)
    assert LEAST * 0.999 < ohms.min() < 1.02 * LEAST
    assert 0.98 * MOST < ohms.max() < MOST * 1.005


@pytest.mark.parametrize(
    ("fault", "volts"),
    # All of it, two legs of a 208 V network, and one leg to neutral.
    [(None, 240.0), ("supply_208_volts", 208.0), ("leg_two_on_neutral", 120.0)],
)
def test_the_elements_current_at_240_208_and_on_one_leg(wired, fault, volts):
    """By Ohm's law for each element, less what branch, cord and contacts take."""
    faults = () if fault is None else (fault,)
    share = wired().reads("element_current", *faults) * wired().reads("element_resistance") / volts
    assert share.mean() == pytest.approx(0.975, abs=0.025)
    assert share.max() < 1.0


def test_power_goes_with_the_square(wired):
    """Three quarters on 208 V, a quarter on 120 V: (208/240)^2 is 0.7511."""
    dryer = wired()
    whole = dryer.reads("element_current")
    watts = {fault: (dryer.reads("element_current", fault) / whole) ** 2
             for fault in ("supply_208_volts", "leg_two_on_neutral")}  # fmt: skip
    assert watts["supply_208_volts"].mean() == pytest.approx((208 / 240) ** 2, rel=0.01)
    assert watts["leg_two_on_neutral"].mean() == pytest.approx(0.25, rel=0.03)


def test_half_the_supply_missing_turns_the_motor_and_heats_nothing(wired):
    dryer = wired()
    assert dryer.reads("motor_current", "leg_two_dead").min() > 4.0
    assert dryer.reads("element_current", "leg_two_dead").max() < 0.01
    assert dryer.reads("motor_current", "leg_one_dead").max() < 0.5


def test_a_coil_on_its_case_heats_with_the_control_at_off(wired):
    """120 V over half the element: what it draws when it heats, from the leg that nothing breaks."""
    dryer = wired()
    assert dryer.reads("leg_two_current_at_off").max() < 0.01
    touching = dryer.reads("leg_two_current_at_off", "element_touches_case")
    assert np.median(touching) > 7.0
    assert touching.max() < 120 / (LEAST / 2)
    assert dryer.reads("element_to_case").min() > 1e6
    assert dryer.reads("element_to_case", "element_touches_case").max() < 50.0


@pytest.mark.parametrize("stopped", ["door_switch_open", "belt_broken", "thermal_fuse_open", "motor_bearings_seized"])
def test_heat_needs_the_motor(wired, gas, stopped):
    assert wired().reads("element_current", stopped).max() < 0.01
    assert gas.reads("igniter_glow", stopped).max() < 0.01


def test_the_whole_supply_stands_where_the_chain_is_open(wired, gas):
    across = {"cutoff_voltage": "cutoff_open", "high_limit_voltage": "high_limit_open",
              "heater_contact_voltage": "motor_heater_contact_open",
              "heat_contact_voltage": "timer_heat_contact_open"}  # fmt: skip
    for build, volts in ((wired(), 240.0), (gas, 120.0)):
        for test, fault in across.items():
            assert build.reads(test).max() < 1.5, test  # 22 A through some hundredths of an ohm
            assert build.reads(test, fault, meter=METER).min() == pytest.approx(volts, rel=0.08), test


def test_across_an_open_element_stands_the_supply_and_across_a_cut_off_one_nothing(wired):
    dryer = wired()
    assert dryer.reads("heat_load_voltage", "element_open").min() > 238.0
    assert dryer.reads("heat_load_voltage", "cutoff_open", meter=METER).max() < 1.0
    assert dryer.reads("heat_feed_voltage", "cutoff_open").min() > 238.0


def test_a_burnt_terminal_holds_unloaded_and_falls_under_load(wired):
    dryer = wired()
    assert dryer.reads("legs_voltage", "block_leg_one_burnt").min() > 238.0
    assert dryer.reads("block_voltage_under_load", "block_leg_one_burnt").max() < 220.0
    assert dryer.reads("block_voltage_under_load").min() > 230.0


def test_the_motor_runs_on_some_5_amperes_and_stands_on_some_30(wired):
    dryer = wired()
    runs, stands = dryer.reads("motor_current"), dryer.reads("motor_current", "motor_bearings_seized")
    assert 4.0 < runs.min() < runs.max() < 7.0
    assert stands.min() > 2.5 * runs.max()
    one = dryer.reads("motor_current", "motor_start_open")
    assert 12.0 < one.min() < one.max() < stands.max()
    assert dryer.reads("motor_current", "belt_broken").max() < 0.01
    assert dryer.reads("motor_current", "belt_broken_switch_bridged").min() == runs.min()


def test_windings_and_start_contact(wired):
    dryer = wired()
    main, start = dryer.reads("motor_main_resistance"), dryer.reads("motor_start_resistance")
    assert (main.max(axis=0) < start.min(axis=0)).all()  # at any one temperature
    assert dryer.reads("motor_main_resistance", "motor_main_open").min() >= 1e9
    assert dryer.reads("motor_start_contact_continuity").max() < 1.0
    assert dryer.reads("motor_start_contact_continuity", "motor_start_contact_open").min() >= 1e9
    assert dryer.reads("heater_contact_at_rest").min() >= 1e6
    assert dryer.reads("heater_contact_at_rest", "motor_heater_contact_welded").max() < 1.0


@pytest.mark.parametrize(
    ("fault", "at_control", "at_output"),
    [("door_switch_open", 0, 0), ("belt_broken", 0, 0), ("thermal_fuse_blown_by_vent", 0, 0),
     ("timer_motor_contact_open", 120, 0), ("start_switch_open", 120, 120), ("motor_main_open", 120, 120)],
)  # fmt: skip
def test_one_reading_at_the_control_halves_the_chain(wired, fault, at_control, at_output):
    dryer = wired()
    for test, volts in (("control_motor_feed_voltage", at_control), ("control_motor_output_voltage", at_output)):
        read = dryer.reads(test, fault, meter=3e3)
        assert read.max() < 1.0 if volts == 0 else read.min() > 105.0, test


def test_a_floating_wire_may_read_anything_up_to_80_volts_and_nothing_on_3_kilohm(wired):
    ghost = wired().reads("motor_voltage", "motor_main_open", "door_switch_open", meter=METER)
    assert ghost.max() < 81.0
    assert wired().reads("motor_voltage", "motor_main_open", "door_switch_open", meter=3e3).max() < 1.0


def test_the_burners_coils_and_its_igniter(gas):
    """Closed, the sensor leaves the igniter all of the voltage; open, the secondary coil nearly all of it."""
    assert 2.6 < gas.reads("igniter_glow").min() < gas.reads("igniter_glow").max() < 4.0
    assert gas.reads("valve_secondary_voltage").min() > 85.0
    assert gas.reads("valve_secondary_voltage", "flame_sensor_stuck_closed").max() < 1.0
    assert gas.reads("igniter_glow", "flame_sensor_open").max() < 0.2
    assert gas.reads("igniter_resistance", "igniter_open").min() >= 1e9
    assert gas.reads("igniter_resistance").min() >= 40.0


def test_a_coil_that_fails_hot_reads_right_when_cold(gas):
    cold, hot = "valve_secondary_resistance", "valve_secondary_resistance_hot"
    assert gas.reads(cold, "valve_coils_fail_hot") == pytest.approx(gas.reads(cold), rel=1e-4)
    assert gas.reads(hot, "valve_coils_fail_hot").min() >= 1e9
    assert gas.reads(hot).max() < 2000.0
    assert gas.reads(cold, "valve_secondary_open").min() >= 1e9


@pytest.mark.parametrize(
    ("degrees", "ohms"),
    # 10 k at 25 degC, Beta 3950, by R = R25 exp(B (1/T - 1/298.15)): IEC 60539-1.
    [(0.0, 33620.6), (25.0, 10000.0), (50.0, 3588.2)],
)
def test_the_outlet_sensor_follows_its_beta(wired, degrees, ohms):
    read = wired(control="electronic").reads("outlet_sensor_resistance").mean(axis=0)
    fitted = np.polynomial.Polynomial.fit(stations(), np.log(read), len(read) - 1)
    assert float(np.exp(fitted(degrees))) == pytest.approx(ohms, rel=0.02)


def test_the_moisture_bars(wired):
    bars = wired(control="electronic")
    assert bars.reads("moisture_bars_wet").max() < 5e4
    assert bars.reads("moisture_bars_wet", "moisture_bars_coated").min() > 1e5
    assert bars.reads("moisture_bars_wet", "moisture_wire_open").min() > 1e6
    assert bars.reads("moisture_bars_dry").min() > 1e6
    assert bars.reads("moisture_bars_dry", "moisture_bars_bridged").max() < 3e4
