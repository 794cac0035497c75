"""The 120/240 V supply: each fault in the readings that show it, with the numbers that follow by hand."""

from __future__ import annotations

import pytest

from probewright.circuit.measure import Measurement
from probewright.circuit.solve import Setting
from probewright.packs import Circuit, Part, Resistance, exactly, from_memory
from probewright_packs.common import (
    AT_BLOCK,
    FREQUENCY,
    LEG_FAULTS,
    TWO_LEGS,
    leg_changes,
    leg_closings,
    leg_faults,
    leg_interlocks,
    leg_repairs,
    leg_tests,
    legs,
    legs_circuit,
    relay,
    relay_changes,
)
from support.circuits import readings
from support.middle import Bench

#: Ohms of a 3000 W element at 240 V, and of a 100 W load at 120 V.
ELEMENT, LAMP = 19.2, 144.0
#: Ohms in the middle: cord and terminal of each leg, and a burnt terminal.
CORD, TERMINAL, BURNT = 0.07, 0.015, (2.0 * 1e4) ** 0.5


def part(id_: str, a: str, b: str, ohms: float) -> Part:
    return Part(id_, a, b, Resistance(exactly(from_memory(ohms))))


def appliance(*more: Part) -> Circuit:
    """An element on 240 V behind a relay on leg one, and what else."""
    element = part("element", "element_feed", "leg_two", ELEMENT)
    parts = (*legs(), relay("relay", "leg_one", "element_feed", ("heat",)), element, *more)
    return Circuit("appliance", "earth", parts, {**leg_changes(), **relay_changes("relay")}, FREQUENCY)


HEATING, IDLE = Bench(appliance(), "heat"), Bench(appliance(), "off")
BLOCK = Bench(legs_circuit())


def test_a_sound_supply_has_120_v_on_each_leg_and_240_v_between_them():
    assert BLOCK.volts("inlet_one", "inlet_two") == pytest.approx(240.0, abs=0.2)
    for leg in ("inlet_one", "inlet_two"):
        assert BLOCK.volts(leg, "inlet_neutral") == pytest.approx(120.0, abs=0.2)
    assert BLOCK.volts("inlet_neutral", "chassis") < 0.1


def test_a_sound_element_takes_its_current_less_what_the_wires_drop():
    amperes = 240.0 / (ELEMENT + 2 * (CORD + TERMINAL) + 0.055)
    assert HEATING.amperes("element") == pytest.approx(amperes, rel=2e-4)
    assert IDLE.amperes("element") < 1e-6


@pytest.mark.parametrize(("fault", "dead", "live"), [("leg_one_dead", "leg_one", "leg_two"),
                                                     ("leg_two_dead", "leg_two", "leg_one")])  # fmt: skip
def test_a_dead_leg_is_fed_back_through_the_element(fault: str, dead: str, live: str) -> None:
    # No current flows, so nothing drops across the element: both its ends stand at the live leg.
    for leg in (dead, live):
        assert HEATING.volts(leg, "neutral", fault) == pytest.approx(120.0, abs=0.2)
    assert HEATING.volts("leg_one", "leg_two", fault) < 0.01
    assert HEATING.amperes("element", fault) < 1e-6


def test_a_dead_leg_floats_while_nothing_leads_to_it() -> None:
    assert IDLE.volts("leg_one", "neutral", "leg_one_dead") < 0.1
    # At the terminal block a lamp on leg one pulls it to neutral; leg two shows what its neighbours couple in, and what
    # leaks to it from leg one: 100 kohm at the middle of what may be left on.
    assert BLOCK.volts("inlet_one", "inlet_neutral", "leg_one_dead") < 4.0
    assert BLOCK.volts("inlet_one", "inlet_two", "leg_one_dead") == pytest.approx(120.0, abs=2.5)
    assert 60.0 < BLOCK.volts("inlet_two", "inlet_neutral", "leg_two_dead") < 118.0
    assert BLOCK.volts("inlet_two", "inlet_neutral", "leg_two_dead", meter=3e3) == pytest.approx(
        120.0 * 3e3 / (3e3 + 1e5), rel=0.05
    )


def test_both_legs_dead_leave_nothing() -> None:
    for nodes in (("inlet_one", "inlet_two"), ("inlet_one", "inlet_neutral"), ("inlet_two", "inlet_neutral")):
        assert BLOCK.volts(*nodes, "both_legs_dead") < 3.0
    assert HEATING.amperes("element", "both_legs_dead") < 1e-9


def test_an_open_neutral_of_the_branch_stands_at_the_leg_that_the_lamp_is_on() -> None:
    assert BLOCK.volts("inlet_one", "inlet_neutral", "legs_neutral_open") < 1.0
    assert BLOCK.volts("inlet_two", "inlet_neutral", "legs_neutral_open") == pytest.approx(240.0, abs=1.0)
    assert BLOCK.volts("inlet_neutral", "chassis", "legs_neutral_open") == pytest.approx(120.0, abs=1.0)
    assert BLOCK.volts("inlet_one", "inlet_two", "legs_neutral_open") == pytest.approx(240.0, abs=0.2)


def test_loads_on_both_legs_share_240_v_behind_an_open_neutral_of_the_branch() -> None:
    # 144 and 72 ohm in series across 240 V: 160 V and 80 V.
    both = Bench(appliance(part("lamp", "leg_one", "neutral", LAMP), part("fan", "leg_two", "neutral", LAMP / 2)))
    assert both.volts("leg_one", "neutral", "legs_neutral_open") == pytest.approx(160.0, abs=0.2)
    assert both.volts("leg_two", "neutral", "legs_neutral_open") == pytest.approx(80.0, abs=0.2)
    assert both.volts("leg_one", "neutral") == pytest.approx(120.0, abs=0.2)


def test_an_open_neutral_of_the_service_lets_the_house_share_240_v_unequally() -> None:
    def read(*nodes: str):
        measurement = Measurement("voltage", Setting("off", True, 60.0), *nodes)
        return readings(legs_circuit(), measurement, "service_neutral_open")

    one, two = read("inlet_one", "inlet_neutral"), read("inlet_two", "inlet_neutral")
    assert one + two == pytest.approx(240.0, abs=0.5)
    # With loads of 6 to 300 ohm on each leg, one of them is mostly far over what an outlet may show.
    assert ((one > 126.0) | (two > 126.0)).mean() > 0.7
    assert max(one.max(), two.max()) > 200.0
    assert read("inlet_one", "inlet_two") == pytest.approx(240.0, abs=0.5)
    assert HEATING.amperes("element", "service_neutral_open") == pytest.approx(HEATING.amperes("element"), rel=1e-3)


def test_208_v_keep_120_v_on_each_leg_and_heat_at_three_quarters() -> None:
    assert BLOCK.volts("inlet_one", "inlet_two", "supply_208_volts") == pytest.approx(120.0 * 3**0.5, abs=0.3)
    for leg in ("inlet_one", "inlet_two"):
        assert BLOCK.volts(leg, "inlet_neutral", "supply_208_volts") == pytest.approx(120.0, abs=0.3)
    share = HEATING.amperes("element", "supply_208_volts") / HEATING.amperes("element")
    assert share**2 == pytest.approx(0.75, abs=1e-3)


def test_a_low_supply_lies_under_what_the_standard_allows() -> None:
    measurement = Measurement("voltage", Setting("off", True, 60.0), "inlet_one", "inlet_two")
    volts = readings(legs_circuit(), measurement, "legs_voltage_low")
    assert volts.min() > 160.0
    assert volts.max() < AT_BLOCK.low


@pytest.mark.parametrize(("fault", "leg"), [("block_leg_one_burnt", "leg_one"), ("block_leg_two_burnt", "leg_two")])
def test_a_burnt_terminal_reads_well_until_it_carries_current(fault: str, leg: str) -> None:
    assert IDLE.volts("leg_one", "leg_two", fault) == pytest.approx(240.0, abs=0.2)
    amperes = 240.0 / (ELEMENT + 0.055 + 2 * (CORD + TERMINAL) + BURNT)
    assert HEATING.amperes("element", fault) == pytest.approx(amperes, rel=1e-3)
    assert HEATING.volts("leg_one", "leg_two", fault) == pytest.approx(amperes * (ELEMENT + 0.055), rel=1e-3)
    # The leg in question falls against neutral, or is fed back from the other side of nothing; the other stands.
    other = "leg_two" if leg == "leg_one" else "leg_one"
    assert HEATING.volts(leg, "neutral", fault) == pytest.approx(amperes * (BURNT + CORD + TERMINAL) - 120.0, abs=0.5)
    assert HEATING.volts(other, "neutral", fault) > 118.0


def test_a_burnt_neutral_terminal_takes_volts_from_what_runs_on_120_v() -> None:
    ohms = (3.0 * 3e3) ** 0.5
    lit = Bench(appliance(part("lamp", "leg_one", "neutral", LAMP)))
    expected = 120.0 * LAMP / (LAMP + ohms + 2 * (CORD + TERMINAL))
    assert lit.volts("leg_one", "neutral", "block_neutral_burnt") == pytest.approx(expected, rel=1e-3)
    assert HEATING.volts("leg_one", "leg_two", "block_neutral_burnt") > 235.0


@pytest.mark.parametrize(("fault", "idle", "heats"), [("relay_open", False, False), ("relay_welded", True, True)])
def test_a_relay_that_stays_open_and_one_that_has_welded(fault: str, idle: bool, heats: bool) -> None:
    assert (IDLE.amperes("element", fault) > 10.0) is idle
    assert (HEATING.amperes("element", fault) > 10.0) is heats
    # Where 240 V stand tells them apart: across the open contact, or across the element.
    assert HEATING.volts("leg_one", "element_feed", "relay_open") == pytest.approx(240.0, abs=0.2)


def test_208_v_are_a_fault_to_find_and_a_usual_supply_is_a_condition() -> None:
    assert not TWO_LEGS.is_condition(207.8)
    assert TWO_LEGS.is_condition(216.0)
    assert TWO_LEGS.is_condition(250.0)


def test_every_fault_is_changed_cured_and_can_be_restricted() -> None:
    when = {"heat": "electric"}
    faults = leg_faults(when)
    assert tuple(fault.id for fault in faults) == LEG_FAULTS
    assert all(fault.when == when for fault in faults)
    assert set(leg_changes()) == set(LEG_FAULTS)
    assert set(legs_circuit(when).changes) <= set(LEG_FAULTS)
    assert legs_circuit(when).when == when
    repairs = leg_repairs("isolated", "outside", "rear", ("heats",), when)
    assert {fault for repair in repairs for fault in repair.cures} == set(LEG_FAULTS)
    assert all(repair.when == when for repair in repairs)
    tests = leg_tests("live", "rear", circuit="appliance", command="heat", when=when)
    assert all(test.when == when for test in tests)


def test_every_check_that_a_repair_names_is_there_and_reads_a_test_that_is_there() -> None:
    closings = {closing.id: closing for closing in leg_closings()}
    named = {check for repair in leg_repairs("isolated", "outside", "rear", ()) for check in repair.closing_checks}
    assert named == set(closings)
    tests = {test.id for test in leg_tests("live", "rear", circuit="appliance", command="heat")}
    assert {closing.test for closing in closings.values() if closing.test} <= tests
    assert {test for interlock in leg_interlocks() for test in interlock.above} <= tests
