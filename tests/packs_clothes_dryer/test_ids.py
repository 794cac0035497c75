"""The ids that clients rely on, typed out once more: a renamed or lost one fails here."""

from __future__ import annotations

import pytest

OPTIONS = {
    "heat": {"electric", "gas"},
    "fuel": {"natural_gas", "propane"},
    "control": {"timer", "electronic"},
}
STATES = {"isolated": (False, False), "powered": (True, False), "running": (True, True)}
ZONES = {"outside", "behind", "vent", "console", "cabinet", "heat_source", "gas_line", "pressure_tap"}
FUNCTIONS = {
    "display_on", "drum_turns", "heats", "dries_in_time", "stays_under_its_limit", "cold_at_rest",
    "goes_on_until_dry", "ends_by_itself", "runs_quietly",
}  # fmt: skip
COMPLAINTS = {
    "does_not_start", "hums_and_stands", "no_heat", "warm_at_first_only", "drying_takes_long", "too_hot",
    "heats_while_drum_stands", "stops_early", "stops_and_starts_again", "does_not_stop", "noisy", "display_dead",
    "burnt_smell", "gas_smell", "felt_a_shock", "felt_ill_or_alarm",
}  # fmt: skip
INTERLOCKS = {
    "gas_escape", "carbon_monoxide", "smoulders", "heat_without_rotation", "shock", "overvoltage", "legs_overvoltage",
    "burns_badly", "door_does_not_stop_it",
    "unsafe_wiring",
}  # fmt: skip
#: Test, unit (None where something is seen), state, zone.
TESTS = [
    ("legs_voltage", "V", "powered", "behind"),
    ("leg_one_to_neutral", "V", "powered", "behind"),
    ("leg_two_to_neutral", "V", "powered", "behind"),
    ("block_voltage_under_load", "V", "powered", "behind"),
    ("outlet_voltage", "V", "powered", "behind"),
    ("breaker_position", None, "running", "outside"),
    ("motor_response", None, "running", "outside"),
    ("drum_by_hand", None, "isolated", "outside"),
    ("belt_and_its_switch", None, "isolated", "cabinet"),
    ("motor_current", "A", "powered", "behind"),
    ("motor_voltage", "V", "powered", "cabinet"),
    ("control_motor_feed_voltage", "V", "powered", "console"),
    ("door_switch_continuity", None, "isolated", "cabinet"),
    ("thermal_fuse_continuity", None, "isolated", "cabinet"),
    ("start_switch_continuity", None, "isolated", "console"),
    ("motor_main_resistance", "ohm", "isolated", "cabinet"),
    ("motor_start_resistance", "ohm", "isolated", "cabinet"),
    ("heater_contact_at_rest", None, "isolated", "cabinet"),
    ("warm_air", None, "running", "outside"),
    ("heat_at_rest", None, "running", "outside"),
    ("outlet_temperature", "degC", "running", "behind"),
    ("cutoff_continuity", None, "isolated", "heat_source"),
    ("cutoff_voltage", "V", "powered", "heat_source"),
    ("high_limit_continuity", None, "isolated", "heat_source"),
    ("element_current", "A", "powered", "behind"),
    ("leg_two_current_at_off", "A", "powered", "behind"),
    ("element_resistance", "ohm", "isolated", "heat_source"),
    ("element_to_case", "ohm", "isolated", "heat_source"),
    ("vent_back_pressure", "inH2O", "powered", "behind"),
    ("vent_duct", None, "isolated", "vent"),
    ("vent_hood_airflow", None, "running", "outside"),
    ("lint_screen_water", None, "isolated", "outside"),
    ("timer_advance", None, "running", "outside"),
    ("outlet_sensor_resistance", "ohm", "isolated", "cabinet"),
    ("moisture_bars_wet", "ohm", "isolated", "console"),
    ("burner_sequence", None, "running", "heat_source"),
    ("igniter_resistance", "ohm", "isolated", "heat_source"),
    ("valve_secondary_resistance", "ohm", "isolated", "heat_source"),
    ("valve_secondary_resistance_hot", "ohm", "isolated", "heat_source"),
    ("valve_secondary_voltage", "V", "powered", "heat_source"),
    ("meter_clocking", "s", "running", "outside"),
    ("manifold_pressure", "inH2O", "running", "pressure_tap"),
    ("carbon_monoxide_in_room", "ppm", "running", "outside"),
    ("gas_odour", None, "isolated", "outside"),
    ("insulation_to_chassis", "Mohm", "isolated", "behind"),
]
#: The healthy outcome first, then from mild to severe.
OUTCOMES = {
    "motor_response": ("drum_turns", "drum_stands", "hums", "silent"),
    "drum_by_hand": ("usual_drag", "too_easy", "stiff", "stuck"),
    "warm_air": ("warm", "lukewarm", "cold"),
    "heat_at_rest": ("cold", "warm"),
    "cutoff_continuity": ("closed", "open"),
    "heater_contact_at_rest": ("open", "closed"),
    "vent_duct": ("clear", "lint", "crushed_or_plastic"),
    "vent_hood_airflow": ("strong", "weak", "none"),
    "lint_screen_water": ("runs_through", "water_stands", "full_of_lint"),
    "lint_inside": ("little", "thick", "scorched"),
    "belt_and_its_switch": ("in_place", "off_or_broken", "switch_bridged"),
    "burner_sequence": ("burns_again_and_again", "burns_once", "glows_and_goes_out", "glows_on", "no_glow"),
    "burner_flame": ("blue", "yellow_or_sooty", "lifting_or_small"),
    "moisture_bars": ("clean", "filmed"),
    "gas_odour": ("none", "present"),
    "wiring_condition": ("sound", "scorched", "wet"),
}
FAULTS = {
    "both_legs_dead", "leg_one_dead", "leg_two_dead", "legs_neutral_open", "service_neutral_open", "legs_voltage_low",
    "supply_208_volts", "block_leg_one_burnt", "block_leg_two_burnt", "block_neutral_burnt", "leg_two_on_neutral",
    "no_supply", "supply_voltage_low", "supply_connection_bad", "neutral_connection_bad", "supply_voltage_high",
    "polarity_reversed", "ground_missing", "neutral_open", "supply_cord_open",
    "door_switch_open", "belt_switch_open", "belt_broken", "belt_broken_switch_bridged", "thermal_fuse_open",
    "thermal_fuse_blown_by_vent", "motor_main_open", "motor_start_open", "motor_start_contact_open",
    "motor_bearings_seized", "motor_heater_contact_open", "motor_heater_contact_welded", "drum_jammed",
    "drum_rollers_worn", "drum_seal_worn", "vent_blocked", "cutoff_blown_by_vent", "vent_too_long",
    "lint_screen_clogged", "blower_jammed", "blower_wheel_loose", "lint_in_cabinet", "cycling_thermostat_open",
    "cycling_thermostat_opens_early", "cycling_thermostat_stuck_closed", "high_limit_open", "cutoff_open",
    "heat_harness_open", "element_open", "element_touches_case", "start_switch_open", "timer_motor_contact_open",
    "timer_heat_contact_open", "timer_heat_contact_welded", "timer_motor_dead", "board_dead", "motor_relay_open",
    "heat_relay_open", "heat_relay_welded", "control_locked", "outlet_sensor_open", "outlet_sensor_shorted",
    "outlet_sensor_drifted", "outlet_sensor_harness_open", "moisture_bars_coated", "moisture_wire_open",
    "moisture_bars_bridged", "igniter_open", "flame_sensor_stuck_closed", "flame_sensor_open", "valve_holding_open",
    "valve_booster_open", "valve_secondary_open", "valve_coils_fail_hot", "gas_valve_stuck", "gas_pressure_wrong",
    "gas_shut_off", "orifice_for_other_fuel", "gas_leak", "burner_air_blocked",
}  # fmt: skip
REPAIRS = {
    "restore_legs", "replace_terminal_block", "settle_208_volts", "rewire_outlet_for_two_legs", "restore_supply",
    "replace_cutoff", "clear_vent_and_replace_cutoff", "replace_thermal_fuse", "clear_vent_and_replace_thermal_fuse",
    "clear_vent", "replace_vent_duct", "shorten_vent", "wash_lint_screen", "replace_belt",
    "replace_belt_and_free_switch", "replace_motor", "free_blower", "replace_drum_rollers", "replace_element",
    "replace_valve_coils", "replace_flame_sensor", "replace_igniter", "fit_orifice_for_fuel", "open_gas_supply",
    "repair_gas_leak", "replace_timer", "replace_control_board", "replace_outlet_sensor", "clean_moisture_bars",
    "unlock_control", "clear_lint_from_cabinet",
}  # fmt: skip


def ids(records):
    return {record.id for record in records}


def test_options_and_their_values(family):
    assert {option.id: ids(option.values) for option in family.options} == OPTIONS
    (fuel,) = (option for option in family.options if option.id == "fuel")
    assert fuel.when == {"heat": "gas"}


def test_builds_are_few(builds):
    """Electric with either control; gas with either fuel and either control."""
    assert len(builds) == 6


def test_states(family):
    assert {state.id: (state.powered, state.gas_on) for state in family.states} == STATES


@pytest.mark.parametrize(
    ("kind", "wanted"),
    [("zones", ZONES), ("functions", FUNCTIONS), ("complaints", COMPLAINTS), ("faults", FAULTS),
     ("interlocks", INTERLOCKS)],
)  # fmt: skip
def test_ids_are_these_and_no_others(family, kind, wanted):
    assert ids(getattr(family, kind)) == wanted


def test_every_fixed_repair_is_there(family):
    assert REPAIRS - ids(family.repairs) == set()


@pytest.mark.parametrize(("test_id", "unit", "state", "zone"), TESTS, ids=[row[0] for row in TESTS])
def test_tests_have_their_unit_state_and_zone(family, test_id, unit, state, zone):
    (test,) = (t for t in family.tests if t.id == test_id)
    assert (test.unit, test.zone, test.states[0]) == (unit, zone, state)


@pytest.mark.parametrize("test_id", OUTCOMES)
def test_outcomes_begin_with_the_healthy_one(family, test_id):
    (test,) = (t for t in family.tests if t.id == test_id)
    assert test.outcomes == OUTCOMES[test_id]


def test_the_checklist_knows_every_test_but_those_that_only_close_or_are_told(family):
    left_out = {test.id for test in family.tests if not test.closing and not test.reported} - set(family.checklist)
    assert left_out == {"outlet_sensor_resistance_at_board"}
