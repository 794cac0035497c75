"""Other builds of the same family: round igniters, spark, standing pilots, mechanical control, unknown options."""

from __future__ import annotations

import pytest

from probewright_schemas.records import Conditions, Quantity, Reading

BAKE = ["bake_does_not_light"]


@pytest.mark.parametrize(
    ("style", "amperes", "verdict", "weak"),
    [
        ("flat", 3.4, "within", False), ("flat", 2.7, "outside", True),
        ("round", 2.7, "within", False), ("round", 2.0, "outside", True), ("round", 3.4, "outside", False),
    ],
)  # fmt: skip
def test_each_style_of_igniter_has_its_own_band(bench, style, amperes, verdict, weak):
    answer = bench.diagnose(
        BAKE, bench.read("bake_igniter_current", amperes), options=bench.build(igniter_style=style),
    )  # fmt: skip
    assert answer.reading("bake_igniter_current").verdict == verdict
    assert (answer.chance("bake_igniter_weak") > 0.5) is weak


def test_an_unknown_style_leaves_the_reading_open_and_weighs_both(bench):
    """2.7 A is sound in a round igniter and weak in a flat one."""
    answer = bench.diagnose(BAKE, bench.read("bake_igniter_current", 2.7), options=bench.build(igniter_style=None))
    assert answer.reading("bake_igniter_current").verdict == "inconclusive"
    assert 0.2 < answer.chance("bake_igniter_weak") < 0.85
    styles = {configuration.options["igniter_style"] for configuration in answer.diagnosis.configurations}
    assert styles == {"flat", "round"}


def test_nothing_known_of_the_build(bench):
    answer = bench.diagnose(BAKE, bench.see("bake_igniter_glow", "dim_orange"), options={})
    assert answer.first == "bake_igniter_weak"
    assert answer.next.id == "replace_bake_igniter"
    shares = [configuration.probability for configuration in answer.diagnosis.configurations]
    assert sum(shares) <= 1.0 + 1e-9
    assert {c.options["oven_ignition"] for c in answer.diagnosis.configurations} == {"hot_surface"}


@pytest.mark.parametrize(
    ("readings", "first"),
    [
        ((("bake_spark", "none"), ("broil_spark", "none")), "oven_spark_module_dead"),
        ((("bake_spark", "weak"), ("broil_spark", "strong")), "bake_spark_electrode_fouled"),
    ],
)
def test_oven_with_spark(bench, readings, first):
    answer = bench.diagnose(
        BAKE,
        *(bench.see(test, seen) for test, seen in readings),
        bench.read("bake_circuit_voltage", 120.0),
        options=bench.build(oven_ignition="spark", igniter_style=None),
    )
    assert answer.first == first
    assert answer.chance(first) > 0.8


def test_oven_with_spark_and_an_open_valve_coil(bench):
    answer = bench.diagnose(
        BAKE, bench.see("bake_spark", "strong"), bench.over("bake_valve_resistance"),
        options=bench.build(oven_ignition="spark", igniter_style=None),
    )  # fmt: skip
    assert answer.first == "bake_valve_coil_open"
    assert answer.chance("bake_valve_coil_open") > 0.85


def test_oven_with_a_standing_pilot(bench):
    pilots = bench.build(oven_ignition="standing_pilot", igniter_style=None)
    out = bench.diagnose(BAKE, bench.see("oven_pilot_flame", "out"), options=pilots, working=["surface_burners_light"])
    lit = bench.diagnose(
        BAKE, bench.see("oven_pilot_flame", "blue"), bench.see("oven_pilot_safety_response", "stays_shut"),
        options=pilots,
    )  # fmt: skip
    assert out.first == "oven_pilot_out"
    assert out.chance("oven_pilot_out") > 0.9
    assert out.remedy == "relight_oven_pilot"
    assert not out.fits_a_part
    assert lit.first == "oven_pilot_safety_failed"
    assert lit.chance("oven_pilot_safety_failed") > 0.75
    assert lit.chance("oven_pilot_out") < 0.1


def test_cooktop_with_standing_pilots(bench):
    answer = bench.diagnose(
        ["no_surface_burner_lights"], bench.see("cooktop_pilot_flame", "out"), working=["bake_lights"],
        options=bench.build(cooktop_ignition="standing_pilot"),
    )  # fmt: skip
    assert answer.first == "pilot_out"
    assert answer.chance("pilot_out") > 0.95
    assert answer.next.id in ("gas_odour", "relight_cooktop_pilot")  # to smell first is no mistake
    assert answer.remedy == "relight_cooktop_pilot"


def test_every_pilot_out_is_the_gas(bench):
    answer = bench.diagnose(
        ["no_surface_burner_lights", "bake_does_not_light"],
        bench.see("cooktop_pilot_flame", "out"),
        bench.see("oven_pilot_flame", "out"),
        bench.see("gas_supply_valve", "was_shut"),
        options=bench.build(oven_ignition="standing_pilot", igniter_style=None, cooktop_ignition="standing_pilot"),
    )
    assert answer.first == "gas_shut_off"
    assert answer.chance("gas_shut_off") > 0.9
    assert answer.remedy == "open_gas_supply"


def test_mechanical_control_names_the_thermostat_and_never_a_board(bench):
    mechanical = bench.build(oven_control="mechanical", sensor_curve=None)
    answer = bench.diagnose(
        ["bake_does_not_light", "broil_does_not_light"],
        bench.read("outlet_voltage", 120.0),
        bench.read("bake_control_output_voltage", 0.0),
        bench.see("spark_at_electrodes", "all"),
        options=mechanical,
    )
    assert answer.first == "thermostat_contacts_open"
    assert answer.chance("thermostat_contacts_open") > 0.85
    assert answer.chance("board_dead") == 0.0


def test_mechanical_control_out_of_calibration(bench):
    read = Reading(
        "oven_temperature", values=(222.0, 226.0, 224.0), unit="degC",
        conditions=Conditions(set_point=Quantity(350.0, "degF")),
    )  # fmt: skip
    answer = bench.diagnose(
        ["oven_temperature_off"], read, options=bench.build(oven_control="mechanical", sensor_curve=None),
    )  # fmt: skip
    assert answer.first == "thermostat_out_of_calibration"
    assert answer.reading("oven_temperature").verdict == "outside"
    assert "average_over_cycles" not in answer.codes("oven_temperature")


def test_an_oven_within_25_degrees_fahrenheit_is_sound(bench):
    at_350 = Conditions(set_point=Quantity(350.0, "degF"))
    sound = bench.diagnose(["oven_temperature_off"], bench.read("oven_temperature", 357.0, "degF", conditions=at_350))
    off = bench.diagnose(["oven_temperature_off"], bench.read("oven_temperature", 400.0, "degF", conditions=at_350))
    assert sound.reading("oven_temperature").verdict == "within"
    assert off.reading("oven_temperature").verdict == "outside"
    expected = off.reading("oven_temperature").expected
    assert expected is not None
    assert expected.low == pytest.approx(325.0, abs=1.0)
    assert expected.high == pytest.approx(375.0, abs=1.0)
    assert "average_over_cycles" in off.codes("oven_temperature")


def test_a_reading_of_another_build_is_refused(bench):
    answer = bench.diagnose(
        BAKE, bench.read("bake_igniter_current", 3.4), options=bench.build(oven_ignition="spark", igniter_style=None),
    )  # fmt: skip
    assert answer.reading("bake_igniter_current").verdict == "rejected"
    assert answer.codes("bake_igniter_current") == {"not_in_this_build"}
