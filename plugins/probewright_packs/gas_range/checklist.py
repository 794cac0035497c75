"""The tests in the order in which the trade usually does them, by common practice.

Safety, then the outlet, settings, a look with everything closed, a look at burners and igniters, and last the meter:
from what is quickly reached to what is not.
"""

from __future__ import annotations

from probewright_packs.gas_range.burner_wiring import BURNERS


def _both(*names: str) -> tuple[str, ...]:
    """Tests of the bake burner, and the same of the broil burner."""
    return tuple(f"{burner}_{name}" for burner in BURNERS for name in names)


CHECKLIST = (
    "gas_odour",
    "outlet_voltage", "outlet_hot_to_ground", "outlet_neutral_to_ground",
    "control_lock", "display_error",
    "spark_at_electrodes",
    "burner_cap_seat", "burner_ports", "spark_electrode_condition",
    "oven_pilot_flame", "cooktop_pilot_flame",
    *_both("igniter_glow"), *_both("spark"),
    "oven_gas_lever", "gas_supply_valve",
    "air_passages", "oven_door_seal", *_both("igniter_mounting"),
    *_both("igniter_current"),
    *_both("igniter_continuity", "igniter_resistance"),
    *_both("circuit_voltage", "igniter_voltage", "valve_resistance"),
    "oven_sensor_resistance", "oven_sensor_to_chassis", "oven_sensor_resistance_at_board",
    "ignition_switch_at_off", "ignition_switch_at_light", "spark_module_supply_voltage",
    "board_supply_voltage", *_both("control_output_voltage"),
    "wiring_condition",
    "oven_pilot_safety_response", *_both("burner_lighting"),
    "orifice_markings", "manifold_pressure",
    "oven_temperature", "carbon_monoxide_air_free", "leak_check_solution",
)  # fmt: skip
