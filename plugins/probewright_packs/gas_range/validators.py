"""What a reading on a gas range may mean beyond what the model of the range says.

Codes of findings (stable): ``continuity_is_no_proof``, ``silence_is_no_proof``, ``supply_not_measured``,
``heat_before_reading``, ``sensor_as_thermometer``, ``plug_left_in``, ``average_over_cycles``,
``pressure_of_other_fuel``, ``no_drop_at_all``, ``under_type_test_limit``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType

import numpy as np

from probewright.packs import (
    IEC_60751,
    Finding,
    ReadingContext,
    common_practice,
    from_memory,
    hookimpl,
    platinum_temperature,
)
from probewright_packs.common.platinum import PT1000
from probewright_packs.gas_range.burner_wiring import BURNERS
from probewright_packs.gas_range.tests_gas import CO_TYPE_TEST_LIMIT, MANIFOLD

Judge = Callable[[ReadingContext], Iterator[Finding]]

#: A sound sensor lies between these in any oven that a technician can put a probe into (ohm).
_SENSOR_RANGE = (from_memory(900.0), from_memory(3000.0))
#: A board's input in parallel takes this share off a sensor at most.
_LEAST_IN_PARALLEL = from_memory(0.6)
#: Under this an igniter that conducts has not warmed up, or is far gone (A).
_WARMING = from_memory(1.5)
_FEWEST_CYCLES = common_practice(3.0)
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
    if not _supply_known(context):
        yield Finding("supply_not_measured", "note", "The current falls with the supply voltage, not measured here.",
                      "Measure the outlet's voltage, or give conditions.supply_voltage.")  # fmt: skip
    if 0.1 * _WARMING < checked.value < _WARMING:
        yield Finding("heat_before_reading", "doubt", "An igniter that has not warmed up draws little.",
                      "Read after a minute's heating.")  # fmt: skip


def _supply_known(context: ReadingContext) -> bool:
    conditions = context.reading.conditions
    own = conditions is not None and conditions.supply_voltage is not None
    measured = any(reading.test == "outlet_voltage" for reading in context.case.readings)
    return own or measured or context.case.conditions.supply_voltage is not None


def _sensor(context: ReadingContext) -> Iterator[Finding]:
    checked, ohms = context.checked, context.checked.value
    if ohms is None or not _SENSOR_RANGE[0] <= ohms <= _SENSOR_RANGE[1]:
        return
    if context.ambient is None or checked.verdict == "outside":
        degrees = float(platinum_temperature(np.array(ohms), np.array(float(PT1000)), IEC_60751))
        yield Finding(
            "sensor_as_thermometer", "note",
            f"A sound sensor reads {ohms:.0f} ohm at {degrees:.0f} degC ({degrees * 1.8 + 32:.0f} degF).",
            "Compare with the temperature measured at the sensor.",
        )  # fmt: skip
    low = checked.expected.low if checked.expected is not None else None
    if context.ambient is not None and low is not None and _LEAST_IN_PARALLEL * low < ohms < low:
        yield Finding("plug_left_in", "doubt", "A board that is still plugged in lowers the reading.",
                      "Pull the plug and read on the sensor's side.")  # fmt: skip


def _oven_temperature(context: ReadingContext) -> Iterator[Finding]:
    if len(context.reading.values or ()) < _FEWEST_CYCLES:
        yield Finding("average_over_cycles", "note", "One look at an oven says little: it swings about its average.",
                      "Let it settle, and give the values of three cycles or more.")  # fmt: skip


def _manifold(context: ReadingContext) -> Iterator[Finding]:
    fuel, value = context.case.options.get("fuel"), context.checked.value
    if fuel is None or value is None or context.checked.verdict == "within":
        return
    for other, pressure in MANIFOLD.items():
        if other != fuel and abs(value / pressure - 1) < _NEAR_OTHER_FUEL:
            yield Finding("pressure_of_other_fuel", "doubt", f"{value:.1f} inH2O suits {other.replace('_', ' ')}.",
                          "Check the rating plate, the regulator's setting and the fuel that is supplied.")  # fmt: skip


def _neutral_to_ground(context: ReadingContext) -> Iterator[Finding]:
    if context.checked.value == 0:
        yield Finding("no_drop_at_all", "note", "Exactly nothing may mean that ground and neutral are joined there.",
                      "Read again with a load on the branch: a sound neutral then drops a little.")  # fmt: skip


def _carbon_monoxide(context: ReadingContext) -> Iterator[Finding]:
    value = context.checked.value
    if value is not None and context.checked.verdict != "within" and value <= CO_TYPE_TEST_LIMIT:
        yield Finding(
            "under_type_test_limit", "note",
            f"Less than the {CO_TYPE_TEST_LIMIT:g} ppm of the type test (ANSI Z21.1) does not make it right in a home.",
        )  # fmt: skip


_JUDGES: Mapping[str, Judge] = MappingProxyType({
    "oven_sensor_resistance": _sensor,
    "oven_sensor_resistance_at_board": _sensor,
    "oven_temperature": _oven_temperature,
    "manifold_pressure": _manifold,
    "outlet_neutral_to_ground": _neutral_to_ground,
    "carbon_monoxide_air_free": _carbon_monoxide,
    **{f"{burner}_igniter_continuity": _continuity for burner in BURNERS},
    **{f"{burner}_igniter_current": _current for burner in BURNERS},
})


@hookimpl
def probewright_validate(context: ReadingContext) -> Sequence[Finding]:
    """Judge one reading by the trade's pitfalls; one that is rejected already needs no more advice."""
    judge = _JUDGES.get(context.test.id)
    return () if judge is None or context.checked.verdict == "rejected" else tuple(judge(context))
