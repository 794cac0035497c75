"""Long drying with clean parts, and cycles that end too early or not at all."""

from __future__ import annotations

import pytest

LONG = ["drying_takes_long"]
EARLY = ["stops_early"]


def heats_fully(bench):
    return bench.read("legs_voltage", 240.0), bench.read("element_current", 22.0)


def test_a_clean_vent_that_holds_back_is_too_long(bench):
    held = (*heats_fully(bench), bench.read("vent_back_pressure", 0.85))
    bare = bench.diagnose(LONG, *held)
    assert bare.chance("vent_blocked") + bare.chance("vent_too_long") > 0.95
    assert bare.next.id in ("vent_length", "vent_duct")
    clean = bench.diagnose(LONG, *held, bench.see("vent_duct", "clear"), bench.see("vent_length", "over"))
    assert clean.first == "vent_too_long"
    assert clean.remedy == "shorten_vent"
    assert "replace_element" not in clean.proposed


def test_a_crushed_duct_is_a_blocked_vent(bench):
    answer = bench.diagnose(LONG, *heats_fully(bench), bench.see("vent_duct", "crushed_or_plastic"))
    assert answer.first == "vent_blocked"
    assert answer.remedy in ("clear_vent", "replace_vent_duct")


def test_little_back_pressure_is_no_clear_vent(bench):
    """A film on the screen, or a fan that slips, leaves the vent without pressure: 0.05 inches are no proof of it."""
    low = bench.diagnose(LONG, *heats_fully(bench), bench.read("vent_back_pressure", 0.06))
    assert "screen_out_or_door_open" in low.codes("vent_back_pressure")
    assert low.chance("lint_screen_clogged") + low.chance("blower_wheel_loose") > 0.7
    assert low.reading("vent_back_pressure").verdict == "outside"
    film = bench.diagnose(
        LONG, *heats_fully(bench), bench.read("vent_back_pressure", 0.06),
        bench.see("lint_screen_water", "water_stands"),
    )  # fmt: skip
    assert film.first == "lint_screen_clogged"
    assert film.next.id == "wash_lint_screen"


def test_half_the_supply_across_the_element_gives_a_quarter_of_the_heat(bench):
    """11.2 A of 22.5: 120 V in place of 240, and a sound element."""
    answer = bench.diagnose(
        LONG, bench.read("legs_voltage", 120.0), bench.read("leg_two_to_neutral", 0.2),
        bench.read("element_current", 11.1),
    )  # fmt: skip
    assert answer.first == "leg_two_on_neutral"
    assert answer.remedy == "rewire_outlet_for_two_legs"
    assert "replace_element" not in answer.proposed


def test_208_volts_give_three_quarters_and_nothing_is_broken(bench):
    answer = bench.diagnose(
        LONG, bench.read("legs_voltage", 208.0), bench.read("leg_one_to_neutral", 120.0),
        bench.read("leg_two_to_neutral", 120.0), bench.read("element_current", 19.3),
    )  # fmt: skip
    assert answer.chance("supply_208_volts") > 0.95
    assert answer.next.id == "settle_208_volts"
    assert not answer.fits_a_part


def test_a_low_element_current_asks_for_the_supply_first(bench):
    answer = bench.diagnose(LONG, bench.read("element_current", 12.0))
    assert "supply_not_measured" in answer.codes("element_current")
    assert answer.next.id in ("legs_voltage", "leg_one_to_neutral", "leg_two_to_neutral", "block_voltage_under_load")
    assert "replace_element" not in answer.proposed
    known = bench.diagnose(LONG, bench.read("element_current", 12.0), bench.read("legs_voltage", 208.0))
    assert "supply_not_measured" not in known.codes("element_current")


@pytest.mark.parametrize(("ohms", "drifted"), [(7600.0, True), (12400.0, False)])
def test_a_thermistor_is_judged_at_its_temperature(bench, board, ohms, drifted):
    """10 kohm at 25 degC by Beta 3950: 12.5 kohm at 20 degC; 7.6 kohm there is a sensor that says 31."""
    answer = bench.diagnose(LONG, bench.read("outlet_sensor_resistance", ohms), conditions=bench.at(20.0, "degC"),
                            options=board)  # fmt: skip
    assert (answer.chance("outlet_sensor_drifted") > 0.9) is drifted
    assert (answer.reading("outlet_sensor_resistance").verdict == "outside") is drifted
    assert (answer.next.id == "replace_outlet_sensor") is drifted


def test_a_thermistor_without_its_temperature_proves_nothing(bench, board):
    without = bench.diagnose(LONG, options=board)
    answer = bench.diagnose(LONG, bench.read("outlet_sensor_resistance", 7600.0), options=board)
    assert answer.reading("outlet_sensor_resistance").verdict == "inconclusive"
    assert answer.chance("outlet_sensor_drifted") < 3 * without.chance("outlet_sensor_drifted")
    assert answer.next.id != "replace_outlet_sensor"
    assert "thermistor_as_thermometer" in answer.codes("outlet_sensor_resistance")


def test_coated_bars_stop_it_early_and_take_no_part(bench, board):
    answer = bench.diagnose(EARLY, bench.see("moisture_bars", "filmed"), options=board)
    assert answer.chance("moisture_bars_coated") > 0.8
    assert answer.next.id == "clean_moisture_bars"
    assert not answer.fits_a_part
    assert "replace_control_board" not in answer.proposed


def test_clean_bars_that_lead_nothing_have_a_broken_wire(bench, board):
    answer = bench.diagnose(EARLY, bench.see("moisture_bars", "clean"), bench.over("moisture_bars_wet"), options=board)
    assert answer.first == "moisture_wire_open"
    assert answer.next.id == "repair_moisture_wiring"


def test_a_timer_that_stands_and_one_that_waits_for_warmth(bench):
    answer = bench.diagnose(["does_not_stop"], bench.see("timer_advance", "stands"))
    assert answer.first == "timer_motor_dead"
    assert answer.next.id == "replace_timer"
    moves = bench.diagnose(["does_not_stop"], bench.see("timer_advance", "advances"))
    assert moves.chance("timer_motor_dead") < 0.3
    assert moves.next.id != "replace_timer"
