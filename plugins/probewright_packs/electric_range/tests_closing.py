"""Tests that only prove work: looked at and measured when the range is put back into use, never to find a fault.

What they show under each fault is said all the same, so that one that fails points to what it may be.
"""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import Limit, Stated, Test, common_practice, from_memory
from probewright_packs.common.numbers import decades
from probewright_packs.common.tables import seen
from probewright_packs.electric_range.functions import FUNCTIONS, LATCH_FAILS, board_powered, latch_moves
from probewright_packs.electric_range.heaters import SLOW, heats, rests, unit_heats
from probewright_packs.electric_range.options_and_states import (
    BAKE,
    HEAVY,
    HOT_GLASS,
    IN_USE,
    ISOLATED,
    LOCK,
    POWERED,
)
from probewright_packs.electric_range.wiring import ELEMENTS

_HEATS = (*(heats(name, SLOW) for name in ELEMENTS), unit_heats(share=SLOW), unit_heats("other", SLOW))


def _everything() -> Test:
    fails: dict[str, tuple[float]] = {}
    for function in FUNCTIONS:
        for fault, chance in function.fails_with.items():
            fails[fault] = (max(float(chance), *fails.get(fault, (0.0,))),)
    needed = (*_HEATS, board_powered(IN_USE))
    return seen(
        "trial_of_everything", "Trial of everything that the range does", ("all_works", "something_fails"), (0.015,),
        fails, state=IN_USE, zone="outside", minutes=10.0, command=BAKE, closing=True,
        without=tuple((need, "something_fails") for need in needed),
        steps=("Put the range together. Try display, every surface unit at high and at low, bake, broil and the light.",
               "Turn everything off, one after the other, as soon as it has shown that it works."),
        cautions=(HOT_GLASS,),
    )


def _rests() -> Test:
    return seen(
        "cold_at_off", "Elements with everything off", ("cold", "warm"), (0.002,), {}, state=IN_USE, zone="outside",
        minutes=3.0, closing=True, without=tuple((rests(name), "warm") for name in ELEMENTS),
        steps=("With everything off for some minutes and the breaker on, hold a hand near each element: it stays "
               "cold.",), cautions=(HOT_GLASS,),
    )  # fmt: skip


def _ground() -> Test:
    return Test(
        "chassis_ground_resistance", "Resistance from the cord's ground to the chassis", "resistance", (ISOLATED,),
        "outside", from_memory(2.0), (Stated(decades(0.02, 0.4)),), unit="ohm",
        limits=(Limit(high=common_practice(1.0)),), instrument="multimeter", closing=True,
        steps=("Touch the leads together first and take their resistance off.",
               "With the range unplugged, read from the ground pin of its plug to bare metal of the chassis; of a "
               "three-wire cord, from the neutral pin, where local codes let neutral and chassis be linked."),
    )  # fmt: skip


def _covers() -> Test:
    """Done in whatever state the range is in, and so after everything that needs a cover off."""
    look = seen(
        "covers_and_anti_tip", "Covers and the anti-tip bracket", ("in_place", "something_missing"), (0.03,), {},
        state=IN_USE, zone="outside", minutes=4.0, closing=True,
        steps=("See that every cover, screw and ground wire that was taken off is back, and every rack.",
               "See that the range stands level in its place, with the cord not pinched.",
               "Pull the range towards you at its rear top edge, gently: the anti-tip bracket must hold it."),
        cautions=(HEAVY,),
    )
    return replace(look, states=(IN_USE, POWERED, ISOLATED))


CLOSING_TESTS = (
    seen(
        "display_and_controls", "Display and keys of the control", ("work", "some_fail", "display_dead"),
        (0.009, 0.001),
        {"board_dead": (0.05, 0.93), "control_locked": (0.96, 0.01), "latch_switch_wrong": (0.3, 0.0)},
        state=IN_USE, zone="outside", minutes=3.0, closing=True, without=((board_powered(IN_USE), "display_dead"),),
        steps=("Look at the whole display, try every key, and set and release the lock.",),
    ),
    seen(
        "board_options", "Options of the control board", ("set", "not_set"), (0.03,), {"board_offset_wrong": (0.7,)},
        state=IN_USE, zone="outside", minutes=3.0, closing=True,
        steps=("Go through temperature unit, offset and clock by the maker's sheet.",),
    ),
    seen(
        "door_lock_cycle", "Locking and unlocking of the door", ("locks_and_unlocks", "does_not"), (0.005,),
        {fault: (chance,) for fault, chance in LATCH_FAILS.items()}, state=IN_USE, zone="outside", minutes=4.0,
        command=LOCK, closing=True, without=((latch_moves(IN_USE), "does_not"),),
        steps=("Start the cleaning cycle with the oven cold and see the door lock; cancel it at once, and see the door "
               "unlock.",),
    ),
    _rests(),
    _everything(),
    _ground(),
    _covers(),
)  # fmt: skip
