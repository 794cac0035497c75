"""What only the customer can tell: how things stood in the house, and what was done to the range."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from probewright.packs import Test, from_memory
from probewright_packs.common.tables import table
from probewright_packs.electric_range.options_and_states import IN_USE


def _reported(id_: str, title: str, outcomes: tuple[str, ...], healthy: Sequence[float],
              rows: Mapping[str, Sequence[float]]) -> Test:  # fmt: skip
    return Test(
        id_, title, "seen", (IN_USE,), "outside", from_memory(1.0), (table(outcomes, healthy, rows),),
        outcomes=outcomes, reported=True, steps=("Ask the customer.",),
    )  # fmt: skip


REPORTED_TESTS = (
    _reported(
        "reported_power_elsewhere", "Lights and outlets of the house, as the customer tells it",
        ("usual", "off", "too_bright_or_dim"), (0.008, 0.008),
        {"service_neutral_open": (0.03, 0.8), "legs_voltage_low": (0.02, 0.3), "both_legs_dead": (0.25, 0.01),
         "leg_one_dead": (0.1, 0.03), "leg_two_dead": (0.1, 0.03), "legs_neutral_open": (0.02, 0.06)},
    ),
    _reported(
        "reported_building", "Kind of building, as the customer tells it", ("house", "large_building"), (0.2,),
        {"supply_208_volts": (0.93,)},
    ),
    _reported(
        "reported_history", "What was done to the range lately, as the customer tells it",
        ("nothing", "self_cleaned", "cleaned", "moved_or_new"), (0.04, 0.12, 0.06),
        {"oven_limit_open": (0.4, 0.1, 0.03), "latch_switch_wrong": (0.5, 0.06, 0.03), "latch_jammed": (0.5, 0.1, 0.03),
         "latch_motor_open": (0.4, 0.06, 0.03), "bake_element_open": (0.15, 0.1, 0.03),
         "oven_sensor_open": (0.2, 0.06, 0.03), "control_locked": (0.03, 0.4, 0.05),
         "surface_receptacle_burnt": (0.03, 0.3, 0.03), "supply_208_volts": (0.02, 0.08, 0.7),
         "both_legs_dead": (0.03, 0.05, 0.25), "block_leg_one_burnt": (0.06, 0.06, 0.25),
         "block_leg_two_burnt": (0.06, 0.06, 0.25), "oven_vent_covered": (0.03, 0.4, 0.05)},
    ),
    _reported(
        "reported_element_went", "How the oven's element went, as the customer tells it",
        ("nothing_seen", "bright_spot_or_bang"), (0.01,),
        {"bake_element_open": (0.35,), "broil_element_open": (0.3,), "bake_element_touches_case": (0.4,),
         "broil_element_touches_case": (0.35,)},
    ),
)  # fmt: skip
