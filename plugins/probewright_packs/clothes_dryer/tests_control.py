"""Tests of timer and board, of the outlet sensor and of the moisture bars."""

from __future__ import annotations

from probewright.packs import Between, Limit, Test, common_practice, from_memory
from probewright_packs.clothes_dryer.commands import HEAT, WET
from probewright_packs.clothes_dryer.options_and_states import (
    ANY_STATE,
    ELECTRONIC,
    HEAT_WITHOUT_TURNING,
    ISOLATED,
    POWERED,
    TIMER,
)
from probewright_packs.clothes_dryer.options_and_states import RUNNING as IN_USE
from probewright_packs.clothes_dryer.wiring import board_powered
from probewright_packs.common.cautions import LIVE_PARTS
from probewright_packs.common.supply import LINE_VOLTAGE
from probewright_packs.common.tables import seen

#: An electronic control shows an error of its outlet sensor.
SENSOR_ERROR = {
    "outlet_sensor_open": 0.9, "outlet_sensor_shorted": 0.9, "outlet_sensor_harness_open": 0.9,
    "outlet_sensor_drifted": 0.03,
}  # fmt: skip
_WIRES = ("outlet_sensor_wire_a", "outlet_sensor_wire_b")


def _sensor(id_: str, title: str, zone: str, between: Between, step: str) -> Test:
    return Test(
        id_, title, "resistance", (ISOLATED,), zone, from_memory(4.0), (between,), unit="ohm", needs=("ambient",),
        when=ELECTRONIC, instrument="multimeter",
        steps=("Let the dryer cool to the temperature of the room.", step,
               "Measure the temperature at the sensor itself and give it with the reading: a thermistor's resistance "
               "alone says nothing."),
    )  # fmt: skip


def _bars(id_: str, title: str, command: str, limit: Limit, step: str) -> Test:
    return Test(
        id_, title, "resistance", (ISOLATED,), "console", from_memory(4.0),
        (Between("moisture", "bars_plug_a", "bars_plug_b"),), unit="ohm", command=command, limits=(limit,),
        when=ELECTRONIC, instrument="multimeter",
        steps=("Pull the plug of the moisture bars off the board and read in the plug.", step),
    )  # fmt: skip


CONTROL_TESTS = (
    seen(
        "timer_advance", "Advance of the timer", ("advances", "stands"), (0.01,), {"timer_motor_dead": (0.96,)},
        state=IN_USE, zone="outside", minutes=6.0, command=HEAT, when=TIMER,
        steps=("Mark how the knob stands, let it run on a timed cycle for five minutes, and look again.",
               "An automatic cycle may advance only once it is warm: use a timed one."),
        cautions=(HEAT_WITHOUT_TURNING,),
    ),
    seen(
        "control_lock", "Lock of the control", ("off", "on"), (0.002,), {"control_locked": (0.97,)}, state=IN_USE,
        zone="outside", minutes=1.0, when=ELECTRONIC,
        steps=("Look for a lock sign or a demonstration sign in the display, and try a key.",),
    ),
    seen(
        "display_error", "Error of the outlet sensor in the display", ("none", "sensor_error"), (0.002,),
        {fault: (chance,) for fault, chance in SENSOR_ERROR.items()}, state=IN_USE, zone="outside", minutes=2.0,
        command=HEAT, without=((board_powered(IN_USE), "none"),), when=ELECTRONIC,
        steps=("Start a heat cycle, look for an error in the display, and find its meaning in the maker's sheet.",),
        cautions=(HEAT_WITHOUT_TURNING,),
    ),
    Test(
        "board_supply_voltage", "Supply voltage at the control board", "voltage", (POWERED,), "console",
        from_memory(4.0), (Between("board", "board_hot", "neutral"),), unit="V", limits=(LINE_VOLTAGE,),
        when=ELECTRONIC, instrument="multimeter", steps=("Read between the board's line and neutral terminals.",),
        cautions=(LIVE_PARTS,),
    ),
    _sensor("outlet_sensor_resistance", "Resistance of the outlet sensor", "cabinet",
            Between("outlet_sensor", "sensor_plug_a", "sensor_plug_b", _WIRES),
            "Pull the sensor's plug and read on the sensor's side of it."),
    _sensor("outlet_sensor_resistance_at_board", "Resistance of outlet sensor and harness at the board's plug",
            "console", Between("outlet_sensor", "board_plug_a", "board_plug_b"),
            "Pull the sensor's plug off the board and read in the plug."),
    seen(
        "moisture_bars", "Moisture bars in the drum", ("clean", "filmed"), (0.045,), {"moisture_bars_coated": (0.85,)},
        state=ANY_STATE, zone="outside", minutes=1.0, when=ELECTRONIC,
        steps=("With the drum standing, look at the two metal bars in it and rub them with a dry finger: a film of "
               "softener is dull and slippery.",),
    ),
    _bars("moisture_bars_wet", "Resistance of the moisture bars with a wet cloth across them", WET,
          Limit(high=common_practice(1e5)), "Lay a wet cloth across both bars, well pressed on, and read."),
    _bars("moisture_bars_dry", "Resistance between the dry moisture bars", "off", Limit(low=common_practice(1e6)),
          "With bars and drum dry and empty, read."),
)  # fmt: skip
