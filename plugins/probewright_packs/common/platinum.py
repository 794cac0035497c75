"""A platinum temperature sensor with its harness up to a board's plug, and what can be wrong with it."""

from __future__ import annotations

from probewright.packs import (
    IEC_60751,
    TRADE_3750,
    Circuit,
    Option,
    OptionValue,
    Part,
    Platinum,
    PlatinumCurve,
    When,
    exactly,
    from_memory,
    normal,
    published,
)
from probewright_packs.common.numbers import NOTHING
from probewright_packs.common.sensor import harnessed

PT1000 = published(1000.0, "IEC 60751: nominal resistance of a Pt1000 at 0 degC")


def curve_option(when: When) -> Option:
    """Which curve the sensor follows; near room temperature the two lie closer than any meter and thermometer tell."""
    return Option(
        "sensor_curve", "Curve of the platinum sensor",
        (OptionValue("iec_60751", "IEC 60751, 3851 ppm/K", from_memory(0.8)),
         OptionValue("trade_3750", "3750 ppm/K, in no standard", from_memory(0.2))),
        when,
    )  # fmt: skip


def _sensor(name: str, curve: PlatinumCurve) -> Part:
    # Appliance sensors come without a tolerance class: 1.5 K lies between classes B and C of IEC 60751 when hot.
    law = Platinum(exactly(PT1000), normal(NOTHING, from_memory(1.5)), curve)
    return Part(name, "sensor_plug_a", "sensor_plug_b", law, {"sensor_curve": curve.id})


def sensor_circuit(circuit: str, name: str, when: When) -> Circuit:
    """Board plug, two wires, sensor, and insulation to the chassis; faults are ``name``_open, _shorted and so on."""
    return harnessed(circuit, name, (_sensor(name, IEC_60751), _sensor(name, TRADE_3750)), when)
