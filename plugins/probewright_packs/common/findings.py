"""What readings of common parts may mean beyond the model: judges for a pack's ``probewright_validate``.

A judge takes the context of a reading and yields findings.  Codes (stable): ``sensor_as_thermometer``,
``plug_left_in``, ``average_over_cycles``, ``no_drop_at_all``, ``supply_not_measured``, ``ghost_voltage``,
``silent_about_the_case``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence

import numpy as np

from probewright.packs import (
    IEC_60751,
    Finding,
    ReadingContext,
    common_practice,
    from_memory,
    platinum_temperature,
)
from probewright_packs.common.platinum import PT1000

Judge = Callable[[ReadingContext], Iterator[Finding]]

#: A sound sensor lies between these in any oven that a technician can put a probe into (ohm).
_SENSOR_RANGE = (from_memory(900.0), from_memory(3000.0))
#: A board's input in parallel takes this share off a sensor at most.
_LEAST_IN_PARALLEL = from_memory(0.6)
_FEWEST_CYCLES = common_practice(3.0)
#: Volts that a floating wire shows on a high-impedance input.
_GHOST = (common_practice(5.0), common_practice(85.0))


def judged(judges: Mapping[str, Judge], context: ReadingContext) -> Sequence[Finding]:
    """What the judge of a test says of its reading; one that is rejected already needs no more advice.

    >>> from types import SimpleNamespace
    >>> judged({}, SimpleNamespace(test=SimpleNamespace(id="glow"), checked=SimpleNamespace(verdict="within")))
    ()
    """
    judge = judges.get(context.test.id)
    return () if judge is None or context.checked.verdict == "rejected" else tuple(judge(context))


def platinum_sensor(context: ReadingContext) -> Iterator[Finding]:
    """What temperature a Pt1000's reading would mean, and a board that was read in parallel."""
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


def over_cycles(context: ReadingContext) -> Iterator[Finding]:
    """A temperature that swings was read once."""
    if len(context.reading.values or ()) < _FEWEST_CYCLES:
        yield Finding("average_over_cycles", "note", "One look at an oven says little: it swings about its average.",
                      "Let it settle, and give the values of three cycles or more.")  # fmt: skip


def drop_in_neutral(context: ReadingContext) -> Iterator[Finding]:
    """A neutral that drops exactly nothing."""
    if context.checked.value == 0:
        yield Finding("no_drop_at_all", "note", "Exactly nothing may mean that ground and neutral are joined there.",
                      "Read again with a load on the branch: a sound neutral then drops a little.")  # fmt: skip


def supply_known(context: ReadingContext, *tests: str) -> bool:
    """Whether the supply voltage was given, or read by one of the tests."""
    conditions = context.reading.conditions
    own = conditions is not None and conditions.supply_voltage is not None
    measured = any(reading.test in tests for reading in context.case.readings)
    return own or measured or context.case.conditions.supply_voltage is not None


def current_with_supply(*tests: str) -> Judge:
    """A judge of currents that are low or high where nobody read the supply; ``tests`` are those that read it."""

    def judge(context: ReadingContext) -> Iterator[Finding]:
        if context.checked.verdict == "outside" and not supply_known(context, *tests):
            yield Finding("supply_not_measured", "note", "A current goes with the supply voltage, not measured here.",
                          "Measure it at the same time, or give conditions.supply_voltage.")  # fmt: skip

    return judge


def ghost_voltage(context: ReadingContext) -> Iterator[Finding]:
    """Some tens of volts on an input that drains nothing."""
    value = context.checked.value
    if value is None or not _GHOST[0] <= value <= _GHOST[1]:
        return
    meter = context.case.meters.get(context.reading.meter or "")
    if meter is None or (meter.input != "low_impedance" and meter.input_impedance is None):
        yield Finding("ghost_voltage", "note", f"{value:.0f} V on a high-impedance input may be a floating wire.",
                      "Read again with a low-impedance input.")  # fmt: skip


def element_ohms(context: ReadingContext) -> Iterator[Finding]:
    """The right resistance of a heater says nothing about its insulation."""
    if context.checked.verdict == "within":
        yield Finding("silent_about_the_case", "note", "The right ohms say nothing of whether the coil touches its "
                      "case.", "Read from the element to bare metal of the chassis, too.")  # fmt: skip
