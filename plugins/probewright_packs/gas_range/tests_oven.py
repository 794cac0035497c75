"""Tests of the oven apart from its burners: sensor, control, temperature, air and door."""

from __future__ import annotations

from probewright.packs import (
    Between,
    Outcomes,
    Stated,
    Table,
    Test,
    from_memory,
    normal,
)
from probewright_packs.common.cautions import HOT_PARTS, LIVE_PARTS, ODOUR_FIRST
from probewright_packs.common.numbers import NOTHING, around, evenly, remembered
from probewright_packs.common.oven import OVEN_DEVIATION, oven_sensor_tests
from probewright_packs.common.supply import LINE_VOLTAGE
from probewright_packs.gas_range.functions import SENSOR_ERROR
from probewright_packs.gas_range.options_and_states import ELECTRONIC, ISOLATED, LIVE, LIVE_GAS_OFF, OVEN_PILOT
from probewright_packs.gas_range.wiring import board_powered


def _temperature() -> Test:
    by_fault = {
        "oven_sensor_drifted": around(-15.0, 25.0),
        "oven_sensor_leaks_to_chassis": around(10.0, 35.0),
        "board_offset_wrong": evenly(-40.0, 40.0),
        "thermostat_out_of_calibration": evenly(-50.0, 50.0),
        "oven_door_leaks": around(-15.0, 10.0),
        "bake_igniter_weak": around(-12.0, 15.0),
        "wrong_orifices_for_fuel": around(0.0, 20.0),
        "regulator_pressure_wrong": around(0.0, 15.0),
        "air_passages_covered": around(0.0, 20.0),
    }
    return Test(
        "oven_temperature", "Temperature in the oven, averaged over cycles", "temperature", (LIVE,), "oven_cavity",
        from_memory(35.0), (Stated(normal(NOTHING, OVEN_DEVIATION), by_fault, "set_point"),), unit="degC",
        command="bake", needs=("set_point",), instrument="thermometer",
        steps=("Put back the oven bottom, the flame spreader and one rack.",
               "Hang the probe at the centre of the oven, clear of metal, and close the door on its lead.",
               "Set the oven and let it settle for several cycles of the burner.",
               "Average the highest and the lowest of three cycles or more; give them as repeated values."),
        cautions=(HOT_PARTS, "Ventilate the room."),
    )  # fmt: skip


def _error_shown() -> Table:
    error = {fault: remembered({"none": 1 - chance, "sensor_error": chance}) for fault, chance in SENSOR_ERROR.items()}
    return Table(remembered({"none": 0.998, "sensor_error": 0.002}), error,
                 without=((board_powered(LIVE_GAS_OFF), "none"),))  # fmt: skip


_CONTROL = (
    Test(
        "board_supply_voltage", "Supply voltage at the control board", "voltage", (LIVE_GAS_OFF,), "control_panel",
        from_memory(4.0), (Between("board", "board_hot", "neutral"),), unit="V", limits=(LINE_VOLTAGE,),
        when=ELECTRONIC, instrument="multimeter", steps=("Read between the board's line and neutral terminals.",),
        cautions=(LIVE_PARTS,),
    ),
    Test(
        "control_lock", "Lock or demonstration mode of the control", "seen", (LIVE_GAS_OFF, LIVE), "outside",
        from_memory(1.0),
        (Table(remembered({"off": 0.998, "on": 0.002}), {"control_locked": remembered({"off": 0.03, "on": 0.97})}),),
        outcomes=("off", "on"), when=ELECTRONIC,
        steps=("Look for a lock sign or a demonstration sign in the display, and try a key.",),
    ),
    Test(
        "display_error", "Error of the temperature sensor in the display", "seen", (LIVE_GAS_OFF, LIVE), "outside",
        from_memory(2.0), (_error_shown(),), command="bake", outcomes=("none", "sensor_error"), when=ELECTRONIC,
        steps=("Call for bake, and look for an error in the display; find its meaning in the maker's sheet.",
               "Set the oven to off."),
        cautions=(ODOUR_FIRST, HOT_PARTS),
    ),
)  # fmt: skip


def _seen(
    id_: str, title: str, zone: str, outcomes: tuple[str, str], *, by_fault: dict[str, Outcomes], healthy: float,
    steps: tuple[str, ...], cautions: tuple[str, ...] = (),
) -> Test:  # fmt: skip
    table = Table(remembered(dict(zip(outcomes, (healthy, 1 - healthy), strict=True))), by_fault)
    return Test(id_, title, "seen", (ISOLATED,), zone, from_memory(2.0), (table,), outcomes=outcomes,
                steps=steps, cautions=cautions)  # fmt: skip


_CAVITY = (
    _seen("air_passages", "Air passages of oven and burners", "oven_cavity", ("clear", "covered"),
          by_fault={"air_passages_covered": remembered({"clear": 0.03, "covered": 0.97})}, healthy=0.97,
          steps=("Look for foil, liners and spills that lie, or lay, over oven bottom, vents and burners.",),
          cautions=("Covered passages make carbon monoxide and overheat the range.",)),
    _seen("oven_door_seal", "Seal of the oven door", "oven_cavity", ("sound", "gapped"),
          by_fault={"oven_door_leaks": remembered({"sound": 0.1, "gapped": 0.9})}, healthy=0.95,
          steps=("Look along the gasket and the closed door for gaps, tears and worn hinges.",)),
)  # fmt: skip

_PILOT = (
    Test(
        "oven_pilot_flame", "Pilot flame of the oven", "seen", (LIVE,), "oven_cavity", from_memory(2.0),
        (Table(remembered({"blue": 0.97, "yellow_or_small": 0.025, "out": 0.005}),
               {"oven_pilot_out": remembered({"blue": 0.01, "yellow_or_small": 0.02, "out": 0.97}),
                "gas_shut_off": remembered({"blue": 0.01, "yellow_or_small": 0.02, "out": 0.97}),
                "oven_gas_lever_closed": remembered({"blue": 0.01, "yellow_or_small": 0.02, "out": 0.97}),
                "oven_pilot_safety_failed": remembered({"blue": 0.7, "yellow_or_small": 0.28, "out": 0.02})}),),
        outcomes=("blue", "yellow_or_small", "out"), when=OVEN_PILOT,
        steps=("Look at the pilot with every knob off, without lighting it.",),
        cautions=(ODOUR_FIRST, "Unburnt gas gathers where a pilot is out: air the oven before anything is lit."),
    ),
    Test(
        "oven_pilot_safety_response", "Response of the pilot's safety device", "seen", (LIVE,), "oven_cavity",
        from_memory(4.0),
        (Table(remembered({"opens": 0.97, "stays_shut": 0.03}),
               {"oven_pilot_safety_failed": remembered({"opens": 0.05, "stays_shut": 0.95}),
                "bake_valve_stuck": remembered({"opens": 0.1, "stays_shut": 0.9}),
                "oven_pilot_out": remembered({"opens": 0.01, "stays_shut": 0.99})}),),
        command="bake", outcomes=("opens", "stays_shut"), when=OVEN_PILOT,
        steps=("With the pilot burning, set the oven to bake.",
               "Watch whether the pilot's flame grows onto the sensing tip and the burner lights within minutes."),
        cautions=(HOT_PARTS, "Keep clear of the burner: it may light at once.",
                  "Set the oven to off when the burner has not lit after a few minutes, and air it."),
    ),
)  # fmt: skip

OVEN_TESTS = (
    *oven_sensor_tests(ISOLATED, "rear_panel", "control_panel", ELECTRONIC), _temperature(), *_CONTROL, *_CAVITY,
    *_PILOT,
)  # fmt: skip
