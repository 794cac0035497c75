"""What only the customer can tell: how things stood in the house, and what was done to the range."""

from __future__ import annotations

from collections.abc import Mapping

from probewright.packs import Outcomes, Table, Test, from_memory
from probewright_packs.common.numbers import remembered
from probewright_packs.gas_range.options_and_states import LIVE

_HISTORY = ("nothing", "cleaned", "moved", "worked_on")


def _reported(id_: str, title: str, healthy: Mapping[str, float], by_fault: Mapping[str, Outcomes]) -> Test:
    return Test(
        id_, title, "seen", (LIVE,), "outside", from_memory(1.0), (Table(remembered(healthy), by_fault),),
        outcomes=tuple(healthy), reported=True, steps=("Ask the customer.",),
    )  # fmt: skip


_Told = tuple[dict[str, float], dict[str, Outcomes]]


def _either(usual: str, other: str, healthy: float, by_fault: Mapping[str, float]) -> _Told:
    """Two outcomes; the numbers say how often the other is told."""
    rows: dict[str, Outcomes] = {}
    for fault, chance in by_fault.items():
        rows[fault] = remembered({usual: 1 - chance, other: chance})
    return {usual: 1 - healthy, other: healthy}, rows


def _after(cleaned: float, moved: float, worked_on: float) -> Outcomes:
    """What was done to the range before a fault showed."""
    return remembered(dict(zip(_HISTORY, (1 - cleaned - moved - worked_on, cleaned, moved, worked_on), strict=True)))


_SINCE: dict[str, Outcomes] = {
    "burner_cap_misplaced": _after(0.65, 0.05, 0.05),
    "ignition_switch_stuck_closed": _after(0.5, 0.03, 0.03),
    "spark_electrode_dirty": _after(0.35, 0.05, 0.05),
    "burner_ports_blocked": _after(0.25, 0.05, 0.05),
    "bake_igniter_loose": _after(0.3, 0.1, 0.2),
    "control_locked": _after(0.35, 0.05, 0.05),
    "air_passages_covered": _after(0.3, 0.05, 0.05),
    "gas_shut_off": _after(0.03, 0.35, 0.35),
    "oven_gas_lever_closed": _after(0.05, 0.35, 0.35),
    "gas_leak": _after(0.05, 0.3, 0.25),
    "wrong_orifices_for_fuel": _after(0.03, 0.55, 0.25),
    "regulator_pressure_wrong": _after(0.03, 0.25, 0.25),
    "no_supply": _after(0.05, 0.2, 0.2),
    "supply_cord_open": _after(0.05, 0.3, 0.1),
    "polarity_reversed": _after(0.05, 0.15, 0.3),
}

REPORTED_TESTS = (
    _reported("reported_foil", "Foil or a liner in the oven, as the customer tells it", *_either(
        "none", "lined", 0.1, {"air_passages_covered": 0.75})),
    _reported("reported_history", "What was done to the range lately, as the customer tells it",
              dict(zip(_HISTORY, (0.72, 0.16, 0.06, 0.06), strict=True)), _SINCE),
    _reported("reported_other_gas", "Other gas appliances of the house, as the customer tells it", *_either(
        "work", "fail", 0.01, {"gas_shut_off": 0.5})),
    _reported("reported_power_elsewhere", "Power elsewhere in the kitchen, as the customer tells it", *_either(
        "on", "off", 0.01, {
            "no_supply": 0.45, "supply_connection_bad": 0.25, "neutral_open": 0.4, "neutral_connection_bad": 0.25,
            "supply_voltage_low": 0.08, "supply_voltage_high": 0.05,
        })),
)  # fmt: skip
