"""What only the customer can tell: how things stood in the house, and what was done to the dryer."""

from __future__ import annotations

from collections.abc import Mapping

from probewright.packs import Test, When, from_memory
from probewright_packs.clothes_dryer.faults import VENT_BLOCKED
from probewright_packs.clothes_dryer.options_and_states import GAS
from probewright_packs.clothes_dryer.options_and_states import RUNNING as IN_USE
from probewright_packs.common.tables import alike, table

_HISTORY = ("nothing", "moved", "worked_on", "power_out")


def _reported(
    id_: str, title: str, outcomes: tuple[str, ...], healthy: tuple[float, ...],
    rows: Mapping[str, tuple[float, ...]], when: When | None = None,
) -> Test:  # fmt: skip
    return Test(
        id_, title, "seen", (IN_USE,), "outside", from_memory(1.0), (table(outcomes, healthy, rows),),
        outcomes=outcomes, reported=True, steps=("Ask the customer.",), when=when or {},
    )  # fmt: skip


REPORTED_TESTS = (
    _reported("reported_vent", "When the vent was last cleaned, as the customer tells it", ("this_year", "long_ago"),
              (0.5,), {**alike(VENT_BLOCKED, 0.9), "lint_in_cabinet": (0.8,), "lint_screen_clogged": (0.6,)}),
    _reported("reported_history", "What was done to the dryer lately, as the customer tells it", _HISTORY,
              (0.08, 0.05, 0.03), {
                  "vent_blocked": (0.2, 0.03, 0.02), "vent_too_long": (0.55, 0.05, 0.02),
                  "leg_two_on_neutral": (0.7, 0.15, 0.02), "supply_208_volts": (0.8, 0.02, 0.02),
                  "orifice_for_other_fuel": (0.7, 0.15, 0.01), "gas_shut_off": (0.35, 0.3, 0.01),
                  "gas_leak": (0.35, 0.2, 0.01), "belt_broken_switch_bridged": (0.05, 0.7, 0.02),
                  "cutoff_blown_by_vent": (0.08, 0.3, 0.02), "leg_one_dead": (0.1, 0.05, 0.25),
                  "leg_two_dead": (0.1, 0.05, 0.25), "both_legs_dead": (0.1, 0.05, 0.3),
                  "no_supply": (0.15, 0.05, 0.3), "block_leg_one_burnt": (0.2, 0.1, 0.03),
                  "block_leg_two_burnt": (0.2, 0.1, 0.03), "control_locked": (0.1, 0.02, 0.05),
              }),
    _reported("reported_power_elsewhere", "Power elsewhere in the house, as the customer tells it", ("on", "off"),
              (0.01,), {
                  "no_supply": (0.4,), "both_legs_dead": (0.35,), "supply_connection_bad": (0.2,),
                  "neutral_open": (0.3,), "neutral_connection_bad": (0.2,), "service_neutral_open": (0.8,),
                  "leg_one_dead": (0.15,), "leg_two_dead": (0.15,), "legs_voltage_low": (0.3,),
                  "supply_voltage_low": (0.15,), "supply_voltage_high": (0.3,),
              }),
    _reported("reported_other_gas", "Other gas appliances of the house, as the customer tells it", ("work", "fail"),
              (0.01,), {"gas_shut_off": (0.35,)}, GAS),
)  # fmt: skip
