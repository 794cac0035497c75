"""What any resistive temperature sensor shares: two wires to a board's plug, insulation, and their faults."""

from __future__ import annotations

from probewright.packs import Circuit, Drift, Leak, Open, Part, Resistance, Short, When
from probewright_packs.common.numbers import decades, evenly
from probewright_packs.common.supply import FREQUENCY


def harnessed(circuit: str, name: str, sensors: tuple[Part, ...], when: When) -> Circuit:
    """A circuit of board plug, two wires, the sensor in each of its builds, and insulation to the chassis.

    The sensors lie between ``sensor_plug_a`` and ``sensor_plug_b``, and are all called ``name``.
    """
    return Circuit(
        id=circuit,
        reference="chassis",
        frequency=FREQUENCY,
        parts=(
            Part(f"{name}_wire_a", "board_plug_a", "sensor_plug_a", Resistance(evenly(0.05, 0.3))),
            Part(f"{name}_wire_b", "board_plug_b", "sensor_plug_b", Resistance(evenly(0.05, 0.3))),
            *sensors,
            Part(f"{name}_insulation", "sensor_plug_a", "chassis", Resistance(decades(2e7, 2e9))),
        ),
        changes={
            f"{name}_open": (Open(name),),
            f"{name}_shorted": (Short(name, decades(0.1, 20.0)),),
            f"{name}_drifted": (Drift(name, evenly(0.9, 1.2)),),
            f"{name}_harness_open": (Open(f"{name}_wire_a"),),
            f"{name}_leaks_to_chassis": (Leak("sensor_plug_a", "chassis", decades(100.0, 5e5)),),
        },
        when=when,
    )
