"""What electric and gas ovens share: the tests of a platinum sensor, and how far an oven may be off."""

from __future__ import annotations

from probewright.packs import Between, Figure, Limit, Test, When, common_practice, from_memory

#: The trade's rule of thumb: averages within 25 degF of the set point; in kelvin.
OVEN_TOLERANCE = common_practice(25.0 / 1.8)
#: The rule of thumb as the middle 99 % of sound ovens: 2.576 standard deviations each way.
OVEN_DEVIATION = Figure(OVEN_TOLERANCE / 2.576, "common_practice", "25 degF either way as the middle 99 %")
_WIRES = ("oven_sensor_wire_a", "oven_sensor_wire_b")


def oven_sensor_tests(isolated: str, at_plug: str, at_board: str, when: When | None = None) -> tuple[Test, ...]:
    """The sensor at its plug, with its harness at the board's plug, and to the chassis.

    The circuit is that of :func:`~probewright_packs.common.platinum.sensor_circuit`, called ``sensor``, of a sensor
    called ``oven_sensor``; ``at_plug`` and ``at_board`` are the zones of the two plugs.

    >>> [test.zone for test in oven_sensor_tests("isolated", "rear", "panel")]
    ['rear', 'panel', 'rear']
    """

    def ohms(id_: str, title: str, zone: str, between: Between, step: str) -> Test:
        return Test(
            id_, title, "resistance", (isolated,), zone, from_memory(5.0), (between,), unit="ohm", needs=("ambient",),
            when=when or {}, instrument="multimeter",
            steps=("Let the oven cool to the temperature of the room.", step,
                   "Measure the temperature at the sensor itself and give it with the reading."),
        )  # fmt: skip

    return (
        ohms("oven_sensor_resistance", "Resistance of the oven sensor", at_plug,
             Between("sensor", "sensor_plug_a", "sensor_plug_b", _WIRES),
             "Pull the sensor's plug and read on the sensor's side of it."),
        ohms("oven_sensor_resistance_at_board", "Resistance of sensor and harness at the board's plug", at_board,
             Between("sensor", "board_plug_a", "board_plug_b"),
             "Pull the sensor's plug off the board and read in the plug."),
        Test(
            "oven_sensor_to_chassis", "Resistance from the oven sensor to the chassis", "resistance", (isolated,),
            at_plug, from_memory(3.0), (Between("sensor", "sensor_plug_a", "chassis", _WIRES),), unit="ohm",
            limits=(Limit(low=common_practice(1e6)),), when=when or {}, instrument="multimeter",
            steps=("Pull the sensor's plug and read from one of its wires to bare metal of the chassis.",),
        ),
    )  # fmt: skip
