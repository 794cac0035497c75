"""What can be wrong.  Every rate is from memory: no open table gives failure rates of gas-range parts.

The tables give shares of the calls that are made for each fault.  A rate is the chance that an appliance has the fault
before anybody says what is wrong with it: :data:`BESIDE_THE_CALL` of that share, so that a fault that nobody
complained of seldom stands beside the one that was.
"""

from __future__ import annotations

from collections.abc import Mapping

from probewright.packs import Fault, When, from_memory
from probewright_packs.common.supply import BESIDE_THE_CALL, supply_faults
from probewright_packs.gas_range.burner_wiring import BURNERS
from probewright_packs.gas_range.options_and_states import (
    COOKTOP_PILOT,
    COOKTOP_SPARK,
    ELECTRONIC,
    FLAME_SENSING,
    HOT_SURFACE,
    MECHANICAL,
    OVEN_ELECTRIC,
    OVEN_PILOT,
    OVEN_SPARK,
)  # fmt: skip

_SWITCHED_BY_BOARD: When = {**OVEN_ELECTRIC, **ELECTRONIC}
#: How often a burner's faults are met, against those of the bake burner: broil is used far less.
_USE = {"bake": 1.0, "broil": 0.35}


def _fault(id_: str, title: str, share: float, part: str | None = None, when: When | None = None) -> Fault:
    return Fault(id_, title, from_memory(BESIDE_THE_CALL * share), part, when=when or {})


def _burner(burner: str) -> tuple[Fault, ...]:
    def fault(name: str, title: str, share: float, part: str | None, when: When) -> Fault:
        return _fault(f"{burner}_{name}", f"{burner.capitalize()} {title}", share * _USE[burner], part, when)

    igniter, valve, electrode = f"{burner}_igniter", f"{burner}_valve", f"{burner}_spark_electrode"
    return (
        fault("igniter_open", "igniter open", 0.05, igniter, HOT_SURFACE),
        fault("igniter_weak", "igniter too weak to open the valve in time", 0.14, igniter, HOT_SURFACE),
        fault("igniter_loose", "igniter loose or broken from its mounting", 0.005, igniter, HOT_SURFACE),
        fault("valve_coil_open", "gas valve's coil open", 0.012, valve, OVEN_ELECTRIC),
        fault("valve_stuck", "gas valve does not open", 0.008, valve, {}),
        fault("harness_open", "harness open", 0.008, f"{burner}_harness", OVEN_ELECTRIC),
        fault("harness_corroded", "harness has a bad contact", 0.006, f"{burner}_harness", HOT_SURFACE),
        fault("relay_open", "relay of the board does not close", 0.01, "control_board", _SWITCHED_BY_BOARD),
        fault("spark_electrode_fouled", "spark electrode fouled or cracked", 0.06, electrode, OVEN_SPARK),
    )


_TITLES_OF_SENSOR: Mapping[str, tuple[str, float, str]] = {
    "oven_sensor_open": ("Oven sensor open", 0.02, "oven_sensor"),
    "oven_sensor_shorted": ("Oven sensor shorted", 0.004, "oven_sensor"),
    "oven_sensor_drifted": ("Oven sensor reads off its curve", 0.02, "oven_sensor"),
    "oven_sensor_leaks_to_chassis": ("Oven sensor leaks to the chassis", 0.006, "oven_sensor"),
    "oven_sensor_harness_open": ("Harness of the oven sensor open", 0.007, "sensor_harness"),
}

_CONTROL = (
    *(_fault(id_, *rest, when=ELECTRONIC) for id_, rest in _TITLES_OF_SENSOR.items()),
    _fault("board_wire_open", "Wire or terminal that feeds the control board open", 0.005, "board_wiring", ELECTRONIC),
    _fault("board_dead", "Control board dead", 0.014, "control_board", ELECTRONIC),
    _fault("board_sensor_input_failed", "Sensor input of the control board failed", 0.003, "control_board", ELECTRONIC),
    _fault("board_offset_wrong", "Temperature offset set wrong", 0.02, None, ELECTRONIC),
    _fault("control_locked", "Control locked or in demonstration mode", 0.02, None, ELECTRONIC),
    _fault("thermostat_contacts_open", "Contacts of the thermostat do not close", 0.02, "thermostat",
           {**MECHANICAL, **OVEN_ELECTRIC}),
    _fault("thermostat_out_of_calibration", "Thermostat out of calibration", 0.05, "thermostat", MECHANICAL),
    _fault("oven_door_leaks", "Oven door does not seal", 0.015, "door_gasket"),
)  # fmt: skip

_COOKTOP = (
    _fault("spark_module_dead", "Spark module dead", 0.03, "spark_module", COOKTOP_SPARK),
    _fault("spark_module_output_dead", "One output of the spark module dead", 0.012, "spark_module", COOKTOP_SPARK),
    _fault("spark_module_does_not_sense", "Spark module does not sense the flame", 0.02, "spark_module", FLAME_SENSING),
    _fault("ignition_switch_stuck_open", "Ignition switch does not close", 0.015, "ignition_switch", COOKTOP_SPARK),
    _fault("ignition_switch_stuck_closed", "Ignition switch wet or stuck closed", 0.05, "ignition_switch",
           COOKTOP_SPARK),
    _fault("ignition_harness_open", "Ignition harness open", 0.0085, "ignition_harness", COOKTOP_SPARK),
    _fault("spark_electrode_cracked", "Insulator of a spark electrode cracked", 0.02, "spark_electrode", COOKTOP_SPARK),
    _fault("spark_electrode_dirty", "Spark electrode dirty or wet", 0.04, "spark_electrode", COOKTOP_SPARK),
    _fault("spark_lead_damaged", "Lead of a spark electrode damaged", 0.01, "spark_electrode", COOKTOP_SPARK),
    _fault("burner_ports_blocked", "Burner ports blocked", 0.06),
    _fault("burner_cap_misplaced", "Burner cap misplaced", 0.03),
    _fault("pilot_out", "Pilot of the cooktop out", 0.2, None, COOKTOP_PILOT),
)

_GAS = (
    _fault("gas_shut_off", "Gas shut off", 0.015),
    _fault("oven_gas_lever_closed", "Lever that shuts the oven's gas closed", 0.01),
    _fault("regulator_pressure_wrong", "Regulator sets a wrong pressure", 0.008, "regulator"),
    _fault("wrong_orifices_for_fuel", "Orifices do not match the fuel", 0.008, "orifices"),
    _fault("gas_leak", "Gas leaks from a joint or connector", 0.015, "gas_connector"),
    _fault("air_passages_covered", "Air passages covered", 0.02),
    _fault("oven_spark_module_dead", "Spark module of the oven dead", 0.05, "oven_spark_module", OVEN_SPARK),
    _fault("oven_pilot_out", "Pilot of the oven out", 0.2, None, OVEN_PILOT),
    _fault("oven_pilot_safety_failed", "Safety device of the oven's pilot does not open the gas", 0.1,
           "oven_pilot_safety", OVEN_PILOT),
)  # fmt: skip

#: A pilot needs no electricity: there a low supply is found by its voltage alone.
_LOW_BESIDE_PILOT = Fault(
    "supply_low_beside_pilot_oven", "Supply voltage low at the outlet; the oven lights without it",
    from_memory(BESIDE_THE_CALL * 0.008), excludes=("no_supply", "supply_connection_bad", "supply_voltage_high"),
    when=OVEN_PILOT,
)  # fmt: skip

FAULTS = (*supply_faults(OVEN_ELECTRIC), _LOW_BESIDE_PILOT, *_GAS,
          *(fault for burner in BURNERS for fault in _burner(burner)), *_CONTROL, *_COOKTOP)  # fmt: skip
