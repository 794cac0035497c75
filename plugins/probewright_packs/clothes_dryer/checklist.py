"""The tests in the order in which the trade usually does them, by common practice.

Safety, then the customer's side (screen, vent, drum), the supply, what it does when started, and last the meter: from
what is quickly reached to what is not.
"""

from __future__ import annotations

CHECKLIST = (
    "gas_odour",
    "control_lock", "display_error",
    "lint_screen_water", "vent_hood_airflow",
    "motor_response", "warm_air", "running_noise",
    "breaker_position",
    "legs_voltage", "leg_one_to_neutral", "leg_two_to_neutral", "legs_neutral_to_ground",
    "outlet_voltage", "outlet_hot_to_ground", "outlet_neutral_to_ground",
    "drum_by_hand", "drum_gap", "moisture_bars",
    "gas_supply_valve",
    "vent_duct", "vent_length",
    "cutoff_continuity", "high_limit_continuity", "element_resistance", "element_to_case",
    "igniter_glow", "burner_sequence", "igniter_resistance", "flame_sensor_continuity",
    "valve_holding_resistance", "valve_booster_resistance", "valve_secondary_resistance",
    "thermal_fuse_continuity", "cycling_thermostat_continuity", "door_switch_continuity", "belt_switch_continuity",
    "belt_and_its_switch", "rollers_and_idler", "blower_wheel", "drum_seal", "lint_inside", "motor_shaft_by_hand",
    "motor_main_resistance", "motor_start_resistance", "motor_start_contact_continuity", "heater_contact_at_rest",
    "start_switch_continuity", "timer_motor_contact_continuity", "timer_heat_contact_continuity", "timer_advance",
    "outlet_sensor_resistance", "moisture_bars_wet", "moisture_bars_dry",
    "element_current", "leg_two_current_at_off", "motor_current", "block_voltage_under_load",
    "terminal_block_condition", "wiring_condition",
    "heat_load_voltage", "cutoff_voltage", "high_limit_voltage", "heat_feed_voltage", "heat_contact_voltage",
    "heater_contact_voltage",
    "control_motor_feed_voltage", "control_motor_output_voltage", "motor_voltage", "board_supply_voltage",
    "heat_at_air", "outlet_temperature", "vent_back_pressure",
    "valve_secondary_voltage", "valve_secondary_resistance_hot",
    "burner_flame", "burner_air", "orifice_marking", "meter_clocking", "manifold_pressure",
    "carbon_monoxide_in_room", "leak_check_solution",
)  # fmt: skip
