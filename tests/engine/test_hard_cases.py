"""Cases in which an answer that looks reasonable would be wrong or dangerous."""

from __future__ import annotations

import pytest

from probewright.engine import diagnose
from probewright.settings import Settings
from probewright_schemas.records import Case, Conditions, Limits, Quantity, Reading, RepairDone

BUILD = {
    "fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat", "cooktop_ignition": "spark",
    "oven_control": "electronic", "sensor_curve": "iec_60751",
}  # fmt: skip
ROOM = Conditions(ambient=Quantity(70, "degF"))


def ask(pack, *readings, **fields):
    return diagnose(Case("gas_range", options=BUILD, readings=readings, **fields), pack, Settings())


def chance(answer, *faults):
    return sum(f.probability for f in answer.faults if f.fault in faults)


@pytest.mark.parametrize("volts", [5.0, 30.0, 60.0, 75.0])
def test_a_supply_that_no_range_works_on_is_not_nothing_wrong(gas_range, volts):
    dead = ("display_dead", "bake_does_not_light")
    read = ask(gas_range, Reading("outlet_voltage", volts, unit="V", state="live_gas_off"), complaints=dead)
    given = ask(gas_range, complaints=dead, conditions=Conditions(supply_voltage=Quantity(volts, "V")))
    for answer in (read, given):
        assert answer.no_fault < 0.05
        assert (answer.next.kind, answer.next.id) != ("refer", "no_fault_found")


def test_a_shops_stricter_limit_for_carbon_monoxide_stops_the_job(gas_range):
    reading = Reading("carbon_monoxide_air_free", 60.0, unit="ppm", state="live")
    assert ask(gas_range, reading).next.kind != "stop"
    strict = {"carbon_monoxide_air_free": Limits("ppm", high=35.0)}
    loose = {"carbon_monoxide_air_free": Limits("ppm", high=400.0)}
    assert ask(gas_range, reading, tech_sheet=strict).next.kind == "stop"
    high = Reading("carbon_monoxide_air_free", 150.0, unit="ppm", state="live")
    assert ask(gas_range, high, tech_sheet=loose).next.kind == "stop"


def test_nobody_is_asked_to_smell_gas_twice(gas_range):
    answer = ask(gas_range, Reading("gas_odour", seen="present"), Reading("outlet_voltage", 120.0, unit="V"))
    assert answer.next.kind == "stop"
    assert all("gas_odour" not in clash.sources for clash in answer.clashes)


def test_a_few_hundred_ohms_to_chassis_are_a_leak(gas_range):
    readings = (Reading("oven_sensor_resistance", 1078.0, unit="ohm", state="isolated"),
                Reading("oven_sensor_to_chassis", 500.0, unit="ohm", state="isolated"))  # fmt: skip
    answer = ask(gas_range, *readings, complaints=("oven_temperature_off",), conditions=ROOM)
    assert answer.faults[0].fault == "oven_sensor_leaks_to_chassis"
    assert answer.unexplained < 0.3


def test_a_slip_of_the_prefix_is_told_even_where_a_fault_would_explain_it(gas_range):
    slip = Reading("oven_sensor_resistance", 1.08, unit="ohm", state="isolated")
    answer = ask(gas_range, slip, complaints=("sensor_error_shown",), conditions=ROOM)
    assert "decade_suspect" in [finding.code for finding in answer.readings[0].findings]
    assert answer.next.id == "oven_sensor_resistance"  # again, before a part is fitted


def test_an_open_sensor_needs_no_temperature(gas_range):
    reading = Reading("oven_sensor_resistance", over_range=True, state="isolated")
    (checked,) = ask(gas_range, reading, complaints=("sensor_error_shown",)).readings
    assert checked.verdict == "outside"
    assert checked.findings == ()


def test_without_a_set_point_there_is_no_band(gas_range):
    (checked,) = ask(gas_range, Reading("oven_temperature", 350.0, unit="degF", state="live")).readings
    assert (checked.verdict, checked.expected) == ("inconclusive", None)
    assert "condition_missing" in [finding.code for finding in checked.findings]


def test_two_proven_faults_are_both_mended_not_tested_further(gas_range):
    readings = (Reading("bake_igniter_current", 2.6, unit="A", state="live_gas_off"),
                Reading("bake_igniter_glow", seen="dim_orange", state="live_gas_off"),
                Reading("oven_sensor_resistance", 1180.0, unit="ohm", state="isolated"))  # fmt: skip
    answer = ask(gas_range, *readings, complaints=("bake_does_not_light", "oven_temperature_off"), conditions=ROOM)
    assert chance(answer, "bake_igniter_weak") > 0.9
    assert chance(answer, "oven_sensor_drifted") > 0.9
    assert answer.next.kind == "repair"


def test_a_symptom_that_is_gone_after_a_repair_is_gone(gas_range):
    done = (RepairDone("clean_burner_ports", complaint_remains=False),)
    answer = ask(gas_range, complaints=("one_surface_burner_does_not_light",), repairs_done=done)
    assert answer.no_fault > 0.7
    # What is left is to prove it.
    assert (answer.next.kind, answer.next.id) == ("test", answer.closing_checks[0].test)
    assert {check.status for check in answer.closing_checks} == {"open"}


def test_more_than_two_faults_are_thought_of(gas_range):
    readings = (Reading("bake_igniter_current", 2.5, unit="A"), Reading("burner_ports", seen="blocked"),
                Reading("oven_sensor_resistance", 1180.0, unit="ohm"))  # fmt: skip
    answer = ask(gas_range, *readings, conditions=ROOM)
    assert all("more than two" in clash.message for clash in answer.clashes)


def test_a_hundred_readings_that_contradict_each_other_are_answered(gas_range):
    seen = [Reading("bake_igniter_glow", seen=what) for what in ("white", "none", "dim_orange") * 20]
    read = [Reading("bake_igniter_current", 0.5 + 0.1 * i, unit="A") for i in range(40)]
    answer = ask(gas_range, *seen, *read)
    assert len(answer.readings) == 100
    assert {reading.verdict for reading in answer.readings} == {"within", "outside", "inconclusive"}
    assert sum(f.probability for f in answer.faults) + answer.unexplained + answer.no_fault > 0.99


def test_a_low_supply_read_twice_is_a_low_supply(gas_range):
    read = {"unit": "V", "state": "live_gas_off"}
    both = (Reading("outlet_voltage", 95.0, **read), Reading("outlet_hot_to_ground", 95.0, **read))
    answer = ask(gas_range, *both, complaints=("bake_does_not_light",))
    assert answer.faults[0].fault == "supply_voltage_low"
    assert chance(answer, "supply_voltage_low") > 0.9
    assert [reading.verdict for reading in answer.readings] == ["outside", "outside"]
    assert answer.clashes == ()
