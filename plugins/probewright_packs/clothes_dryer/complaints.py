"""What customers say, and how often they say it with each fault."""

from __future__ import annotations

from probewright.packs import Complaint, When, from_memory
from probewright_packs.clothes_dryer.functions import DRIES_SLOWLY
from probewright_packs.clothes_dryer.options_and_states import ELECTRONIC, GAS
from probewright_packs.clothes_dryer.tests_heat import COLD
from probewright_packs.common.numbers import remembered

#: How often each complaint is made without a cause: by use, by expectation, or by mistake.
_GROUNDLESS = {
    "does_not_start": 0.0005, "hums_and_stands": 0.0002, "no_heat": 0.0005, "warm_at_first_only": 0.0006,
    "drying_takes_long": 0.008, "too_hot": 0.002, "heats_while_drum_stands": 0.00005, "stops_early": 0.003,
    "stops_and_starts_again": 0.0004, "does_not_stop": 0.0005, "noisy": 0.003, "display_dead": 0.0001,
    "burnt_smell": 0.001, "gas_smell": 0.002, "felt_a_shock": 0.0001, "felt_ill_or_alarm": 0.0002,
}  # fmt: skip

_FIRE = (
    "A dryer that smells burnt or gets too hot can be on fire inside: leave it off, do not open its door while it "
    "smokes, and call the fire service when it does.",
)
_MONOXIDE = (
    "A gas dryer whose vent is blocked can give off carbon monoxide: carry a carbon monoxide meter from the door on.",
)


def _denies(
    id_: str, title: str, function: str, when: When | None = None, cautions: tuple[str, ...] = (),
    **also: float,
) -> Complaint:  # fmt: skip
    """A complaint that says that a function fails."""
    return Complaint(id_, title, from_memory(_GROUNDLESS[id_]), function, from_memory(0.9), remembered(also),
                     cautions, when or {})  # fmt: skip


def _shown(
    id_: str, title: str, chances: dict[str, float], when: When | None = None, cautions: tuple[str, ...] = ()
) -> Complaint:
    """A complaint that is a symptom of faults."""
    return Complaint(
        id_, title, from_memory(_GROUNDLESS[id_]), shown_by=remembered(chances), cautions=cautions, when=when or {}
    )

#: Who has no heat at all says so, as a rule; who has some says that it takes long.
_SLOW = {
    **dict.fromkeys(COLD, 0.2),
    **{fault: 0.9 * chance for fault, chance in DRIES_SLOWLY.items()},
    "valve_coils_fail_hot": 0.55, "supply_208_volts": 0.45, "legs_voltage_low": 0.3, "leg_two_on_neutral": 0.8,
    "block_leg_one_burnt": 0.35, "block_leg_two_burnt": 0.35,
}  # fmt: skip

COMPLAINTS = (
    _denies("does_not_start", "It does not start", "drum_turns"),
    _shown("hums_and_stands", "It hums, and the drum does not turn", {
        "motor_start_open": 0.85, "motor_start_contact_open": 0.85, "motor_bearings_seized": 0.7, "drum_jammed": 0.75,
        "blower_jammed": 0.75, "motor_main_open": 0.3, "legs_voltage_low": 0.1, "supply_voltage_low": 0.1,
        "block_neutral_burnt": 0.3, "neutral_connection_bad": 0.2,
    }),
    _denies("no_heat", "The drum turns, and there is no heat", "heats"),
    _shown("warm_at_first_only", "It is warm at first, and cold later in the same load", {
        "valve_coils_fail_hot": 0.7, "vent_blocked": 0.1, "high_limit_open": 0.08, "gas_pressure_wrong": 0.05,
        "cycling_thermostat_opens_early": 0.15,
    }),
    _shown("drying_takes_long", "Drying takes too long", _SLOW),
    _denies("too_hot", "Clothes or cabinet get too hot", "stays_under_its_limit", cautions=_FIRE),
    _denies("heats_while_drum_stands", "It heats while the drum stands, or while it is off", "cold_at_rest",
            cautions=_FIRE),
    _denies("stops_early", "It stops while the clothes are wet", "goes_on_until_dry"),
    _shown("stops_and_starts_again", "It stops in a load, and starts again when it has cooled", {
        "motor_bearings_seized": 0.35, "lint_in_cabinet": 0.25, "vent_blocked": 0.06, "drum_rollers_worn": 0.08,
        "supply_connection_bad": 0.1, "block_leg_one_burnt": 0.1,
    }),
    _denies("does_not_stop", "It does not stop by itself", "ends_by_itself"),
    _denies("noisy", "It squeals, thumps or rubs", "runs_quietly"),
    _denies("display_dead", "The display is dead", "display_on", ELECTRONIC),
    _shown("burnt_smell", "It smells burnt", {
        "lint_in_cabinet": 0.5, "heat_harness_open": 0.3, "block_leg_one_burnt": 0.3, "block_leg_two_burnt": 0.3,
        "block_neutral_burnt": 0.15, "motor_bearings_seized": 0.2, "drum_jammed": 0.15, "vent_blocked": 0.06,
        "cutoff_blown_by_vent": 0.06, "element_touches_case": 0.15, "cycling_thermostat_stuck_closed": 0.15,
        "belt_broken_switch_bridged": 0.3, "supply_connection_bad": 0.1,
    }, cautions=_FIRE),
    _shown("gas_smell", "It smells of gas", {
        "gas_leak": 0.9, "valve_coils_fail_hot": 0.01, "orifice_for_other_fuel": 0.06, "gas_pressure_wrong": 0.06,
    }, GAS, _MONOXIDE),
    _shown("felt_ill_or_alarm", "Somebody felt ill near it, or a carbon monoxide alarm went off", {
        "vent_blocked": 0.03, "orifice_for_other_fuel": 0.08, "burner_air_blocked": 0.08, "gas_pressure_wrong": 0.05,
    }, GAS, _MONOXIDE),
    _shown("felt_a_shock", "Somebody felt a shock on touching it", {
        "element_touches_case": 0.12, "ground_missing": 0.03, "polarity_reversed": 0.01, "service_neutral_open": 0.05,
    }),
)  # fmt: skip
