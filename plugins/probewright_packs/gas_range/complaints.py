"""What customers say, and how often they say it with each fault."""

from __future__ import annotations

from probewright.packs import Complaint, When, from_memory
from probewright_packs.common.numbers import remembered
from probewright_packs.gas_range.functions import ALL_BURNERS, ONE_BURNER, SENSOR_ERROR
from probewright_packs.gas_range.options_and_states import COOKTOP_SPARK, ELECTRONIC

#: How often each complaint is made without a cause: by use, by expectation, or by mistake.
_GROUNDLESS = {
    "display_dead": 0.0001, "bake_does_not_light": 0.001, "broil_does_not_light": 0.001, "oven_slow_to_light": 0.003,
    "oven_temperature_off": 0.006, "one_surface_burner_does_not_light": 0.001, "no_surface_burner_lights": 0.0003,
    "no_spark_at_any_burner": 0.0003, "clicks_without_stopping": 0.0003, "sensor_error_shown": 0.0002,
    "gas_smell": 0.006, "soot_or_yellow_flame": 0.003,
}  # fmt: skip


_SOOT = (
    "Soot and yellow flames can mean carbon monoxide: carry a carbon monoxide meter from the door on, ventilate while "
    "a burner is lit, and leave the burner in question off until its flame is right and its carbon monoxide measured.",
    "Anybody with headache, dizziness or nausea goes into fresh air now: call the emergency number.",
)


def _denies(id_: str, title: str, function: str, when: When | None = None) -> Complaint:
    """A complaint that says that a function fails."""
    return Complaint(id_, title, from_memory(_GROUNDLESS[id_]), function, from_memory(0.93), when=when or {})


def _shown(
    id_: str, title: str, chances: dict[str, float], when: When | None = None, cautions: tuple[str, ...] = ()
) -> Complaint:
    """A complaint that is a symptom of faults."""
    return Complaint(
        id_, title, from_memory(_GROUNDLESS[id_]), shown_by=remembered(chances), cautions=cautions, when=when or {}
    )


COMPLAINTS = (
    _denies("display_dead", "The display is dead", "display_on", when=ELECTRONIC),
    _denies("bake_does_not_light", "The oven does not light for baking", "bake_lights"),
    _denies("broil_does_not_light", "The broiler does not light", "broil_lights"),
    _shown("oven_slow_to_light", "The oven takes long to light", {
        "bake_igniter_weak": 0.75, "bake_igniter_loose": 0.4, "bake_harness_corroded": 0.5, "supply_voltage_low": 0.4,
        "bake_spark_electrode_fouled": 0.5, "regulator_pressure_wrong": 0.2, "bake_valve_stuck": 0.1,
        "oven_pilot_safety_failed": 0.2,
    }),
    _shown("oven_temperature_off", "The oven is too hot or too cold", {
        "oven_sensor_drifted": 0.85, "board_offset_wrong": 0.9, "thermostat_out_of_calibration": 0.9,
        "oven_sensor_leaks_to_chassis": 0.5, "oven_door_leaks": 0.5, "bake_igniter_weak": 0.15,
        "air_passages_covered": 0.35, "wrong_orifices_for_fuel": 0.3, "regulator_pressure_wrong": 0.25,
        "bake_harness_corroded": 0.2, "supply_voltage_low": 0.1,
    }),
    _shown("one_surface_burner_does_not_light", "One surface burner does not light", {
        **ONE_BURNER,
        **{fault: 0.1 * chance for fault, chance in ALL_BURNERS.items()},
        "ignition_switch_stuck_open": 0.6,
        **dict.fromkeys((
            "no_supply", "neutral_open", "supply_connection_bad", "neutral_connection_bad", "supply_cord_open",
            "ignition_harness_open"), 0.08),
    }),
    _denies("no_surface_burner_lights", "No surface burner lights", "any_surface_burner_lights"),
    _denies("no_spark_at_any_burner", "No burner sparks", "spark_present", when=COOKTOP_SPARK),
    _denies("clicks_without_stopping", "The cooktop keeps clicking", "spark_stops", when=COOKTOP_SPARK),
    _shown("sensor_error_shown", "The display shows an error of the temperature sensor", SENSOR_ERROR,
           when=ELECTRONIC),
    _shown("gas_smell", "It smells of gas", {
        "gas_leak": 0.9, "pilot_out": 0.4, "oven_pilot_out": 0.4, "bake_igniter_loose": 0.2, "bake_igniter_weak": 0.08,
        "burner_ports_blocked": 0.08, "burner_cap_misplaced": 0.08, "regulator_pressure_wrong": 0.1,
    }),
    _shown("soot_or_yellow_flame", "Soot, or yellow flames", {
        "wrong_orifices_for_fuel": 0.7, "regulator_pressure_wrong": 0.45, "air_passages_covered": 0.35,
        "burner_ports_blocked": 0.25, "burner_cap_misplaced": 0.2,
    }, cautions=_SOOT),
)  # fmt: skip
