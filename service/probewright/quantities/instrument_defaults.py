"""What is assumed of a meter that a case says little about: each number with its basis.

They are ordinary figures of hand-held service instruments, chosen on the modest side, so that an unknown meter claims
no more than a plain one can.  None is of a particular make.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from probewright.figures import Figure, common_practice, from_memory


@dataclass(frozen=True, slots=True)
class Accuracy:
    """Percent of reading plus counts of the last digit, and what the last digit is worth in the canonical unit.

    With ``display_counts`` the meter ranges by itself: ``resolution`` is that of its lowest range, and each range is
    ten times the one before.
    """

    percent: Figure
    counts: Figure
    resolution: Figure
    display_counts: Figure | None = None


@dataclass(frozen=True, slots=True)
class Electrical:
    """What matters when a meter is part of a circuit, all in ohm."""

    lead_resistance: Figure
    input_impedance: Figure
    beeper_threshold: Figure
    maximum_resistance: Figure


@dataclass(frozen=True, slots=True)
class MeterDefaults:
    """A kind of meter: its name in a sentence, and its accuracy by the kinds of test that it can make."""

    title: str
    accuracy: Mapping[str, Accuracy] = field(default_factory=dict)
    electrical: Electrical | None = None


#: The input of a digital meter's voltage ranges, and of those made low to drain stray voltages.
HIGH_IMPEDANCE = common_practice(10e6)
LOW_IMPEDANCE = common_practice(3e3)
#: How much a probe's contact varies from touch to touch, half-width in ohm.
CONTACT_VARIATION = from_memory(0.1)

_LEADS = common_practice(0.3)
_BEEPER = common_practice(30.0)
_DISPLAY = common_practice(6000.0)
_WATER_HUNDREDTH = common_practice(2.4908891)  # 0.01 inH2O in Pa


def _ranging(percent: float, counts: float, finest: float) -> Accuracy:
    """A 6000-count autoranging display, ``finest`` on its lowest range."""
    return Accuracy(common_practice(percent), common_practice(counts), common_practice(finest), _DISPLAY)


def _fixed(percent: float, counts: float, resolution: float) -> Accuracy:
    """One range."""
    return Accuracy(common_practice(percent), common_practice(counts), common_practice(resolution))


_THERMOCOUPLE_PROBE = Accuracy(common_practice(1.0), from_memory(25.0), common_practice(0.1))
_MANOMETER = Accuracy(common_practice(1.0), common_practice(2.0), _WATER_HUNDREDTH)

_MULTIMETER = MeterDefaults(
    "multimeter",
    MappingProxyType({
        "voltage": _ranging(1.0, 3.0, 1e-4),
        "current": _ranging(1.5, 3.0, 1e-7),
        "resistance": _ranging(1.0, 3.0, 0.1),
        "continuity": _ranging(1.0, 3.0, 0.1),
        "capacitance": _ranging(3.0, 5.0, 1e-11),
        "temperature": _THERMOCOUPLE_PROBE,
    }),
    Electrical(_LEADS, HIGH_IMPEDANCE, _BEEPER, common_practice(40e6)),
)  # fmt: skip

_CLAMP_METER = MeterDefaults(
    "clamp meter",
    MappingProxyType({
        "voltage": _ranging(1.2, 5.0, 0.1),
        "current": _ranging(2.0, 5.0, 0.01),
        "resistance": _ranging(1.2, 5.0, 0.1),
        "continuity": _ranging(1.2, 5.0, 0.1),
        "capacitance": _ranging(4.0, 5.0, 1e-9),
        "temperature": _THERMOCOUPLE_PROBE,
    }),
    Electrical(_LEADS, HIGH_IMPEDANCE, _BEEPER, from_memory(40e3)),
)  # fmt: skip

_INSULATION_TESTER = MeterDefaults(
    "insulation tester",
    MappingProxyType({
        "voltage": _fixed(2.0, 3.0, 1.0),
        "resistance": Accuracy(common_practice(3.0), common_practice(5.0), common_practice(1e4), _DISPLAY),
        "continuity": _fixed(3.0, 5.0, 0.1),
    }),
    Electrical(_LEADS, HIGH_IMPEDANCE, _BEEPER, from_memory(1e9)),
)  # fmt: skip

_GAS_ANALYZER = MeterDefaults(
    "gas analyzer",
    MappingProxyType({
        # Zeroed in clean air beforehand, as whoever takes such readings does.
        "concentration": Accuracy(from_memory(5.0), from_memory(3.0), common_practice(1.0)),
        "temperature": Accuracy(from_memory(0.5), from_memory(20.0), common_practice(0.1)),
        "pressure": _MANOMETER,
    }),
)  # fmt: skip

_THERMOMETER = MeterDefaults(
    "thermometer",
    MappingProxyType({"temperature": Accuracy(from_memory(0.5), from_memory(10.0), common_practice(0.1))}),
)

#: Every kind of meter that a case may name.
METERS: Mapping[str, MeterDefaults] = MappingProxyType({
    "multimeter": _MULTIMETER,
    "clamp_meter": _CLAMP_METER,
    "thermometer": _THERMOMETER,
    "manometer": MeterDefaults("manometer", MappingProxyType({"pressure": _MANOMETER})),
    "gas_analyzer": _GAS_ANALYZER,
    "insulation_tester": _INSULATION_TESTER,
    # Quartz hardly errs; the hand that starts and stops it does, which is the reading's own stray.
    "stopwatch": MeterDefaults("stopwatch", MappingProxyType({"duration": _fixed(0.01, 1.0, 0.1)})),
    "capacitance_meter": MeterDefaults(
        "capacitance meter", MappingProxyType({"capacitance": _ranging(1.0, 5.0, 1e-12)}),
    ),
    "eye": MeterDefaults("eye"),
})  # fmt: skip

#: What is assumed to have been used when a reading names no meter.
USUAL_METER: Mapping[str, str] = MappingProxyType({
    "voltage": "multimeter",
    "current": "clamp_meter",
    "resistance": "multimeter",
    "continuity": "multimeter",
    "capacitance": "multimeter",
    "temperature": "thermometer",
    "pressure": "manometer",
    "concentration": "gas_analyzer",
    "duration": "stopwatch",
    "seen": "eye",
})  # fmt: skip
