"""Surface units: what they draw, and where 240 V stand when one stays cold."""

from __future__ import annotations

import pytest

METER = 10e6
#: Watts at 240 V of the smallest and of the largest unit, and their ohms.
SMALL, LARGE = 240.0**2 / 1200.0, 240.0**2 / 2600.0
COOKTOPS = pytest.mark.parametrize("cooktop", ["coil", "radiant"])
OHMS = {"coil": "coil_resistance", "radiant": "radiant_element_resistance"}
CHASSIS = {"coil": "coil_to_chassis", "radiant": "radiant_element_to_chassis"}


@COOKTOPS
def test_units_lie_between_the_smallest_and_the_largest(wired, cooktop):
    """48 and 22.15 ohm, 5 and 10.83 A."""
    range_ = wired(cooktop=cooktop)
    ohms, amperes = range_.reads(OHMS[cooktop]), range_.reads("surface_element_current")
    assert LARGE * 0.99 < ohms.min() < ohms.max() < SMALL * 1.01
    assert 4.8 < amperes.min() < amperes.max() < 10.9


@COOKTOPS
def test_an_open_element_has_the_whole_voltage_across_it(wired, cooktop):
    range_ = wired(cooktop=cooktop)
    assert range_.reads("surface_element_voltage", "surface_element_open", meter=METER).min() > 237.0
    assert range_.reads(OHMS[cooktop], "surface_element_open").min() >= 1e9


@COOKTOPS
def test_before_an_open_switch_there_is_nothing_at_switch_or_element(wired, cooktop):
    range_ = wired(cooktop=cooktop)
    for test in ("surface_switch_voltage", "surface_element_voltage"):
        assert range_.reads(test, "surface_switch_open", meter=METER).max() < 1.0, test


@pytest.mark.parametrize(
    ("cooktop", "fault"),
    [("coil", "surface_harness_open"), ("radiant", "surface_harness_open"), ("radiant", "surface_limiter_open")],
)
def test_between_switch_and_element_it_stands_at_the_switch_alone(wired, cooktop, fault):
    range_ = wired(cooktop=cooktop)
    assert range_.reads("surface_switch_voltage", fault, meter=METER).min() > 237.0
    assert range_.reads("surface_element_voltage", fault, meter=METER).max() < 1.0


def test_a_burnt_receptacle_leaves_the_ohms_of_the_coil_alone(wired):
    range_ = wired()
    assert range_.reads("coil_resistance", "surface_receptacle_burnt").max() < SMALL * 1.01
    assert range_.reads("surface_element_voltage", "surface_receptacle_burnt", meter=METER).max() < 237.0
    assert range_.reads("surface_element_current", "surface_receptacle_burnt").max() < 10.0


def test_a_limiter_is_read_across_its_heating_contact(wired):
    range_ = wired(cooktop="radiant")
    assert range_.reads("limiter_continuity").max() < 1.0
    assert range_.reads("limiter_continuity", "surface_limiter_open").min() >= 1e9
    assert range_.reads("radiant_element_resistance", "surface_limiter_open").max() < SMALL * 1.01


def test_one_ring_of_two_leaves_much_less_heat(wired):
    """The fed half of the drawing has two to four times its ohms: over a third of the current is gone."""
    range_ = wired(cooktop="radiant")
    whole = range_.reads("surface_element_current").mean()
    assert range_.reads("surface_element_current", "surface_element_weak").mean() < 0.66 * whole
    assert range_.reads("radiant_element_resistance", "surface_element_weak").mean() > 1.4 * (SMALL + LARGE) / 2


@COOKTOPS
def test_one_units_faults_leave_the_others_alone(wired, cooktop):
    range_ = wired(cooktop=cooktop)
    sound = range_.reads("other_unit_glow")
    for fault in ("surface_switch_open", "surface_element_open", "surface_harness_open"):
        assert range_.reads("other_unit_glow", fault).mean() == pytest.approx(sound.mean())
    assert range_.reads("other_unit_glow", "leg_two_dead").max() < 0.05


@COOKTOPS
def test_units_are_insulated_from_the_chassis(wired, cooktop):
    range_ = wired(cooktop=cooktop)
    assert range_.reads(CHASSIS[cooktop]).min() > 1e6


def test_a_coil_on_its_sheath_is_read_to_the_chassis(wired):
    assert wired().reads("coil_to_chassis", "surface_element_touches_case").max() < 1100.0
