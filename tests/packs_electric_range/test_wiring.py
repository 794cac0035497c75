"""What the wiring reads, against arithmetic done by hand and the trade's own figures."""

from __future__ import annotations

import numpy as np
import pytest

from probewright.circuit.measure import stations

METER = 10e6
LOW_INPUT = 3e3
#: 240^2 over the most and the least watts on plates: 19.2 to 28.8, and 14.4 to 23.04 ohm.
OHMS = {"bake": (240.0**2 / 3000.0, 240.0**2 / 2000.0), "broil": (240.0**2 / 4000.0, 240.0**2 / 2500.0)}
BOTH = pytest.mark.parametrize("name", ["bake", "broil"])


@BOTH
def test_elements_by_hand(wired, name):
    """Anything from the least to the most, with some hundredths of an ohm of connections."""
    least, most = OHMS[name]
    ohms = wired().reads(f"{name}_element_resistance")
    assert least * 0.999 < ohms.min() < 1.02 * least
    assert 0.98 * most < ohms.max() < most * 1.001


@BOTH
@pytest.mark.parametrize(("fault", "volts"), [(None, 240.0), ("supply_208_volts", 208.0)])
def test_currents_at_240_and_208_volts(wired, name, fault, volts):
    """By Ohm's law for each element, less what branch and contacts take; at 240 V 8.33 to 12.5 and 10.4 to 16.7 A."""
    ohms = wired().reads(f"{name}_element_resistance")
    amperes = wired().reads(f"{name}_element_current", *(() if fault is None else (fault,)))
    assert (amperes * ohms / volts).mean() == pytest.approx(0.99, abs=0.015)
    assert (amperes * ohms / volts).max() < 1.0
    if fault is None:
        least, most = {"bake": (8.333, 12.5), "broil": (10.417, 16.667)}[name]
        assert least * 0.96 < amperes.min() < amperes.max() < most


def test_on_208_volts_everything_heats_at_three_quarters(wired):
    """(208/240)^2 is 0.7511, at the oven and on top; each leg still has its 120 V."""
    range_ = wired()
    for test in ("bake_element_current", "broil_element_current", "surface_element_current"):
        share = (range_.reads(test, "supply_208_volts") / range_.reads(test)) ** 2
        assert share.mean() == pytest.approx((208 / 240) ** 2, rel=0.01)
    assert range_.reads("legs_voltage", "supply_208_volts").mean() == pytest.approx(120 * np.sqrt(3), abs=1.5)
    for leg in ("one", "two"):
        assert range_.reads(f"leg_{leg}_to_neutral", "supply_208_volts").min() > 118.0


def test_half_the_supply_leaves_the_display_and_takes_the_heat(wired):
    range_ = wired()
    assert range_.reads("board_supply_voltage", "leg_two_dead").min() > 118.0
    for test in ("bake_element_current", "broil_element_current", "surface_element_current"):
        for dead in ("leg_one_dead", "leg_two_dead"):
            assert range_.reads(test, dead).max() < 0.05, (test, dead)
    assert range_.reads("board_supply_voltage", "leg_one_dead", meter=METER).max() < 1.0


def test_a_dead_leg_is_fed_back_through_the_element_that_is_called_for(wired):
    """22 ohm drop nothing on a meter's input: 120 V from each leg to the chassis, and nothing between them."""
    range_ = wired()
    for meter in (METER, LOW_INPUT):
        assert range_.reads("leg_two_to_chassis_under_load", "leg_two_dead", meter=meter).min() > 117.0
        assert range_.reads("leg_one_to_chassis_under_load", "leg_two_dead", meter=meter).min() > 117.0
    assert range_.reads("block_voltage_under_load", "leg_two_dead", meter=METER).max() < 1.5


def test_a_lost_neutral_of_the_service_shares_240_volts_by_the_loads(wired):
    """The two legs to neutral still add up to the whole."""
    range_ = wired()
    one, two = (range_.reads(f"leg_{leg}_to_neutral", "service_neutral_open") for leg in ("one", "two"))
    assert (one + two).mean() == pytest.approx(240.0, abs=2.0)
    assert one.max() > 200.0
    assert one.min() < 40.0
    assert range_.reads("legs_voltage", "service_neutral_open").min() > 236.0
    sound = range_.reads("leg_one_to_neutral")
    assert 116.0 < sound.min() < sound.max() < 124.0


def test_an_open_neutral_of_the_branch_moves_to_the_leg_of_the_display(wired):
    range_ = wired()
    assert range_.reads("leg_one_to_neutral", "legs_neutral_open").max() < 4.0
    assert range_.reads("leg_two_to_neutral", "legs_neutral_open").min() > 235.0
    assert range_.reads("board_supply_voltage", "legs_neutral_open", meter=METER).max() < 1.0


@pytest.mark.parametrize("leg", ["one", "two"])
def test_a_burnt_terminal_reads_well_until_it_carries_current(wired, leg):
    """2 ohm to next to open, in series with 22: at the least 2/24 of the voltage, 20 V."""
    range_, fault = wired(), f"block_leg_{leg}_burnt"
    assert range_.reads("legs_voltage", fault).min() > 236.0
    loaded = range_.reads("block_voltage_under_load", fault)
    assert loaded.max() < 240.0 * 22.15 / 23.9
    assert loaded.min() < 2.0
    assert range_.reads("block_voltage_under_load").min() > 234.0
    # Some of it falls on its own leg; one that has burnt off is fed back through the element and reads whole again.
    other = {"one": "two", "two": "one"}[leg]
    volts = range_.reads(f"leg_{leg}_to_chassis_under_load", fault)
    assert volts.min() < 40.0
    assert np.median(volts) < 114.0
    assert range_.reads(f"leg_{other}_to_chassis_under_load", fault).min() > 116.0


@BOTH
def test_where_240_volts_stand_tells_element_from_relay(wired, name):
    """Across the element when it is open; across the relay, and not there, when the relay is."""
    range_ = wired()
    element, relay = f"{name}_element_voltage", f"{name}_relay_voltage"
    assert range_.reads(element, f"{name}_element_open", meter=METER).min() > 237.0
    assert range_.reads(relay, f"{name}_element_open").max() < 1.0
    assert range_.reads(element, f"{name}_relay_open", meter=METER).max() < 1.0
    assert range_.reads(relay, f"{name}_relay_open", meter=METER).min() > 236.0
    assert range_.reads(element, f"{name}_harness_open", meter=METER).max() < 1.0
    assert range_.reads(relay, f"{name}_harness_open", meter=METER).max() < 1.0
    assert range_.reads(element).min() > 232.0
    assert range_.reads(relay).max() < 2.0


@BOTH
@pytest.mark.parametrize("fault", ["board_dead", "board_wire_open", "control_locked", "latch_switch_wrong",
                                   "oven_sensor_open", "oven_sensor_shorted", "oven_sensor_harness_open",
                                   "board_sensor_input_failed"])  # fmt: skip
def test_what_holds_the_relays_back_reads_as_an_open_relay(wired, name, fault):
    range_ = wired()
    assert range_.reads(f"{name}_element_current", fault).max() < 0.01
    assert range_.reads(f"{name}_relay_voltage", fault, meter=METER).min() > 236.0


@BOTH
def test_one_elements_faults_leave_the_other_alone(wired, name):
    other, range_ = {"bake": "broil", "broil": "bake"}[name], wired()
    for fault in ("relay_open", "element_open", "harness_open", "connection_burnt"):
        touched = range_.reads(f"{other}_element_current", f"{name}_{fault}")
        assert np.array_equal(touched, range_.reads(f"{other}_element_current"))


@BOTH
def test_a_coil_on_its_sheath_heats_at_off_from_the_leg_that_nothing_breaks(wired, name):
    """120 V over at least half the element: at most what the element draws, and none where it is sound."""
    range_ = wired()
    at_off = f"{name}_current_at_off"
    assert range_.reads(at_off).max() < 0.01
    touching = range_.reads(at_off, f"{name}_element_touches_case")
    assert touching.max() < 120.0 / (OHMS[name][0] / 2)
    assert np.median(touching) > 2.0
    welded = range_.reads(at_off, f"{name}_relay_welded")
    assert (welded * range_.reads(f"{name}_element_resistance")).mean() == pytest.approx(240.0, rel=0.03)


@BOTH
def test_insulation_is_read_with_both_ends_off_and_at_the_plug(wired, name):
    range_, fault = wired(), f"{name}_element_touches_case"
    for test in (f"{name}_element_to_chassis", "oven_insulation_at_plug"):
        assert range_.reads(test).min() > 1e6, test
        assert range_.reads(test, fault).max() < 1100.0, test
    ends = range_.reads(f"{name}_element_to_chassis", fault)
    assert ends.min() < 1.0  # it may touch right at the end that is read
    # With a lead off the ohms of the element itself are the same, or lower where the sheath bridges some of it.
    assert np.median(range_.reads(f"{name}_element_resistance", fault)) > 0.7 * OHMS[name][0]


def test_a_burnt_connection_takes_voltage_from_the_element_under_load(wired):
    """3 to 60 ohm in series with 22."""
    range_ = wired()
    assert range_.reads("bake_element_voltage", "bake_connection_burnt").max() < 240.0 * 22.3 / 24.9
    assert range_.reads("block_voltage_under_load", "bake_connection_burnt").min() > 235.0
    assert range_.reads("bake_element_resistance", "bake_connection_burnt").max() < 1.01 * OHMS["bake"][1]


def test_the_limit_feeds_both_elements(wired):
    range_ = wired()
    assert range_.reads("oven_limit_continuity").max() < 1.0
    assert range_.reads("oven_limit_continuity", "oven_limit_open").min() >= 1e9
    for name in ("bake", "broil"):
        assert range_.reads(f"{name}_element_current", "oven_limit_open").max() < 0.01
        assert range_.reads(f"{name}_relay_voltage", "oven_limit_open", meter=METER).max() < 3.0


@pytest.mark.parametrize(
    ("degrees", "ohms"),
    # IEC 60751, Callendar-Van Dusen: Pt1000 at 70 degF and at 350 degF.
    [(21.1111, 1082.25), (176.6667, 1672.44)],
)
def test_the_sensor_follows_its_curve(wired, degrees, ohms):
    read = wired().reads("oven_sensor_resistance").mean(axis=0)
    fitted = np.polynomial.Polynomial.fit(stations(), read, 4)
    assert float(fitted(degrees)) == pytest.approx(ohms, abs=1.0)


def test_the_latch_motor_works_on_120_volts_from_leg_one(wired):
    range_ = wired()
    assert range_.reads("latch_motor_voltage").min() > 118.0
    for fault in ("latch_relay_open", "board_dead", "control_locked", "leg_one_dead"):
        assert range_.reads("latch_motor_voltage", fault, meter=METER).max() < 2.0, fault
    assert range_.reads("latch_motor_resistance", "latch_motor_open").min() >= 1e9
