"""What customers say, and how often they say it with each fault."""

from __future__ import annotations

from probewright.packs import Complaint, When, from_memory
from probewright_packs.common.numbers import remembered
from probewright_packs.electric_range.functions import MISSES_TEMPERATURE, SENSOR_ERROR
from probewright_packs.electric_range.options_and_states import RADIANT

#: How often each complaint is made without a cause: by use, by expectation, or by mistake.
_GROUNDLESS = {
    "display_dead": 0.0001, "bake_does_not_heat": 0.0007, "broil_does_not_heat": 0.0007, "oven_slow": 0.0015,
    "oven_temperature_off": 0.0025, "oven_heats_when_off": 0.00005, "door_does_not_unlock": 0.0003,
    "surface_unit_does_not_heat": 0.0007, "surface_unit_weak": 0.0008, "surface_unit_only_high": 0.0005,
    "no_surface_unit_heats": 0.0002, "hot_light_stays_on": 0.0005, "sensor_error_shown": 0.0002,
    "breaker_trips": 0.0003, "sparks_or_smoke": 0.0005, "felt_a_shock": 0.0001, "lights_flicker": 0.0003,
    "glass_cracked": 0.0001,
}  # fmt: skip

_OFF_AT_BREAKER = (
    "Tell the customer to switch the range's breaker off and to leave it off: the controls do not make it dead.",
)


def _denies(
    id_: str, title: str, function: str, when: When | None = None, cautions: tuple[str, ...] = ()
) -> Complaint:
    """A complaint that says that a function fails."""
    return Complaint(id_, title, from_memory(_GROUNDLESS[id_]), function, from_memory(0.9), cautions=cautions,
                     when=when or {})  # fmt: skip


def _shown(
    id_: str, title: str, chances: dict[str, float], when: When | None = None, cautions: tuple[str, ...] = ()
) -> Complaint:
    """A complaint that is a symptom of faults."""
    return Complaint(
        id_, title, from_memory(_GROUNDLESS[id_]), shown_by=remembered(chances), cautions=cautions, when=when or {}
    )


_BURNT_BLOCK = ("block_leg_one_burnt", "block_leg_two_burnt", "block_neutral_burnt")
_TOUCHES = ("bake_element_touches_case", "broil_element_touches_case", "surface_element_touches_case")

#: Who complains of little heat has some: a dead oven is called dead.  With bake gone, many ovens get warm by broil.
_LITTLE_SUPPLY = {"supply_208_volts": 0.55, "legs_voltage_low": 0.65, **dict.fromkeys(_BURNT_BLOCK[:2], 0.35)}
_SLOW_OVEN = {
    **_LITTLE_SUPPLY, "bake_connection_burnt": 0.6, "bake_element_open": 0.5, "bake_relay_open": 0.45,
    "bake_harness_open": 0.45, "broil_element_open": 0.3, "broil_relay_open": 0.3, "broil_harness_open": 0.3,
    "oven_door_leaks": 0.3, "oven_vent_covered": 0.2,
}  # fmt: skip
_TEMPERATURE_OFF = {**MISSES_TEMPERATURE, "bake_element_open": 0.4, "bake_relay_open": 0.3, "bake_harness_open": 0.3}
_WEAK_UNIT = {
    **_LITTLE_SUPPLY, "surface_element_weak": 0.9, "surface_receptacle_burnt": 0.35,
    "surface_element_touches_case": 0.1,
}  # fmt: skip

COMPLAINTS = (
    _denies("display_dead", "The display is dead", "display_on"),
    _denies("bake_does_not_heat", "The oven does not heat for baking", "bake_heats"),
    _denies("broil_does_not_heat", "The broiler does not heat", "broil_heats"),
    _shown("oven_slow", "The oven takes long to get hot", _SLOW_OVEN),
    _shown("oven_temperature_off", "The oven is too hot or too cold", _TEMPERATURE_OFF),
    _denies("oven_heats_when_off", "The oven heats though it is off", "oven_cold_at_off", cautions=_OFF_AT_BREAKER),
    _denies("door_does_not_unlock", "The oven door does not lock or unlock", "door_locks"),
    _denies("surface_unit_does_not_heat", "One surface unit does not heat", "surface_unit_heats"),
    _shown("surface_unit_weak", "One surface unit does not get hot enough", _WEAK_UNIT),
    _denies("surface_unit_only_high", "One surface unit is on high at any setting", "surface_unit_regulates"),
    _denies("no_surface_unit_heats", "No surface unit heats", "other_units_heat"),
    _denies("hot_light_stays_on", "The light for a hot surface stays on", "hot_light_right", RADIANT),
    _shown("sensor_error_shown", "The display shows an error of the temperature sensor", SENSOR_ERROR),
    _shown("breaker_trips", "The breaker trips", {
        **dict.fromkeys(_TOUCHES, 0.35), "bake_element_open": 0.03, "broil_element_open": 0.03,
    }, cautions=("Nobody switches a breaker that has tripped twice on again before the range has been looked at.",)),
    _shown("sparks_or_smoke", "It sparked or smoked", {
        "bake_element_open": 0.06, "broil_element_open": 0.05, "surface_receptacle_burnt": 0.15,
        "bake_connection_burnt": 0.15, "broil_connection_burnt": 0.15, **dict.fromkeys(_BURNT_BLOCK, 0.2),
        **dict.fromkeys(_TOUCHES, 0.25),
    }, cautions=_OFF_AT_BREAKER),
    _shown("felt_a_shock", "Somebody felt a shock at the range", {
        **dict.fromkeys(_TOUCHES, 0.05), "block_neutral_burnt": 0.02, "legs_neutral_open": 0.02,
    }, cautions=_OFF_AT_BREAKER),
    _shown("lights_flicker", "The display or lights of the house flicker, or are too bright", {
        "service_neutral_open": 0.7, "legs_neutral_open": 0.2, "block_neutral_burnt": 0.4,
        "block_leg_one_burnt": 0.1,
    }),
    _shown("glass_cracked", "The glass of the cooktop is cracked", {"cooktop_glass_cracked": 0.97}, RADIANT,
           ("Do not switch a cracked cooktop on, and do not clean it wet.",)),
)  # fmt: skip
