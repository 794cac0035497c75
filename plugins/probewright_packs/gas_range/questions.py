"""What to ask on the telephone.  Nothing is opened, taken off, plugged in or lit for any of it.

Questions ask for what was seen while the range was used; none asks to try anything.
"""

from __future__ import annotations

from probewright.packs import Answer, Question
from probewright_packs.gas_range.options_and_states import ELECTRONIC

_SAFETY = (
    Question(
        "gas_smell_now", "Does it smell of gas now, or did it when the range was last used?", (
            Answer("smells", "Yes, it smells of gas.", complaints=("gas_smell",), stop="gas_escape"),
            Answer("no_smell", "No, there is no smell."),
        ),
        why="Gas that escapes comes before everything else: nobody should stay, or touch a switch, where it smells.",
        always=True,
    ),
    Question(
        "flames_or_soot", "Were the flames yellow instead of blue, or is there soot on pans or walls?", (
            Answer("yellow_or_soot", "Yes, yellow flames or soot.", complaints=("soot_or_yellow_flame",)),
            Answer("blue", "No, the flames were blue."),
        ),
        why="Yellow flames and soot can mean carbon monoxide, and point to air, pressure or the wrong fuel.",
    ),
)  # fmt: skip

_WHAT_WORKS = (
    Question(
        "surface_burners", "When the burners on top were last used, which of them came on?", (
            Answer("all", "All of them.", working=("surface_burners_light",)),
            Answer("not_all", "Some did, and some did not.", complaints=("one_surface_burner_does_not_light",),
                   working=("any_surface_burner_lights",)),
            Answer("none", "None of them.", complaints=("no_surface_burner_lights",)),
        ),
        why="One burner alone points to that burner; all of them to gas, power or the part that makes the spark.",
    ),
    Question(
        "clicking", "What did the burners on top do when a knob was turned on?", (
            Answer("clicks", "They clicked, and the clicking stopped once it was on.",
                   working=("spark_present", "spark_stops")),
            Answer("silent", "No burner clicked at all.", complaints=("no_spark_at_any_burner",)),
            Answer("keeps_clicking", "The clicking does not stop.", complaints=("clicks_without_stopping",)),
            Answer("small_flames", "They never click: small flames stay on under the top day and night.",
                   options={"cooktop_ignition": "standing_pilot"}),
        ),
        why="The clicks are the spark: whether it is there tells power and spark from gas.",
    ),
    Question(
        "oven_bakes", "When the oven was last set to bake, did it get hot?", (
            Answer("bakes", "Yes, as always.", working=("bake_lights",)),
            Answer("slowly", "Yes, but it took long to start.", complaints=("oven_slow_to_light",)),
            Answer("stays_cold", "No, it stayed cold.", complaints=("bake_does_not_light",)),
        ),
        why="Whether the lower burner works tells a fault of one burner from one of the whole range.",
    ),
    Question(
        "oven_broils", "When the broiler was last used, did it get hot?", (
            Answer("broils", "Yes.", working=("broil_lights",)),
            Answer("stays_cold", "No, it stayed cold.", complaints=("broil_does_not_light",)),
        ),
        why="With the lower burner out and the broiler working, gas and power reach the oven.",
    ),
    Question(
        "oven_heat", "When the oven last came on, did it keep to the heat that it was set to?", (
            Answer("right", "Yes, food came out as usual.", working=("oven_holds_temperature",)),
            Answer("too_hot_or_cold", "No, it came on, but got too hot or not hot enough.",
                   complaints=("oven_temperature_off",)),
            Answer("does_not_come_on", "It does not come on."),
        ),
        why="An oven that comes on and misses its temperature needs other tests, and other parts, than one that does "
            "not.",
    ),
    Question(
        "display", "What does the display of the range show?", (
            Answer("as_usual", "The clock or the usual signs.", working=("display_on",)),
            Answer("dark", "Nothing: it is dark.", complaints=("display_dead",)),
            Answer("sensor_error", "An error, and the owner's book says it is the temperature sensor.",
                   complaints=("sensor_error_shown",), working=("display_on",)),
            Answer("no_display", "There is no display, only knobs.", options={"oven_control": "mechanical"}),
        ),
        why="A dark display points to power or to the control; an error says where to look.",
    ),
    Question(
        "lock_sign", "Does the display show a lock, or a word such as LOC or DEMO?", (
            Answer("shown", "Yes.", seen={"control_lock": "on"}),
            Answer("not_shown", "No.", seen={"control_lock": "off"}),
        ),
        why="A locked control keeps the oven off and needs no repair; the owner's book says how it is unlocked.",
        when=ELECTRONIC,
    ),
)  # fmt: skip

_BUILD = (
    Question(
        "gas_or_bottle", "Does the range run on gas from the street, or from a bottle or tank?", (
            Answer("street", "Gas from the street.", options={"fuel": "natural_gas"}),
            Answer("tank", "A bottle or tank of propane.", options={"fuel": "propane"}),
        ),
        why="Pressures and parts differ between the two, and a tank can be empty.",
    ),
    Question(
        "oven_lighting", "How does the oven come on, as far as you have seen or heard?", (
            Answer("glows", "Something glows first, without a click.", options={"oven_ignition": "hot_surface"}),
            Answer("clicks", "It clicks.", options={"oven_ignition": "spark"}),
            Answer("small_flame", "A small flame is always on in it.", options={"oven_ignition": "standing_pilot"}),
        ),
        why="Each of the three takes parts of its own.",
    ),
)  # fmt: skip

_AROUND = (
    Question(
        "power_elsewhere", "Is the power off anywhere else in the kitchen, or have lights there dimmed or gone out?", (
            Answer("off_too", "Yes.", seen={"reported_power_elsewhere": "off"}),
            Answer("all_on", "No, everything else is on.", seen={"reported_power_elsewhere": "on"}),
        ),
        why="Then the house wiring may be at fault and not the range: that is an electrician's work.",
    ),
    Question(
        "other_gas", "Do other things in the house that run on gas work, such as the water heater?", (
            Answer("work", "Yes.", seen={"reported_other_gas": "work"}),
            Answer("fail", "No, they do not.", seen={"reported_other_gas": "fail"}),
        ),
        why="If nothing has gas, it is shut off before the range, or the tank is empty.",
    ),
    Question(
        "foil", "Is there foil or a liner on the floor of the oven?", (
            Answer("lined", "Yes.", seen={"reported_foil": "lined"}),
            Answer("not_lined", "No.", seen={"reported_foil": "none"}),
        ),
        why="Foil covers the air passages: the oven then heats wrongly, and can give off carbon monoxide.",
    ),
    Question(
        "history", "Was anything done to the range in the days before this began?", (
            Answer("nothing", "No, nothing.", seen={"reported_history": "nothing"}),
            Answer("cleaned", "It was cleaned, or something boiled over.", seen={"reported_history": "cleaned"}),
            Answer("moved", "It was moved, or is new here.", seen={"reported_history": "moved"}),
            Answer("worked_on", "Somebody worked on it, on the gas or on the wiring.",
                   seen={"reported_history": "worked_on"}),
        ),
        why="Much begins with what was done last: a cap put back askew, a valve left shut, water in a switch.",
    ),
)  # fmt: skip

QUESTIONS = (*_SAFETY, *_WHAT_WORKS, *_BUILD, *_AROUND)
