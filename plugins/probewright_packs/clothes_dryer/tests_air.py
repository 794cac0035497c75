"""Tests of the air: vent, lint screen and hood."""

from __future__ import annotations

from probewright.packs import Limit, Spread, Stated, Test, common_practice, from_memory
from probewright_packs.clothes_dryer.commands import AIR
from probewright_packs.clothes_dryer.faults import VENT_BLOCKED
from probewright_packs.clothes_dryer.motor_wiring import MOTOR_STANDS
from probewright_packs.clothes_dryer.options_and_states import (
    ANY_STATE,
    DRUM_MOVES,
    HEAT_WITHOUT_TURNING,
    ISOLATED,
    POWERED,
)
from probewright_packs.clothes_dryer.options_and_states import RUNNING as IN_USE
from probewright_packs.clothes_dryer.tests_drive import nothing_heard
from probewright_packs.common.numbers import decades, evenly
from probewright_packs.common.tables import alike, seen

#: Inches of water at the dryer's outlet: less, and the fan does not blow into the vent; more, and the vent holds back.
BACK_PRESSURE = Limit(from_memory(0.08), common_practice(0.6))


def _back_pressure() -> Test:
    by_fault: dict[str, Spread] = {
        **dict.fromkeys(MOTOR_STANDS, evenly(0.0, 0.01)),
        "vent_blocked": decades(0.75, 2.5), "cutoff_blown_by_vent": decades(0.75, 2.5),
        "vent_too_long": decades(0.6, 1.1), "lint_screen_clogged": decades(0.03, 0.15),
        "blower_wheel_loose": decades(0.01, 0.09),
    }
    return Test(
        "vent_back_pressure", "Back pressure of the vent at the dryer's outlet", "pressure", (POWERED,), "behind",
        from_memory(5.0), (Stated(decades(0.12, 0.5), by_fault),), unit="inH2O", command=AIR,
        limits=(BACK_PRESSURE,), instrument="manometer",
        steps=("Put the manometer's tip through a small hole in the duct, close behind the outlet, square to the air.",
               "With the vent connected as it is used, lint screen in and clean, and door closed, start a cycle "
               "without heat and read.",
               "Close the hole with foil tape made for ducts."),
        cautions=(DRUM_MOVES, "The edges of ducts cut: wear gloves."),
    )  # fmt: skip


AIR_TESTS = (
    _back_pressure(),
    seen(
        "vent_hood_airflow", "Air at the hood outdoors", ("strong", "weak", "none"), (0.04, 0.003),
        {"vent_blocked": (0.65, 0.3), "cutoff_blown_by_vent": (0.55, 0.42), "vent_too_long": (0.75, 0.01),
         "lint_screen_clogged": (0.7, 0.02), "blower_wheel_loose": (0.5, 0.45), "drum_seal_worn": (0.3, 0.01)},
        state=IN_USE, zone="outside", minutes=4.0, command=AIR, without=nothing_heard("none", "none"),
        steps=("Clean the lint screen, start a cycle without heat, and go to the hood outdoors.",
               "The flap stands open by the air, and the air is felt at arm's length."),
        cautions=(HEAT_WITHOUT_TURNING,),
    ),
    seen(
        "vent_duct", "Inside of the vent", ("clear", "lint", "crushed_or_plastic"), (0.04, 0.02),
        dict.fromkeys(VENT_BLOCKED, (0.72, 0.24)), state=ISOLATED, zone="vent", minutes=4.0,
        steps=("Look into the duct from the dryer and from the hood, along its whole length, and at the hood's flap "
               "and screen.",
               "A duct of plastic or thin foil, or one that is crushed, counts as blocked: it is replaced."),
        cautions=("A hood with a fine screen gathers lint: a dryer's hood has none.",),
    ),
    seen(
        "vent_length", "Length and bends of the vent", ("within", "over"), (0.04,), {"vent_too_long": (0.93,)},
        state=ANY_STATE, zone="outside", minutes=4.0,
        steps=("Follow the vent to the hood. Take its length, and for each bend what the maker's sheet says.",
               "Compare with what the maker allows for this dryer."),
    ),
    seen(
        "lint_screen_water", "Lint screen under running water", ("runs_through", "water_stands", "full_of_lint"),
        (0.03, 0.03), {"lint_screen_clogged": (0.72, 0.24), **alike(VENT_BLOCKED, 0.04, 0.1)},
        state=ANY_STATE, zone="outside", minutes=2.0,
        steps=("With the drum standing, look at the screen as it was left, brush it clean, and let water run onto it: "
               "where it stands, a film of softener closes the mesh.",
               "Dry it before it goes back."),
    ),
)  # fmt: skip
