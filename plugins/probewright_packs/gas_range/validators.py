"""What a reading on a gas range may mean beyond what the model of the range says.

Codes of findings (stable): ``continuity_is_no_proof``, ``silence_is_no_proof``, ``supply_not_measured``,
``heat_before_reading``, ``sensor_as_thermometer``, ``plug_left_in``, ``average_over_cycles``,
``pressure_of_other_fuel``, ``no_drop_at_all``, ``under_type_test_limit``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from probewright.packs import Finding, ReadingContext, from_memory, hookimpl
from probewright_packs.common.findings import Judge, drop_in_neutral, judged, over_cycles, platinum_sensor, supply_known
from probewright_packs.gas_range.burner_wiring import BURNERS
from probewright_packs.gas_range.tests_gas import CO_TYPE_TEST_LIMIT, MANIFOLD

#: Under this an igniter that conducts has not warmed up, or is far gone (A).
_WARMING = from_memory(1.5)
_NEAR_OTHER_FUEL = from_memory(0.15)


def _continuity(context: ReadingContext) -> Iterator[Finding]:
    if context.checked.seen == "closed":
        yield Finding("continuity_is_no_proof", "note", "An igniter can conduct and yet be too weak to open the valve.",
                      "Measure its current after a minute's heating.")  # fmt: skip
    if context.checked.seen == "open":
        yield Finding("silence_is_no_proof", "note", "A sound cold igniter can read more than a beeper's threshold.",
                      "Measure its resistance: only over range is open.")  # fmt: skip


def _current(context: ReadingContext) -> Iterator[Finding]:
    checked = context.checked
    expected = checked.expected
    if checked.value is None or expected is None or expected.low is None or checked.value >= expected.low:
        return
    if not supply_known(context, "outlet_voltage"):
        yield Finding("supply_not_measured", "note", "The current falls with the supply voltage, not measured here.",
                      "Measure the outlet's voltage, or give conditions.supply_voltage.")  # fmt: skip
    if 0.1 * _WARMING < checked.value < _WARMING:
        yield Finding("heat_before_reading", "doubt", "An igniter that has not warmed up draws little.",
                      "Read after a minute's heating.")  # fmt: skip


def _manifold(context: ReadingContext) -> Iterator[Finding]:
    fuel, value = context.case.options.get("fuel"), context.checked.value
    if fuel is None or value is None or context.checked.verdict == "within":
        return
    for other, pressure in MANIFOLD.items():
        if other != fuel and abs(value / pressure - 1) < _NEAR_OTHER_FUEL:
            yield Finding("pressure_of_other_fuel", "doubt", f"{value:.1f} inH2O suits {other.replace('_', ' ')}.",
                          "Check the rating plate, the regulator's setting and the fuel that is supplied.")  # fmt: skip


def _carbon_monoxide(context: ReadingContext) -> Iterator[Finding]:
    value = context.checked.value
    if value is not None and context.checked.verdict != "within" and value <= CO_TYPE_TEST_LIMIT:
        yield Finding(
            "under_type_test_limit", "note",
            f"Less than the {CO_TYPE_TEST_LIMIT:g} ppm of the type test (ANSI Z21.1) does not make it right in a home.",
        )  # fmt: skip


_JUDGES: Mapping[str, Judge] = MappingProxyType({
    "oven_sensor_resistance": platinum_sensor,
    "oven_sensor_resistance_at_board": platinum_sensor,
    "oven_temperature": over_cycles,
    "manifold_pressure": _manifold,
    "outlet_neutral_to_ground": drop_in_neutral,
    "carbon_monoxide_air_free": _carbon_monoxide,
    **{f"{burner}_igniter_continuity": _continuity for burner in BURNERS},
    **{f"{burner}_igniter_current": _current for burner in BURNERS},
})


@hookimpl
def probewright_validate(context: ReadingContext) -> Sequence[Finding]:
    """Judge one reading by the trade's pitfalls; one that is rejected already needs no more advice."""
    return judged(_JUDGES, context)
