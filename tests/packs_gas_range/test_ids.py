"""The ids that clients rely on, typed out once more: a renamed or lost one fails here."""

from __future__ import annotations

import pytest

OPTIONS = {
    "fuel": {"natural_gas", "propane"},
    "oven_ignition": {"hot_surface", "spark", "standing_pilot"},
    "igniter_style": {"flat", "round"},
    "cooktop_ignition": {"spark", "spark_flame_sensing", "standing_pilot"},
    "oven_control": {"electronic", "mechanical"},
}
STATES = {"isolated", "live_gas_off", "live"}
ZONES = {"outside", "oven_cavity", "cooktop", "under_cooktop", "rear_panel", "control_panel", "gas_line"}
FUNCTIONS = {
    "display_on", "bake_lights", "broil_lights", "oven_holds_temperature", "surface_burner_lights",
    "surface_burners_light", "spark_present", "spark_stops",
}  # fmt: skip
COMPLAINTS = {
    "display_dead", "bake_does_not_light", "broil_does_not_light", "oven_slow_to_light", "oven_temperature_off",
    "one_surface_burner_does_not_light", "no_surface_burner_lights", "no_spark_at_any_burner",
    "clicks_without_stopping", "sensor_error_shown", "gas_smell", "soot_or_yellow_flame",
}  # fmt: skip
#: Test, unit (None where something is seen), state, zone.
TESTS = [
    ("outlet_voltage", "V", "live_gas_off", "outside"),
    ("outlet_neutral_to_ground", "V", "live_gas_off", "outside"),
    ("outlet_hot_to_ground", "V", "live_gas_off", "outside"),
    ("bake_igniter_mounting", None, "isolated", "oven_cavity"),
    ("bake_igniter_glow", None, "live_gas_off", "oven_cavity"),
    ("bake_igniter_continuity", None, "isolated", "oven_cavity"),
    ("bake_igniter_resistance", "ohm", "isolated", "oven_cavity"),
    ("bake_igniter_current", "A", "live_gas_off", "rear_panel"),
    ("bake_circuit_voltage", "V", "live_gas_off", "rear_panel"),
    ("bake_igniter_voltage", "V", "live_gas_off", "rear_panel"),
    ("bake_valve_resistance", "ohm", "isolated", "rear_panel"),
    ("broil_igniter_current", "A", "live_gas_off", "rear_panel"),
    ("broil_igniter_glow", None, "live_gas_off", "oven_cavity"),
    ("broil_igniter_resistance", "ohm", "isolated", "oven_cavity"),
    ("oven_sensor_resistance", "ohm", "isolated", "rear_panel"),
    ("oven_sensor_resistance_at_board", "ohm", "isolated", "control_panel"),
    ("oven_sensor_to_chassis", "ohm", "isolated", "rear_panel"),
    ("oven_temperature", "degC", "live", "oven_cavity"),
    ("spark_module_supply_voltage", "V", "live_gas_off", "under_cooktop"),
    ("spark_at_electrodes", None, "live_gas_off", "outside"),
    ("spark_electrode_condition", None, "isolated", "cooktop"),
    ("burner_ports", None, "isolated", "cooktop"),
    ("ignition_switch_at_off", None, "isolated", "under_cooktop"),
    ("ignition_switch_at_light", None, "isolated", "under_cooktop"),
    ("board_supply_voltage", "V", "live_gas_off", "control_panel"),
    ("control_lock", None, "live_gas_off", "outside"),
    ("manifold_pressure", "inH2O", "live", "pressure_tap"),
    ("oven_gas_lever", None, "isolated", "gas_line"),
    ("air_passages", None, "isolated", "oven_cavity"),
    ("carbon_monoxide_air_free", "ppm", "live", "outside"),
    ("gas_odour", None, None, "outside"),
]
#: The healthy outcome first.
OUTCOMES = {
    "bake_igniter_mounting": ("firm", {"loose", "broken"}),
    "bake_igniter_glow": ("white", {"dim_orange", "none"}),
    "bake_igniter_continuity": ("closed", {"open"}),
    "broil_igniter_glow": ("white", {"dim_orange", "none"}),
    "spark_at_electrodes": ("all", {"some", "none"}),
    "spark_electrode_condition": ("clean", {"dirty", "cracked", "lead_damaged"}),
    "burner_ports": ("clear", {"blocked"}),
    "ignition_switch_at_off": ("open", {"closed"}),
    "ignition_switch_at_light": ("closed", {"open"}),
    "control_lock": ("off", {"on"}),
    "oven_gas_lever": ("open", {"closed"}),
    "air_passages": ("clear", {"covered"}),
    "gas_odour": ("none", {"present"}),
    "wiring_condition": ("sound", {"scorched", "wet"}),
    "leak_check_solution": ("no_bubbles", {"bubbles"}),
}
PER_BURNER = (
    "igniter_open", "igniter_weak", "igniter_loose", "valve_coil_open", "valve_stuck", "harness_open", "relay_open",
)  # fmt: skip
FAULTS = {
    "no_supply", "polarity_reversed", "ground_missing", "gas_shut_off", "oven_gas_lever_closed",
    "regulator_pressure_wrong", "wrong_orifices_for_fuel", *(f"{b}_{f}" for b in ("bake", "broil") for f in PER_BURNER),
    "oven_sensor_open", "oven_sensor_shorted", "oven_sensor_drifted", "oven_sensor_harness_open",
    "oven_sensor_leaks_to_chassis", "board_dead", "board_sensor_input_failed", "board_offset_wrong", "control_locked",
    "spark_module_dead", "spark_module_output_dead", "ignition_switch_stuck_open", "ignition_switch_stuck_closed",
    "ignition_harness_open", "spark_electrode_cracked", "spark_electrode_dirty", "spark_lead_damaged",
    "burner_ports_blocked", "burner_cap_misplaced", "air_passages_covered",
}  # fmt: skip
REPAIRS = {
    "replace_bake_igniter", "replace_broil_igniter", "clean_burner_ports", "free_ignition_switch",
    "open_oven_gas_lever", "replace_oven_sensor", "replace_spark_module", "replace_control_board", "unlock_control",
}  # fmt: skip


def ids(records):
    return {record.id for record in records}


def test_options_and_their_values(family):
    found = {option.id: ids(option.values) for option in family.options}
    assert {option: found[option] for option in OPTIONS} == OPTIONS
    (style,) = (option for option in family.options if option.id == "igniter_style")
    assert style.when == {"oven_ignition": "hot_surface"}


def test_states(family):
    assert ids(family.states) == STATES
    powers = {state.id: (state.powered, state.gas_on) for state in family.states}
    assert powers == {"isolated": (False, False), "live_gas_off": (True, False), "live": (True, True)}


@pytest.mark.parametrize(
    ("kind", "wanted"),
    [("zones", ZONES), ("functions", FUNCTIONS), ("complaints", COMPLAINTS), ("faults", FAULTS), ("repairs", REPAIRS)],
)
def test_every_fixed_id_is_there(family, kind, wanted):
    assert wanted - ids(getattr(family, kind)) == set()


@pytest.mark.parametrize(("test_id", "unit", "state", "zone"), TESTS, ids=[row[0] for row in TESTS])
def test_tests_have_their_unit_state_and_zone(family, test_id, unit, state, zone):
    (test,) = (t for t in family.tests if t.id == test_id)
    assert (test.unit, test.zone) == (unit, zone)
    assert set(test.states) == STATES if state is None else test.states[0] == state


@pytest.mark.parametrize("test_id", OUTCOMES)
def test_outcomes_begin_with_the_healthy_one(family, test_id):
    healthy, others = OUTCOMES[test_id]
    (test,) = (t for t in family.tests if t.id == test_id)
    assert test.outcomes[0] == healthy
    assert set(test.outcomes[1:]) == others
