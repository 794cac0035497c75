"""A thermistor with its harness up to a board's plug, and what can be wrong with it: as ``platinum`` for platinum."""

from __future__ import annotations

from probewright.packs import Circuit, Figure, Part, Spread, Thermistor, When, exactly, normal
from probewright_packs.common.sensor import harnessed


def thermistor_circuit(circuit: str, name: str, at_25: Spread, beta: Spread, when: When | None = None) -> Circuit:
    """Board plug, two wires, thermistor, and insulation to the chassis; faults are ``name``_open, _shorted and so on.

    ``at_25`` are ohms at 25 degC, ``beta`` kelvin, by the Beta equation.  Nodes: ``board_plug_a`` and ``_b``,
    ``sensor_plug_a`` and ``_b``, ``chassis``.

    >>> from probewright.packs import from_memory
    >>> outlet = thermistor_circuit("outlet_sensor", "thermistor", *ntc(from_memory(10e3), from_memory(3950.0)))
    >>> sorted(outlet.changes)[0]
    'thermistor_drifted'
    """
    law = Thermistor(at_25, beta)
    return harnessed(circuit, name, (Part(name, "sensor_plug_a", "sensor_plug_b", law),), when or {})


def ntc(ohms: Figure, beta: Figure, share: float = 0.025) -> tuple[Spread, Spread]:
    """Ohms at 25 degC within a standard deviation of ``share``, and Beta as it stands.

    >>> from probewright.packs import from_memory
    >>> ntc(from_memory(10e3), from_memory(3950.0))[0].median
    10000.0
    """
    deviation = Figure(share * ohms, "from_memory", "from memory: appliance thermistors are good to some 5 %")
    return normal(ohms, deviation), exactly(beta)
