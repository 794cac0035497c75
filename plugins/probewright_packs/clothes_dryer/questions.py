"""What to ask on the telephone.  Nothing is opened, taken off, plugged in or lit for any of it.

Questions ask for what was seen while the dryer was used; none asks to try anything.
"""

from __future__ import annotations

from probewright.packs import Answer, Question
from probewright_packs.clothes_dryer.options_and_states import ELECTRONIC, GAS

_SAFETY = (
    Question(
        "burnt_smell_now", "Does it smell burnt or smoke, now or when it was last used?", (
            Answer("smells", "Yes, it smells burnt, or it smoked.", complaints=("burnt_smell",), stop="smoulders"),
            Answer("no_smell", "No."),
        ),
        why="Lint and clothes burn fast: a dryer that smells burnt stays off, and may need the fire service.",
        always=True,
    ),
    Question(
        "gas_smell_now", "Does it smell of gas now, or did it when the dryer was last used?", (
            Answer("smells", "Yes, it smells of gas.", complaints=("gas_smell",), stop="gas_escape"),
            Answer("no_smell", "No, there is no smell."),
        ),
        why="Gas that escapes comes before everything else: nobody should stay, or touch a switch, where it smells.",
        always=True, when=GAS,
    ),
    Question(
        "ill_or_alarm", "Did anybody feel ill near the running dryer, or did a carbon monoxide alarm go off?", (
            Answer("ill_or_alarm", "Yes.", complaints=("felt_ill_or_alarm",), stop="carbon_monoxide"),
            Answer("neither", "No."),
        ),
        why="Burnt gas that gets into the room poisons without a smell: out into fresh air, before anything else.",
        always=True, when=GAS,
    ),
    Question(
        "hot_while_standing", "Did it get hot while the drum stood still, or while it was switched off?", (
            Answer("hot", "Yes.", complaints=("heats_while_drum_stands",), stop="heat_without_rotation"),
            Answer("cold", "No, not that anybody noticed."),
        ),
        why="Heat over clothes that do not move can start a fire: it must be switched off at the breaker.",
        always=True,
    ),
    Question(
        "shock", "Did anybody feel a shock on touching it?", (
            Answer("felt", "Yes.", complaints=("felt_a_shock",), stop="shock"),
            Answer("none", "No."),
        ),
        why="Then nobody should touch it before it is switched off at the breaker.", always=True,
    ),
)  # fmt: skip

_WHAT_WORKS = (
    Question(
        "at_start", "When it was last started, what did it do?", (
            Answer("turned", "The drum turned as always.", working=("drum_turns",)),
            Answer("hummed", "It hummed, and the drum stood still.", complaints=("does_not_start", "hums_and_stands")),
            Answer("silent", "Nothing at all, no sound.", complaints=("does_not_start",),
                   seen={"motor_response": "silent"}),
        ),
        why="A hum means that the motor has power and cannot turn; silence means that it has none.",
    ),
    Question(
        "warmth", "When it last ran, was the air in it warm?", (
            Answer("warm", "Yes, as always.", working=("heats",)),
            Answer("warm_at_first", "It began warm, and the same load was cold before its end.",
                   complaints=("warm_at_first_only",)),
            Answer("cold", "No, cold the whole time, and the drum turned.", complaints=("no_heat",),
                   working=("drum_turns",)),
            Answer("too_hot", "Hotter than it used to be.", complaints=("too_hot",)),
            Answer("did_not_run", "It did not run."),
        ),
        why="No heat, little heat and too much heat have different causes, and take different parts.",
    ),
    Question(
        "drying_time", "How long does a usual load take, compared with before?", (
            Answer("as_before", "As long as it always did.", working=("dries_in_time",)),
            Answer("longer", "Longer, or it needs a second turn.", complaints=("drying_takes_long",)),
            Answer("stops_wet", "It stops by itself while clothes are still wet.", complaints=("stops_early",)),
            Answer("never_ends", "It goes on and on and does not stop by itself.", complaints=("does_not_stop",)),
        ),
        why="Slow drying is most often the vent; stopping too early is most often what feels the moisture.",
    ),
    Question(
        "noise", "Does it squeal, thump, rattle or rub when it turns?", (
            Answer("noisy", "Yes.", complaints=("noisy",)),
            Answer("quiet", "No, it sounds as always.", working=("runs_quietly",)),
        ),
        why="Noise points to what turns, and tells which parts to bring.",
    ),
    Question(
        "display", "What does the display show?", (
            Answer("as_usual", "The usual signs.", working=("display_on",)),
            Answer("dark", "Nothing: it is dark.", complaints=("display_dead",)),
            Answer("sensor_error", "An error, and the owner's book says it is the temperature sensor.",
                   working=("display_on",), seen={"display_error": "sensor_error"}),
            Answer("lock", "A lock, or a word such as LOC or DEMO.", working=("display_on",),
                   seen={"control_lock": "on"}),
        ),
        why="A dark display points to power or to the control; an error or a lock says where to look.",
        when=ELECTRONIC,
    ),
)  # fmt: skip

_BUILD = (
    Question(
        "gas_or_electric", "Does the dryer heat with gas or with electricity?", (
            Answer("electric", "Electricity: it has a big plug of its own, and no gas pipe.",
                   options={"heat": "electric"}),
            Answer("street_gas", "Gas from the street.", options={"heat": "gas", "fuel": "natural_gas"}),
            Answer("tank_gas", "Gas from a bottle or tank.", options={"heat": "gas", "fuel": "propane"}),
        ),
        why="The two take different parts, and a gas dryer needs somebody who may work on gas.",
    ),
    Question(
        "knob_or_display", "Is it set by a knob that turns by itself, or by keys with a display?", (
            Answer("knob", "A knob that moves on as it runs.", options={"control": "timer"}),
            Answer("keys", "Keys and a display or lamps.", options={"control": "electronic"}),
        ),
        why="Each of the two has parts of its own.",
    ),
)  # fmt: skip

_AROUND = (
    Question(
        "vent_cleaned", "When was the pipe that leads the air outdoors last cleaned?", (
            Answer("this_year", "Within the last year.", seen={"reported_vent": "this_year"}),
            Answer("long_ago", "Longer ago, never, or nobody knows.", seen={"reported_vent": "long_ago"}),
        ),
        why="Lint in that pipe makes drying slow, blows safety parts, and burns.",
    ),
    Question(
        "power_elsewhere", "Is the power off anywhere else in the house, or have lights there dimmed or flared?", (
            Answer("off_too", "Yes.", seen={"reported_power_elsewhere": "off"}),
            Answer("all_on", "No, everything else is as usual.", seen={"reported_power_elsewhere": "on"}),
        ),
        why="Then the house wiring may be at fault and not the dryer: that is an electrician's work.",
    ),
    Question(
        "other_gas", "Do other things in the house that run on gas work, such as the water heater?", (
            Answer("work", "Yes.", seen={"reported_other_gas": "work"}),
            Answer("fail", "No, they do not.", seen={"reported_other_gas": "fail"}),
        ),
        why="If nothing has gas, it is shut off before the dryer, or the tank is empty.", when=GAS,
    ),
    Question(
        "history", "Was anything done to the dryer in the days before this began?", (
            Answer("nothing", "No, nothing.", seen={"reported_history": "nothing"}),
            Answer("moved", "It was moved, or is new here.", seen={"reported_history": "moved"}),
            Answer("worked_on", "Somebody worked on it, on the vent, the gas or the wiring.",
                   seen={"reported_history": "worked_on"}),
            Answer("power_out", "The power was out, or there was a storm.", seen={"reported_history": "power_out"}),
        ),
        why="Much begins with what was done last: a crushed vent, a valve left shut, a breaker that tripped.",
    ),
)  # fmt: skip

QUESTIONS = (*_SAFETY, *_WHAT_WORKS, *_BUILD, *_AROUND)
