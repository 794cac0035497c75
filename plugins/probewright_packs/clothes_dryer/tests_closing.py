"""Tests that only prove work: looked at and measured when the dryer is put back into use, never to find a fault.

What they show under each fault is said all the same, so that one that fails points to what it may be.
"""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import Limit, Requirement, Stated, Test, common_practice, from_memory, published
from probewright_packs.clothes_dryer.burner_wiring import BURNER_LIGHTS, BURNER_LIGHTS_AGAIN
from probewright_packs.clothes_dryer.commands import HEAT
from probewright_packs.clothes_dryer.functions import FUNCTIONS
from probewright_packs.clothes_dryer.motor_wiring import MOTOR_STARTS
from probewright_packs.clothes_dryer.options_and_states import (
    DRUM_MOVES,
    ELECTRIC,
    GAS,
    HEAT_WITHOUT_TURNING,
    ISOLATED,
    LINT_BURNS,
)
from probewright_packs.clothes_dryer.options_and_states import RUNNING as IN_USE
from probewright_packs.clothes_dryer.wiring import board_powered, element_heats_fully
from probewright_packs.common.cautions import HOT_PARTS
from probewright_packs.common.numbers import decades
from probewright_packs.common.tables import seen

#: Ohms from the ground pin, or the ground terminal, to the chassis, on a hand-held meter.
GROUND_LIMIT = common_practice(1.0)
_VDE = "DIN VDE 0701-0702:2008-06, insulation of class I appliances at 500 V d.c."
#: Megohms from everything live to the chassis.
INSULATION_LIMIT = {"electric": published(0.3, f"{_VDE}: with heating elements"), "gas": published(1.0, _VDE)}


def _ground() -> Test:
    return Test(
        "chassis_ground_resistance", "Resistance from the ground to the chassis", "resistance", (ISOLATED,), "behind",
        from_memory(2.0), (Stated(decades(0.02, 0.4)),), unit="ohm", limits=(Limit(high=GROUND_LIMIT),),
        instrument="multimeter", closing=True,
        steps=("Touch the leads together first and take their resistance off.",
               "With the cord unplugged, read from the ground pin of its plug to bare metal of the chassis, and move "
               "the cord while you read. A cord with three wires has no such pin: read from its neutral pin."),
    )  # fmt: skip


def _insulation() -> Test:
    limits = (Limit(INSULATION_LIMIT["electric"], when=ELECTRIC), Limit(INSULATION_LIMIT["gas"], when=GAS))
    return Test(
        "insulation_to_chassis", "Insulation from live parts to the chassis", "resistance", (ISOLATED,), "behind",
        from_memory(4.0), (Stated(decades(3.0, 1000.0), {"element_touches_case": decades(1e-6, 1e-4)}),), unit="Mohm",
        limits=limits, instrument="insulation_tester", closing=True,
        steps=("Unplug the dryer, and take off the link between neutral and chassis where there is one; note it.",
               "Unplug an electronic board, join the line wires and the neutral at the cord's terminals, and read at "
               "500 V d.c. from them to bare metal of the chassis.",
               "Put link and plugs back."),
        cautions=("The tester gives 500 V: nobody touches the dryer, and short the wires before you move them.",),
    )  # fmt: skip


def _door() -> Test:
    outcomes = ("stops", "goes_on")
    return seen(
        "door_stops_drum", "What the drum does when the door is opened", outcomes, (0.003,), {}, state=IN_USE,
        zone="outside", minutes=1.0, command=HEAT, closing=True,
        steps=("Let it run empty and open the door: the drum stops within seconds, and starts only when start is "
               "pressed again.",),
        cautions=(DRUM_MOVES, "Never reach in before the drum stands."),
    )  # fmt: skip


def _trial() -> Test:
    fails: dict[str, float] = {}
    for function in FUNCTIONS:
        for fault, chance in function.fails_with.items():
            fails[fault] = max(fails.get(fault, 0.0), float(chance))
    burner = tuple(replace(needed, circuit="heat") for needed in (*BURNER_LIGHTS, BURNER_LIGHTS_AGAIN))
    needed: tuple[Requirement, ...] = (
        *MOTOR_STARTS, *burner, replace(element_heats_fully(), circuit="heat"), board_powered(IN_USE),
    )  # fmt: skip
    outcomes = ("all_works", "something_fails")
    return seen(
        "trial_of_everything", "Trial of everything that the dryer does", outcomes, (0.012,),
        {fault: (chance,) for fault, chance in fails.items()}, state=IN_USE, zone="outside", minutes=8.0,
        command=HEAT, without=tuple((need, "something_fails") for need in needed), closing=True,
        steps=("Put the dryer together. Try start, door, every setting, heat and the end of a cycle, with two damp "
               "towels in it.",
               "Listen, smell, and look at the hood outdoors; set it to off."),
        cautions=(HEAT_WITHOUT_TURNING, HOT_PARTS),
    )  # fmt: skip


def _put_back() -> Test:
    outcomes = ("in_place", "something_missing")
    return seen(
        "covers_and_vent", "Covers, lint screen and vent", outcomes, (0.03,), {}, state=IN_USE, zone="outside",
        minutes=4.0, closing=True,
        steps=("See that every cover, screw and ground wire that was taken off is back, and the lint screen in.",
               "See that the vent is connected with clamps, of smooth metal, neither crushed nor pulled off as the "
               "dryer was pushed back, and that it leads outdoors.",
               "See that the dryer stands level, with neither cord nor gas connector pinched."),
        cautions=(LINT_BURNS,),
    )  # fmt: skip


CLOSING_TESTS = (_ground(), _insulation(), _door(), _trial(), _put_back())
