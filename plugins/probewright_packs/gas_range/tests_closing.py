"""Tests that only prove work: looked at and measured when the range is put back into use, never to find a fault.

What they show under each fault is said all the same, so that one that fails points to what it may be.
"""

from __future__ import annotations

from collections.abc import Mapping

from probewright.packs import Limit, Outcomes, Stated, Table, Test, common_practice, from_memory
from probewright_packs.common.cautions import HOT_PARTS, LICENCES, NO_FLAME, ODOUR_FIRST
from probewright_packs.common.gas import CO_ROOM_LIMIT
from probewright_packs.common.numbers import decades, remembered, within_a_factor
from probewright_packs.gas_range.burner_wiring import BURNERS, valve_opens
from probewright_packs.gas_range.functions import ALL_BURNERS, FUNCTIONS, ONE_BURNER
from probewright_packs.gas_range.options_and_states import (
    COOKTOP_SPARK,
    ELECTRONIC,
    FLAME_SENSING,
    ISOLATED,
    LIVE,
    LIVE_GAS_OFF,
)
from probewright_packs.gas_range.wiring import board_powered, spark_module_powered

#: Ohms from the cord's ground pin to the chassis, on a hand-held meter.
GROUND_LIMIT = common_practice(1.0)

_FLAMES = ("blue", "yellow_or_sooty", "lifting")


def _seen(
    id_: str, title: str, outcomes: tuple[str, ...], table: Table | tuple[Table, ...], *, minutes: float,
    steps: tuple[str, ...], cautions: tuple[str, ...] = (), command: str = "off", states: tuple[str, ...] = (LIVE,),
    when: Mapping[str, str | tuple[str, ...]] | None = None,
) -> Test:  # fmt: skip
    models = table if isinstance(table, tuple) else (table,)
    return Test(id_, title, "seen", states, "outside", from_memory(minutes), models, command=command,
                outcomes=outcomes, steps=steps, cautions=cautions, closing=True, when=when or {})  # fmt: skip


def _two(outcomes: tuple[str, str], sound: float, fails: Mapping[str, float], **more: object) -> Table:
    """Two outcomes: how often a sound range shows the first, and how often each fault brings the second about."""
    by_fault = {fault: _split(outcomes, 1 - chance) for fault, chance in fails.items()}
    return Table(_split(outcomes, sound), by_fault, **more)  # type: ignore[arg-type]  # fields of the record


def _split(outcomes: tuple[str, str], first: float) -> Outcomes:
    return remembered(dict(zip(outcomes, (first, 1 - first), strict=True)))


def _flames(**rows: tuple[float, float, float]) -> Table:
    by_fault = {fault: remembered(dict(zip(_FLAMES, row, strict=True))) for fault, row in rows.items()}
    return Table(remembered(dict(zip(_FLAMES, (0.98, 0.015, 0.005), strict=True))), by_fault)


_OVEN_FLAMES = _seen(
    "oven_flames", "Flames of the oven burners", _FLAMES,
    _flames(air_passages_covered=(0.3, 0.65, 0.05), wrong_orifices_for_fuel=(0.2, 0.55, 0.25),
            regulator_pressure_wrong=(0.45, 0.25, 0.3), oven_door_leaks=(0.93, 0.05, 0.02)),
    minutes=5.0, command="bake",
    steps=("Put the oven together, light one burner after the other and look along the whole of each.",
           "Wait until it is warm: flames that are blue, steady and seated, without yellow tips, are sound.",
           "Set the oven to off."),
    cautions=(ODOUR_FIRST, HOT_PARTS),
)  # fmt: skip

_SURFACE_FLAMES = _seen(
    "surface_flames", "Flames of the surface burners", _FLAMES,
    _flames(burner_ports_blocked=(0.25, 0.65, 0.1), burner_cap_misplaced=(0.25, 0.65, 0.1),
            wrong_orifices_for_fuel=(0.15, 0.6, 0.25), regulator_pressure_wrong=(0.4, 0.3, 0.3)),
    minutes=4.0, command="light",
    steps=("Light every surface burner and look at it high and low: blue and steady all around, without soot.",
           "Turn every knob to off."),
    cautions=(ODOUR_FIRST, HOT_PARTS),
)  # fmt: skip

_SURFACE_LIGHTING = _seen(
    "surface_burners_lighting", "Lighting of every surface burner", ("all_light", "some_fail", "none_lights"),
    Table(
        remembered({"all_light": 0.99, "some_fail": 0.009, "none_lights": 0.001}),
        {**{fault: remembered({"all_light": 1 - chance, "some_fail": chance, "none_lights": 0.0})
            for fault, chance in ONE_BURNER.items()},
         **{fault: remembered({"all_light": 1 - chance, "some_fail": 0.05 * chance, "none_lights": 0.95 * chance})
            for fault, chance in ALL_BURNERS.items()},
         "ignition_switch_stuck_open": remembered({"all_light": 0.02, "some_fail": 0.97, "none_lights": 0.01})},
        without=((spark_module_powered(LIVE, "light_another"), "none_lights"),),
    ),
    minutes=4.0, command="light",
    steps=("Air the room; light one surface burner after the other from its own knob, each within seconds.",
           "Turn a knob to off when its burner has not lit within seconds, and air the room before another trial."),
    cautions=(ODOUR_FIRST, HOT_PARTS),
)  # fmt: skip

_NEVER_STOPS = {"ignition_switch_stuck_closed": 0.97, "spark_module_does_not_sense": 0.95}
#: A module that senses flames is confused by an outlet that is wired wrongly.
_NOT_SENSED = {"polarity_reversed": 0.8, "ground_missing": 0.8, "spark_electrode_dirty": 0.2}
_STOPS = ("stops", "goes_on")
_NO_SPARK = ((spark_module_powered(LIVE), "stops"),)
_SPARK_STOPS = _seen(
    "spark_stopping", "End of the spark", _STOPS,
    (_two(_STOPS, 0.995, {**_NEVER_STOPS, **_NOT_SENSED}, without=_NO_SPARK, when=FLAME_SENSING),
     _two(_STOPS, 0.995, _NEVER_STOPS, without=_NO_SPARK)),
    minutes=2.0, command="light", when=COOKTOP_SPARK,
    steps=("Light each surface burner: the spark ends once it is lit and its knob has left light.",
           "Turn every knob to off and listen for a minute."),
    cautions=(ODOUR_FIRST, HOT_PARTS),
)  # fmt: skip

_CONTROLS = _seen(
    "display_and_controls", "Display, keys and lock of the control", ("work", "some_fail", "display_dead"),
    Table(
        remembered({"work": 0.99, "some_fail": 0.009, "display_dead": 0.001}),
        {"board_dead": remembered({"work": 0.02, "some_fail": 0.05, "display_dead": 0.93}),
         "control_locked": remembered({"work": 0.03, "some_fail": 0.96, "display_dead": 0.01}),
         "supply_voltage_high": remembered({"work": 0.7, "some_fail": 0.1, "display_dead": 0.2})},
        without=((board_powered(LIVE), "display_dead"),),
    ),
    minutes=3.0, states=(LIVE, LIVE_GAS_OFF), when=ELECTRONIC,
    steps=("Look at the whole display, try every key, and set and release the lock.",),
)  # fmt: skip

_BOARD_OPTIONS = _seen(
    "board_options", "Options of the control board", ("set", "not_set"),
    _two(("set", "not_set"), 0.97, {"board_offset_wrong": 0.3}),
    minutes=4.0, states=(LIVE, LIVE_GAS_OFF), when=ELECTRONIC,
    steps=("Go through fuel, temperature unit, offset and clock by the maker's sheet.",),
)  # fmt: skip

_AIR_OUT = _seen(
    "purge_of_air", "Flame at the burner that let the air out", ("steady", "unsteady", "no_gas"),
    Table(
        remembered({"steady": 0.97, "unsteady": 0.025, "no_gas": 0.005}),
        {"gas_shut_off": remembered({"steady": 0.01, "unsteady": 0.02, "no_gas": 0.97}),
         "regulator_pressure_wrong": remembered({"steady": 0.6, "unsteady": 0.3, "no_gas": 0.1})},
    ),
    minutes=5.0, command="light",
    steps=("In an aired room, with nothing else lit, hold one surface burner's knob at light until it burns; every "
           "half minute turn it off and air the room.",
           "The air is out when the flame stands steady for a minute. Relight the pilots, if there are any."),
    cautions=(ODOUR_FIRST, NO_FLAME, LICENCES),
)  # fmt: skip


def _everything() -> Test:
    fails: dict[str, float] = {}
    for function in FUNCTIONS:
        for fault, chance in function.fails_with.items():
            fails[fault] = max(fails.get(fault, 0.0), float(chance))
    needed = (
        *(requirement for burner in BURNERS for requirement in valve_opens(burner)),
        spark_module_powered(LIVE), board_powered(LIVE),
    )  # fmt: skip
    outcomes = ("all_works", "something_fails")
    return _seen(
        "trial_of_everything", "Trial of everything that the range does", outcomes,
        _two(outcomes, 0.985, fails, without=tuple((need, "something_fails") for need in needed)),
        minutes=10.0, command="light",
        steps=("Put the range together. Try display, spark, every surface burner and pilot, bake and broil, as far as "
               "the range has them.",
               "Turn everything off, one after the other, as soon as it has shown that it works."),
        cautions=(ODOUR_FIRST, HOT_PARTS),
    )  # fmt: skip


def _room_air() -> Test:
    by_fault = {
        "air_passages_covered": within_a_factor(20.0, 2.5), "wrong_orifices_for_fuel": within_a_factor(25.0, 2.5),
        "burner_ports_blocked": within_a_factor(8.0, 2.0), "burner_cap_misplaced": within_a_factor(8.0, 2.0),
        "regulator_pressure_wrong": within_a_factor(10.0, 2.5),
    }  # fmt: skip
    return Test(
        "carbon_monoxide_in_room", "Carbon monoxide in the air of the room", "concentration", (LIVE,), "outside",
        from_memory(6.0), (Stated(decades(0.3, 5.0), by_fault),), unit="ppm", command="light",
        limits=(Limit(high=CO_ROOM_LIMIT),), instrument="gas_analyzer", closing=True,
        steps=("Zero the analyser out of doors, and read the room before anything burns.",
               "Let every surface burner burn for five minutes, a pot of water on each, and read at breathing height, "
               "an arm's length away.",
               "Turn every knob to off."),
        cautions=("When it rises above the limit, turn the burners off, leave and ventilate.", ODOUR_FIRST, HOT_PARTS),
    )  # fmt: skip


def _ground() -> Test:
    return Test(
        "chassis_ground_resistance", "Resistance from the cord's ground pin to the chassis", "resistance", (ISOLATED,),
        "outside", from_memory(2.0), (Stated(decades(0.02, 0.4)),), unit="ohm", limits=(Limit(high=GROUND_LIMIT),),
        instrument="multimeter", closing=True,
        steps=("Touch the leads together first and take their resistance off.",
               "With the cord unplugged, read from the ground pin of its plug to bare metal of the chassis, and move "
               "the cord while you read."),
    )  # fmt: skip


def _put_back() -> Test:
    outcomes = ("in_place", "something_missing")
    return _seen(
        "covers_and_anti_tip", "Covers, guards and the anti-tip bracket", outcomes, _two(outcomes, 0.97, {}),
        minutes=4.0, states=(LIVE, LIVE_GAS_OFF, ISOLATED),
        steps=("See that every cover, guard, screw and ground wire that was taken off is back, and every rack.",
               "See that the range stands level in its place, with neither cord nor connector pinched.",
               "Pull the range towards you at its rear top edge, gently: the anti-tip bracket must hold it."),
        cautions=(HOT_PARTS,),
    )  # fmt: skip


CLOSING_TESTS = (
    _AIR_OUT, _SURFACE_LIGHTING, _SURFACE_FLAMES, _room_air(), _SPARK_STOPS, _OVEN_FLAMES, _CONTROLS, _BOARD_OPTIONS,
    _everything(), _ground(), _put_back(),
)  # fmt: skip
