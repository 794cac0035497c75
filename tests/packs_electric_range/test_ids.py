"""The ids that clients rely on, typed out once more: a renamed or lost one fails here."""

from __future__ import annotations

import pytest

OPTIONS = {
    "cooktop": {"coil", "radiant"},
    "bake_element": {"visible", "hidden"},
    "sensor_curve": {"iec_60751", "trade_3750"},
}
STATES = {"isolated", "in_use", "powered"}
ZONES = {"outside", "oven_cavity", "unit_well", "under_cooktop", "rear_panel", "control_panel"}
FUNCTIONS = {
    "display_on", "bake_heats", "broil_heats", "oven_heats_fully", "oven_holds_temperature", "oven_cold_at_off",
    "door_locks", "surface_unit_heats", "surface_unit_heats_fully", "surface_unit_regulates", "other_units_heat",
    "hot_light_right",
}  # fmt: skip
COMPLAINTS = {
    "display_dead", "bake_does_not_heat", "broil_does_not_heat", "oven_slow", "oven_temperature_off",
    "oven_heats_when_off", "door_does_not_unlock", "surface_unit_does_not_heat", "surface_unit_weak",
    "surface_unit_only_high", "no_surface_unit_heats", "hot_light_stays_on", "sensor_error_shown", "breaker_trips",
    "sparks_or_smoke", "felt_a_shock", "lights_flicker", "glass_cracked",
}  # fmt: skip
#: Test, unit (None where something is seen), state, zone, command.
TESTS = [
    ("legs_voltage", "V", "powered", "rear_panel", "off"),
    ("leg_one_to_neutral", "V", "powered", "rear_panel", "off"),
    ("leg_two_to_neutral", "V", "powered", "rear_panel", "off"),
    ("legs_neutral_to_ground", "V", "powered", "rear_panel", "off"),
    ("block_voltage_under_load", "V", "powered", "rear_panel", "bake"),
    ("leg_one_to_chassis_under_load", "V", "powered", "rear_panel", "bake"),
    ("leg_two_to_chassis_under_load", "V", "powered", "rear_panel", "bake"),
    ("terminal_block_condition", None, "isolated", "rear_panel", "off"),
    ("bake_element_resistance", "ohm", "isolated", "oven_cavity", "off"),
    ("bake_element_to_chassis", "ohm", "isolated", "oven_cavity", "off"),
    ("bake_element_voltage", "V", "powered", "oven_cavity", "bake"),
    ("hidden_bake_element_resistance", "ohm", "isolated", "rear_panel", "off"),
    ("hidden_bake_element_to_chassis", "ohm", "isolated", "rear_panel", "off"),
    ("hidden_bake_element_voltage", "V", "powered", "rear_panel", "bake"),
    ("bake_relay_voltage", "V", "powered", "control_panel", "bake"),
    ("bake_element_current", "A", "powered", "control_panel", "bake"),
    ("bake_current_at_off", "A", "powered", "rear_panel", "off"),
    ("broil_element_resistance", "ohm", "isolated", "oven_cavity", "off"),
    ("broil_element_voltage", "V", "powered", "oven_cavity", "broil"),
    ("broil_relay_voltage", "V", "powered", "control_panel", "broil"),
    ("oven_insulation_at_plug", "ohm", "isolated", "rear_panel", "off"),
    ("oven_sensor_resistance", "ohm", "isolated", "rear_panel", "off"),
    ("oven_sensor_resistance_at_board", "ohm", "isolated", "control_panel", "off"),
    ("oven_sensor_to_chassis", "ohm", "isolated", "rear_panel", "off"),
    ("oven_temperature", "degC", "in_use", "outside", "bake"),
    ("board_supply_voltage", "V", "powered", "control_panel", "off"),
    ("latch_motor_voltage", "V", "powered", "control_panel", "lock"),
    ("latch_motor_resistance", "ohm", "isolated", "control_panel", "off"),
    ("coil_resistance", "ohm", "isolated", "unit_well", "off"),
    ("coil_to_chassis", "ohm", "isolated", "unit_well", "off"),
    ("radiant_element_resistance", "ohm", "isolated", "under_cooktop", "off"),
    ("surface_switch_voltage", "V", "powered", "control_panel", "surface"),
    ("surface_element_voltage", "V", "powered", "under_cooktop", "surface"),
    ("surface_element_current", "A", "powered", "control_panel", "surface"),
    ("chassis_ground_resistance", "ohm", "isolated", "outside", "off"),
]
#: The healthy outcome first.
OUTCOMES = {
    "bake_glow": ("glows", {"dull", "cold"}),
    "broil_glow": ("glows", {"dull", "cold"}),
    "oven_floor_warmth": ("hot", {"lukewarm", "cold"}),
    "surface_unit_glow": ("glows", {"dull", "cold"}),
    "other_unit_glow": ("glows", {"dull", "cold"}),
    "unit_at_low": ("goes_off_and_on", {"stays_on", "stays_cold"}),
    "coil_in_another_place": ("heats_there", {"cold_there"}),
    "receptacle_condition": ("sound", {"burnt_or_loose"}),
    "limiter_continuity": ("closed", {"open"}),
    "hot_light_contact": ("open", {"closed"}),
    "oven_limit_continuity": ("closed", {"open"}),
    "bake_element_condition": ("whole", {"blistered_or_broken"}),
    "display_lit": ("lit", {"dark", "flickers"}),
    "control_lock": ("off", {"on"}),
    "display_error": ("none", {"sensor_error", "door_error"}),
    "latch_travel": ("moves_freely", {"stiff_or_jammed"}),
    "latch_switch_response": ("follows", {"does_not_follow"}),
    "oven_door_seal": ("sound", {"gapped"}),
    "oven_vent_and_floor": ("clear", {"covered"}),
    "terminal_block_condition": ("sound", {"scorched"}),
    "wiring_condition": ("sound", {"scorched", "wet"}),
    "cooktop_glass": ("whole", {"cracked"}),
    "oven_heat_up": ("usual", {"long"}),
}
PER_ELEMENT = ("element_open", "element_touches_case", "connection_burnt", "harness_open", "relay_open", "relay_welded")
FAULTS = {
    "both_legs_dead", "leg_one_dead", "leg_two_dead", "legs_neutral_open", "service_neutral_open", "legs_voltage_low",
    "supply_208_volts", "block_leg_one_burnt", "block_leg_two_burnt", "block_neutral_burnt",
    *(f"{element}_{fault}" for element in ("bake", "broil") for fault in PER_ELEMENT), "oven_limit_open",
    "oven_sensor_open", "oven_sensor_shorted", "oven_sensor_drifted", "oven_sensor_harness_open",
    "oven_sensor_leaks_to_chassis", "board_sensor_input_failed", "board_offset_wrong", "oven_door_leaks",
    "oven_vent_covered", "board_dead", "board_wire_open", "control_locked", "latch_switch_wrong", "latch_motor_open",
    "latch_jammed", "latch_relay_open", "surface_element_open", "surface_element_weak", "surface_element_touches_case",
    "surface_receptacle_burnt", "surface_limiter_open", "hot_light_contact_stuck", "surface_switch_open",
    "surface_switch_welded", "surface_harness_open", "cooktop_glass_cracked",
}  # fmt: skip
REPAIRS = {
    "restore_legs", "mend_legs_neutral", "mend_service_neutral", "raise_legs_voltage", "settle_208_volts",
    "replace_terminal_block", "replace_bake_element", "replace_hidden_bake_element", "replace_broil_element",
    "repair_bake_wiring", "repair_broil_wiring", "replace_oven_limit", "replace_oven_sensor",
    "repair_oven_sensor_harness", "adjust_temperature_offset", "replace_door_gasket", "clear_oven_vent",
    "replace_door_latch", "unlock_control", "repair_board_wiring", "replace_control_board", "replace_coil",
    "replace_radiant_unit", "replace_receptacle", "replace_surface_switch", "repair_surface_wiring",
    "replace_cooktop_glass",
}  # fmt: skip
INTERLOCKS = {"sparks_or_smoke", "shock", "legs_overvoltage", "unsafe_wiring"}


def ids(records):
    return {record.id for record in records}


def test_options_and_their_values(family):
    assert {option.id: ids(option.values) for option in family.options} == OPTIONS


def test_states(family):
    powers = {state.id: (state.powered, state.gas_on) for state in family.states}
    assert powers == {"isolated": (False, False), "in_use": (True, False), "powered": (True, False)}


@pytest.mark.parametrize(
    ("kind", "wanted"),
    [("zones", ZONES), ("functions", FUNCTIONS), ("complaints", COMPLAINTS), ("faults", FAULTS), ("repairs", REPAIRS),
     ("interlocks", INTERLOCKS)],
)  # fmt: skip
def test_every_fixed_id_is_there(family, kind, wanted):
    assert wanted - ids(getattr(family, kind)) == set()


@pytest.mark.parametrize(("test_id", "unit", "state", "zone", "command"), TESTS, ids=[row[0] for row in TESTS])
def test_tests_have_their_unit_state_zone_and_command(family, test_id, unit, state, zone, command):
    (test,) = (t for t in family.tests if t.id == test_id)
    assert (test.unit, test.zone, test.command) == (unit, zone, command)
    assert test.states[0] == state


@pytest.mark.parametrize("test_id", OUTCOMES)
def test_outcomes_begin_with_the_healthy_one(family, test_id):
    healthy, others = OUTCOMES[test_id]
    (test,) = (t for t in family.tests if t.id == test_id)
    assert test.outcomes[0] == healthy
    assert set(test.outcomes[1:]) == others
