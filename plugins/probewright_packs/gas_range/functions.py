"""What a gas range must do.

A fault that acts through wiring is not listed under ``fails_with``: the circuit and the requirement say what it does.
"""

from __future__ import annotations

from probewright.packs import Function, from_memory
from probewright_packs.common.numbers import remembered
from probewright_packs.gas_range.burner_wiring import BURNERS, valve_opens
from probewright_packs.gas_range.options_and_states import COOKTOP_SPARK, ELECTRONIC, LIVE
from probewright_packs.gas_range.wiring import board_powered, flame_sensed, spark_module_powered

_NO_GAS = {"gas_shut_off": 0.99, "regulator_pressure_wrong": 0.2}

#: One surface burner alone fails.
ONE_BURNER = {
    "burner_ports_blocked": 0.85, "burner_cap_misplaced": 0.6, "spark_electrode_dirty": 0.6,
    "spark_electrode_cracked": 0.85, "spark_lead_damaged": 0.9, "spark_module_output_dead": 0.95,
}  # fmt: skip
#: All surface burners fail together, by faults that do not act through the spark circuit.
ALL_BURNERS = {**_NO_GAS, "spark_module_dead": 0.95, "pilot_out": 0.9, "wrong_orifices_for_fuel": 0.08}
#: An electronic control shows an error of its sensor.
SENSOR_ERROR = {
    "oven_sensor_open": 0.9, "oven_sensor_shorted": 0.9, "oven_sensor_harness_open": 0.9,
    "board_sensor_input_failed": 0.85, "oven_sensor_leaks_to_chassis": 0.4, "oven_sensor_drifted": 0.04,
}  # fmt: skip


def keep_from_lighting(burner: str) -> dict[str, float]:
    """Faults that keep an oven burner from lighting otherwise than through its circuit, and how often they do."""
    return {
        **_NO_GAS,
        "oven_gas_lever_closed": 0.99,
        "wrong_orifices_for_fuel": 0.05,
        "supply_voltage_low": 0.35,  # counts where the voltage was not measured
        f"{burner}_igniter_loose": 0.8,
        f"{burner}_valve_stuck": 0.97,
        f"{burner}_spark_electrode_fouled": 0.9,
        "oven_spark_module_dead": 0.98,
        "oven_pilot_out": 0.99,
        "oven_pilot_safety_failed": 0.95,
        # Repeated for ovens with a standing pilot, where no circuit says it.
        "control_locked": 0.97,
        "board_dead": 0.97,
        "board_wire_open": 0.97,
    }


def burner_lights(burner: str) -> Function:
    """The oven's bake or broil burner lights."""
    return Function(
        f"{burner}_lights", f"The {burner} burner lights", requires=valve_opens(burner),
        fails_with=remembered(keep_from_lighting(burner)), fails_anyway=from_memory(0.0008),
    )  # fmt: skip


def _holds_temperature() -> Function:
    return Function(
        "oven_holds_temperature", "The oven holds the temperature that is set", requires=valve_opens("bake"),
        fails_with=remembered({
            **_NO_GAS,
            "oven_sensor_drifted": 0.85, "board_offset_wrong": 0.9, "thermostat_out_of_calibration": 0.9,
            "oven_sensor_leaks_to_chassis": 0.6, "oven_door_leaks": 0.5, "air_passages_covered": 0.4,
            "wrong_orifices_for_fuel": 0.4, "oven_gas_lever_closed": 0.99, "bake_valve_stuck": 0.97,
            "bake_igniter_loose": 0.8, "bake_igniter_weak": 0.3,
        }),
        fails_anyway=from_memory(0.003),
    )  # fmt: skip


FUNCTIONS = (
    Function(
        "display_on", "The display and the control are on", requires=(board_powered(LIVE),),
        fails_with=remembered({"board_dead": 0.93, "supply_voltage_high": 0.3}), fails_anyway=from_memory(0.0001),
        when=ELECTRONIC,
    ),
    *(burner_lights(burner) for burner in BURNERS),
    _holds_temperature(),
    Function(
        "surface_burner_lights", "The surface burner in question lights", requires=(spark_module_powered(LIVE),),
        fails_with=remembered({**ALL_BURNERS, **ONE_BURNER}), fails_anyway=from_memory(0.001),
    ),
    Function(
        "surface_burners_light", "All surface burners light", requires=(spark_module_powered(LIVE),),
        fails_with=remembered({**ALL_BURNERS, **ONE_BURNER}), fails_anyway=from_memory(0.002),
    ),
    Function(
        "any_surface_burner_lights", "At least one surface burner lights",
        requires=(spark_module_powered(LIVE, "light_another"),),
        fails_with=remembered(ALL_BURNERS), fails_anyway=from_memory(0.0001),
    ),
    Function(
        "spark_present", "A burner sparks when its knob is at light", requires=(spark_module_powered(LIVE),),
        fails_with=remembered({"spark_module_dead": 0.97}), fails_anyway=from_memory(0.0003), when=COOKTOP_SPARK,
    ),
    Function(
        "spark_stops", "The spark stops once the burner is lit, and with every knob off",
        requires=(flame_sensed(),),
        fails_with=remembered({
            "ignition_switch_stuck_closed": 0.97, "spark_module_does_not_sense": 0.95,
        }),
        fails_anyway=from_memory(0.0003), when=COOKTOP_SPARK,
    ),
)  # fmt: skip
