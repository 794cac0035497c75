"""What a reading on an electric range may mean beyond what the model of the range says.

Codes of findings (stable): ``glows_is_no_proof``, ``whole_is_no_proof``, ``half_the_voltage``, ``may_be_fed_back``,
``too_few_ohms``, and those of :mod:`probewright_packs.common.findings`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from probewright.packs import Finding, ReadingContext, from_memory, hookimpl
from probewright_packs.common.findings import (
    Judge,
    current_with_supply,
    drop_in_neutral,
    element_ohms,
    ghost_voltage,
    judged,
    over_cycles,
    platinum_sensor,
)
from probewright_packs.electric_range.tests_oven import REACHED
from probewright_packs.electric_range.wiring import ELEMENTS

#: Volts from leg to leg that are those of one leg alone.
_ONE_LEG = (from_memory(105.0), from_memory(135.0))

#: What is read from leg to leg.
_BETWEEN_LEGS = frozenset({"legs_voltage", "block_voltage_under_load"})


def _glow(context: ReadingContext) -> Iterator[Finding]:
    if context.checked.seen == "glows":
        yield Finding("glows_is_no_proof", "note", "An element that touches its sheath can glow all the same.",
                      "Read from the element to the chassis where it heats at off, or trips the breaker.")  # fmt: skip


def _look(context: ReadingContext) -> Iterator[Finding]:
    if context.checked.seen == "whole":
        yield Finding("whole_is_no_proof", "note", "An element that looks whole can be open inside.",
                      "Read its resistance, with a lead off.")  # fmt: skip


def _ohms(context: ReadingContext) -> Iterator[Finding]:
    checked = context.checked
    low = checked.expected.low if checked.expected is not None else None
    if checked.value is not None and low is not None and checked.verdict == "outside" and checked.value < low:
        yield Finding("too_few_ohms", "doubt", f"{checked.value:.1f} ohm is less than any sound element of its kind "
                      "has: something lies in parallel, or the sheath bridges part of the coil.",
                      "Pull both leads, read again, and read to bare metal of the chassis.")  # fmt: skip
    yield from element_ohms(context)


def _across(context: ReadingContext) -> Iterator[Finding]:
    value = context.checked.value
    if value is not None and _ONE_LEG[0] <= value <= _ONE_LEG[1]:
        yield Finding("half_the_voltage", "note", f"{value:.0f} V across a heater for 240 V is one leg against "
                      "neutral or chassis: a quarter of the heat.",
                      "Read each leg to neutral at the terminal block.")  # fmt: skip
    yield from ghost_voltage(context)


def _one_leg(context: ReadingContext) -> Iterator[Finding]:
    read = {reading.test for reading in context.case.readings}
    if context.checked.verdict == "within" and not read & _BETWEEN_LEGS:
        yield Finding("may_be_fed_back", "note", "A dead leg reads whole while an element joins it to the other one.",
                      "Read from leg to leg, too: nothing stands there when one of them is fed back.")  # fmt: skip


_CURRENT = current_with_supply("legs_voltage")

_JUDGES: Mapping[str, Judge] = MappingProxyType({
    "oven_sensor_resistance": platinum_sensor,
    "oven_sensor_resistance_at_board": platinum_sensor,
    "oven_temperature": over_cycles,
    "legs_neutral_to_ground": drop_in_neutral,
    "legs_voltage": _across,
    "block_voltage_under_load": _across,
    "surface_switch_voltage": _across,
    "surface_element_voltage": _across,
    "surface_element_current": _CURRENT,
    **{f"leg_{leg}_to_chassis_under_load": _one_leg for leg in ("one", "two")},
    "coil_resistance": _ohms,
    "radiant_element_resistance": _ohms,
    **{f"{name}_element_current": _CURRENT for name in ELEMENTS},
    **{f"{prefix}_voltage": _across for prefix, *_ in REACHED},
    **{f"{prefix}_resistance": _ohms for prefix, *_ in REACHED},
    **{f"{name}_element_condition": _look for name in ELEMENTS},
    **{f"{name}_glow": _glow for name in ELEMENTS},
})


@hookimpl
def probewright_validate(context: ReadingContext) -> Sequence[Finding]:
    """Judge one reading by the trade's pitfalls."""
    return judged(_JUDGES, context)
