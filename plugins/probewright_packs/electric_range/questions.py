"""What to ask on the telephone.  Nothing is opened, taken off, plugged in or switched on for any of it.

Questions ask for what was seen while the range was used; none asks to try anything.
"""

from __future__ import annotations

from probewright.packs import Answer, Question
from probewright_packs.electric_range.options_and_states import COIL, RADIANT

_SAFETY = (
    Question(
        "sparks_smoke_or_shock", "Did it spark, smoke or smell burnt, or did anybody feel a shock at it?", (
            Answer("sparked_or_smoked", "It sparked, smoked or smelt burnt.", complaints=("sparks_or_smoke",),
                   stop="sparks_or_smoke"),
            Answer("shock", "Somebody felt a shock.", complaints=("felt_a_shock",), stop="shock"),
            Answer("neither", "Neither."),
        ),
        why="A range that sparks, smokes or gives shocks is switched off at the breaker before anything else.",
        always=True,
    ),
    Question(
        "breaker", "Did the breaker or a fuse of the range go off?", (
            Answer("tripped", "Yes.", complaints=("breaker_trips",)),
            Answer("not_tripped", "No, or nobody has looked."),
        ),
        why="A breaker that trips points to something that leads where it should not.",
    ),
)  # fmt: skip

_WHAT_WORKS = (
    Question(
        "surface_units", "When the units on top were last used, which of them got hot?", (
            Answer("all", "All of them.", working=("surface_unit_heats", "other_units_heat")),
            Answer("all_but_one", "All but one.", complaints=("surface_unit_does_not_heat",),
                   working=("other_units_heat",)),
            Answer("none", "None of them.", complaints=("no_surface_unit_heats",)),
        ),
        why="One unit alone points to that unit or its switch; all of them to the supply.",
    ),
    Question(
        "unit_setting", "Does the unit on top follow its knob?", (
            Answer("follows", "Yes, low is low and high is high.",
                   working=("surface_unit_regulates", "surface_unit_heats_fully")),
            Answer("only_high", "No, it is on high at any setting.", complaints=("surface_unit_only_high",)),
            Answer("never_hot", "It gets warm, but never hot.", complaints=("surface_unit_weak",)),
        ),
        why="A unit that is always on high has a switch at fault, not an element.",
    ),
    Question(
        "oven_bakes", "When the oven was last set to bake, did it get hot?", (
            Answer("bakes", "Yes, as always.", working=("bake_heats", "oven_heats_fully")),
            Answer("slowly", "Yes, but it took much longer than it used to.", complaints=("oven_slow",)),
            Answer("stays_cold", "No, it stayed cold.", complaints=("bake_does_not_heat",)),
        ),
        why="Whether the lower element works tells a fault of one element from one of the whole range.",
    ),
    Question(
        "oven_broils", "When the broiler was last used, did it get hot?", (
            Answer("broils", "Yes.", working=("broil_heats",)),
            Answer("stays_cold", "No, it stayed cold.", complaints=("broil_does_not_heat",)),
        ),
        why="With one element out and the other working, the supply and the oven's limit are sound.",
    ),
    Question(
        "oven_heat", "When the oven last came on, did it keep to the heat that it was set to?", (
            Answer("right", "Yes, food came out as usual.", working=("oven_holds_temperature",)),
            Answer("too_hot_or_cold", "No, it came on, but got too hot or not hot enough.",
                   complaints=("oven_temperature_off",)),
            Answer("on_when_off", "It gets hot though it is off.", complaints=("oven_heats_when_off",)),
            Answer("does_not_come_on", "It does not come on."),
        ),
        why="An oven that misses its temperature needs other tests, and other parts, than one that stays cold.",
    ),
    Question(
        "display", "What does the display of the range show?", (
            Answer("as_usual", "The clock or the usual signs.", working=("display_on",)),
            Answer("dark", "Nothing: it is dark.", complaints=("display_dead",)),
            Answer("sensor_error", "An error, and the owner's book says it is the temperature sensor.",
                   complaints=("sensor_error_shown",), working=("display_on",)),
        ),
        why="A display that is on while nothing heats points to half of the supply.",
    ),
    Question(
        "lock_sign", "Does the display show a lock, or a word such as LOC or DEMO?", (
            Answer("shown", "Yes.", seen={"control_lock": "on"}),
            Answer("not_shown", "No.", seen={"control_lock": "off"}),
        ),
        why="A locked control keeps the oven off and needs no repair; the owner's book says how it is unlocked.",
    ),
    Question(
        "door", "Does the oven door lock and unlock by itself for cleaning?", (
            Answer("as_usual", "Yes, as always.", working=("door_locks",)),
            Answer("stuck", "No, it stays locked, or it does not lock.", complaints=("door_does_not_unlock",)),
            Answer("never_used", "Nobody uses that."),
        ),
        why="A latch that tells a wrong position keeps the oven from heating.",
    ),
)  # fmt: skip

_BUILD = (
    Question(
        "top", "What do the units on top look like?", (
            Answer("coils", "Bare coils that can be pulled out.", options=COIL),
            Answer("glass", "A flat top of glass.", options=RADIANT),
        ),
        why="Coils are tried by swapping their places; units under glass take other parts.",
    ),
    Question(
        "oven_floor", "Do you see a heating rod at the bottom of the oven?", (
            Answer("rod", "Yes.", options={"bake_element": "visible"}),
            Answer("smooth", "No, the floor is smooth.", options={"bake_element": "hidden"}),
        ),
        why="The two take different elements, and more or less work to reach.",
    ),
    Question(
        "glass", "Is there a crack in the glass top?", (
            Answer("cracked", "Yes.", complaints=("glass_cracked",), stop="cracked_glass"),
            Answer("whole", "No.", seen={"cooktop_glass": "whole"}),
        ),
        why="Nothing may be cooked on cracked glass, and the glass is carried along.", always=True,
        when=RADIANT,
    ),
    Question(
        "hot_light", "When the glass top has cooled, does its warning light go out?", (
            Answer("goes_out", "Yes.", working=("hot_light_right",)),
            Answer("stays_on", "No, it stays on.", complaints=("hot_light_stays_on",)),
        ),
        why="A light that stays on has one part behind it.",
        when=RADIANT,
    ),
)  # fmt: skip

_AROUND = (
    Question(
        "power_elsewhere", "Do lights in the house or in the range flicker, or are some off, too bright or too dim?", (
            Answer("off_too", "Some are off.", seen={"reported_power_elsewhere": "off"}),
            Answer("bright_or_dim", "Some flicker, or are too bright or too dim.", complaints=("lights_flicker",),
                   seen={"reported_power_elsewhere": "too_bright_or_dim"}, stop="neutral_in_doubt"),
            Answer("usual", "No, everything is as usual.", seen={"reported_power_elsewhere": "usual"}),
        ),
        why="Then the house wiring may be at fault and not the range: that is an electrician's work.", always=True,
    ),
    Question(
        "building", "Is it a house, or a flat in a large building?", (
            Answer("house", "A house.", seen={"reported_building": "house"}),
            Answer("large_building", "A large building.", seen={"reported_building": "large_building"}),
        ),
        why="Large buildings often have a supply on which everything heats by a quarter less.",
    ),
    Question(
        "history", "Was anything done to the range in the days before this began?", (
            Answer("nothing", "No, nothing.", seen={"reported_history": "nothing"}),
            Answer("self_cleaned", "It cleaned itself, with the door locked.",
                   seen={"reported_history": "self_cleaned"}),
            Answer("cleaned", "It was cleaned by hand, or something boiled over.",
                   seen={"reported_history": "cleaned"}),
            Answer("moved_or_new", "It was moved, or is new here.", seen={"reported_history": "moved_or_new"}),
        ),
        why="The heat of self-cleaning ends the life of latches and limits; a new place can have another supply.",
    ),
    Question(
        "how_it_went", "Did you see a bright spot on the rod in the oven, or hear a bang, when it last heated?", (
            Answer("seen", "Yes.", seen={"reported_element_went": "bright_spot_or_bang"}),
            Answer("not_seen", "No.", seen={"reported_element_went": "nothing_seen"}),
        ),
        why="An element that burns through often shows it.",
    ),
)  # fmt: skip

QUESTIONS = (*_SAFETY, *_WHAT_WORKS, *_BUILD, *_AROUND)
