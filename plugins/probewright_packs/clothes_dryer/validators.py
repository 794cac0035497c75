"""What a reading on a clothes dryer may mean beyond what the model of the dryer says.

Codes of findings (stable): ``cold_is_no_proof``, ``silent_about_the_case``, ``closed_cold_may_not_open``,
``ghost_voltage``, ``supply_not_measured``, ``thermistor_as_thermometer``, ``screen_out_or_door_open``,
``read_while_it_stood``, ``vent_before_cutoff``, ``heat_first``, ``burner_went_out``.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from types import MappingProxyType

import numpy as np

from probewright.packs import Finding, Quantity, ReadingContext, common_practice, from_memory, hookimpl, ntc_beta
from probewright_packs.clothes_dryer.wiring import SENSOR_BETA, SENSOR_OHMS

Judge = Callable[[ReadingContext], Iterator[Finding]]

#: Volts that a floating wire shows on a high-impedance input.
_GHOST = (common_practice(5.0), common_practice(85.0))
#: Ohms from which a meter's input no longer drains a floating wire.
_HIGH_IMPEDANCE = from_memory(1e5)
#: Inches of water under which no blower works against a connected vent.
_NO_PRESSURE = from_memory(0.1)
#: Amperes from which a motor stands, or was read before it turned.
_STANDS = from_memory(12.0)
#: Degrees Celsius between which the air was warm, and not yet as warm as it gets.
_WARMING = (from_memory(30.0), from_memory(54.0))
#: Temperatures (degC) at which a dryer's sensor may be read, with the dryer as it is found.
_ROOM_TO_HOT = (from_memory(-10.0), from_memory(100.0))
#: Of the seconds that the rated input takes, how many say that the burner was not on all the time.
_TOO_LONG = from_memory(3.0)
_LOOKS_AT_VENT = frozenset({"vent_back_pressure", "vent_duct", "vent_hood_airflow"})


def _coil(context: ReadingContext) -> Iterator[Finding]:
    if context.checked.verdict == "within":
        yield Finding("cold_is_no_proof", "note", "A coil that reads right when cold can still open when it is hot.",
                      "Watch three calls for heat, or read it within a minute of its failing.")  # fmt: skip


def _element(context: ReadingContext) -> Iterator[Finding]:
    if context.checked.value is not None and context.checked.verdict != "outside":
        yield Finding("silent_about_the_case", "note", "The right ohms say nothing of whether the coil touches its "
                      "case.", "Read from the element to its case, too.")  # fmt: skip


def _flame_sensor(context: ReadingContext) -> Iterator[Finding]:
    if context.checked.seen == "closed":
        yield Finding("closed_cold_may_not_open", "note", "A flame sensor that is closed when cold may fail to open.",
                      "See whether the igniter goes out once it glows, or read the secondary coil's "
                      "voltage.")  # fmt: skip


def _ghost(context: ReadingContext) -> Iterator[Finding]:
    value = context.checked.value
    if value is None or not _GHOST[0] <= value <= _GHOST[1]:
        return
    meter = context.case.meters.get(context.reading.meter or "")
    if meter is not None and (meter.input == "low_impedance" or _drains(meter.input_impedance)):
        return
    yield Finding("ghost_voltage", "note", f"{value:.0f} V on a high-impedance input may be a floating wire.",
                  "Read again with a low-impedance input.")  # fmt: skip


_OHMS = MappingProxyType({"ohm": 1.0, "kohm": 1e3, "Mohm": 1e6})


def _drains(impedance: Quantity | None) -> bool:
    """Whether an input that was given drains a floating wire."""
    return impedance is not None and impedance.value * _OHMS.get(impedance.unit, 1e6) < _HIGH_IMPEDANCE


def _element_current(context: ReadingContext) -> Iterator[Finding]:
    if context.checked.verdict == "outside" and not _supply_known(context):
        yield Finding("supply_not_measured", "note", "The element's current goes with the supply, not measured here.",
                      "Measure from leg to leg, or give conditions.supply_voltage.")  # fmt: skip


def _supply_known(context: ReadingContext) -> bool:
    conditions = context.reading.conditions
    own = conditions is not None and conditions.supply_voltage is not None
    measured = any(reading.test == "legs_voltage" for reading in context.case.readings)
    return own or measured or context.case.conditions.supply_voltage is not None


def _thermistor(context: ReadingContext) -> Iterator[Finding]:
    ohms = context.checked.value
    least, most = (float(ntc_beta(np.array(float(t)), np.array(float(SENSOR_OHMS)), np.array(float(SENSOR_BETA))))
                   for t in reversed(_ROOM_TO_HOT))  # fmt: skip
    if ohms is None or not least <= ohms <= most or (context.ambient is not None and _within(context)):
        return
    # The Beta equation turned round: T = B / (ln(R / R25) + B / 298.15 K).
    kelvin = SENSOR_BETA / (np.log(ohms / SENSOR_OHMS) + SENSOR_BETA / 298.15)
    degrees = float(kelvin) - 273.15
    yield Finding(
        "thermistor_as_thermometer", "note",
        f"A sound sensor of 10 kohm at 25 degC reads {ohms:.0f} ohm at {degrees:.0f} degC "
        f"({degrees * 1.8 + 32:.0f} degF).",
        "Compare with the temperature measured at the sensor, and with the maker's table.",
    )  # fmt: skip


def _within(context: ReadingContext) -> bool:
    return context.checked.verdict == "within"


def _back_pressure(context: ReadingContext) -> Iterator[Finding]:
    value = context.checked.value
    if value is not None and value < _NO_PRESSURE:
        yield Finding("screen_out_or_door_open", "doubt", "So little back pressure comes of an open door, a clogged "
                      "screen, or a vent that is off, as well as of a fan that does not blow.",
                      "Read again with the door closed, a clean screen in, and the vent connected.")  # fmt: skip


def _motor_current(context: ReadingContext) -> Iterator[Finding]:
    value = context.checked.value
    if value is not None and value > _STANDS:
        yield Finding("read_while_it_stood", "note", "That is the current of a motor that stands: a sound one draws it "
                      "too, for a fraction of a second.", "Read three seconds after start, and switch off "
                      "at once when it hums.")  # fmt: skip


def _cutoff(context: ReadingContext) -> Iterator[Finding]:
    blown = context.checked.seen == "open" or context.checked.verdict == "outside"
    looked = any(reading.test in _LOOKS_AT_VENT for reading in context.case.readings)
    if blown and not looked:
        yield Finding("vent_before_cutoff", "note", "It blew by heat: behind a blocked vent the next one blows, too.",
                      "Look into the vent, or read its back pressure, before one is fitted.")  # fmt: skip


def _outlet_temperature(context: ReadingContext) -> Iterator[Finding]:
    value = context.checked.value
    if value is not None and len(context.reading.values or ()) < 2 and _WARMING[0] <= value <= _WARMING[1]:
        yield Finding("heat_first", "note", "Air that is still warming up reads low, too.",
                      "Give the highest reading after the heat has gone out and come back.")  # fmt: skip


def _clocking(context: ReadingContext) -> Iterator[Finding]:
    checked = context.checked
    expected = checked.expected
    if checked.value is None or expected is None or expected.high is None:
        return
    if checked.value > _TOO_LONG * expected.high:
        yield Finding("burner_went_out", "doubt", "So long a time counts minutes without a flame.",
                      "Time a turn of the dial while the burner burns all along.")  # fmt: skip


_FUSES = ("cutoff_continuity", "cutoff_voltage", "thermal_fuse_continuity")
_VOLTAGES = ("control_motor_feed_voltage", "control_motor_output_voltage", "motor_voltage", "heat_feed_voltage",
             "heat_load_voltage", "heat_contact_voltage", "board_supply_voltage", "valve_secondary_voltage")
_JUDGES: Mapping[str, Judge] = MappingProxyType({
    "valve_holding_resistance": _coil,
    "valve_booster_resistance": _coil,
    "valve_secondary_resistance": _coil,
    "element_resistance": _element,
    "flame_sensor_continuity": _flame_sensor,
    "element_current": _element_current,
    "outlet_sensor_resistance": _thermistor,
    "outlet_sensor_resistance_at_board": _thermistor,
    "vent_back_pressure": _back_pressure,
    "motor_current": _motor_current,
    "outlet_temperature": _outlet_temperature,
    "meter_clocking": _clocking,
    **dict.fromkeys(_FUSES, _cutoff),
    **dict.fromkeys(_VOLTAGES, _ghost),
})


@hookimpl
def probewright_validate(context: ReadingContext) -> Sequence[Finding]:
    """Judge one reading by the trade's pitfalls; one that is rejected already needs no more advice."""
    judge = _JUDGES.get(context.test.id)
    return () if judge is None or context.checked.verdict == "rejected" else tuple(judge(context))
