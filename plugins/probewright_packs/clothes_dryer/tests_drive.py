"""Tests of what turns: switches, fuse, motor, belt, drum and blower."""

from __future__ import annotations

from probewright.packs import Between, Test, Through, When, from_memory
from probewright_packs.clothes_dryer.commands import AIR, START
from probewright_packs.clothes_dryer.motor_wiring import MOTOR_STARTS, motor_fed
from probewright_packs.clothes_dryer.options_and_states import (
    DRUM_MOVES,
    HEAT_WITHOUT_TURNING,
    ISOLATED,
    POWERED,
    TIMER,
)
from probewright_packs.clothes_dryer.options_and_states import RUNNING as IN_USE
from probewright_packs.common.cautions import LIVE_PARTS, SHARP_EDGES
from probewright_packs.common.supply import LINE_VOLTAGE
from probewright_packs.common.tables import Without, alike, seen

_NO_BRIDGE = "Never bridge a door switch, a belt switch or a fuse to make it run."
_ALONE = "Take one lead off the part, so that nothing else is read in parallel."
_HIGH_IMPEDANCE = (
    "A few tens of volts on a high-impedance input say nothing: repeat with a low-impedance input."
)


def nothing_heard(outcome: str, then: str) -> Without:
    """What is seen when the motor does not get going, and when it gets nothing at all."""
    standing: Without = tuple((needed, outcome) for needed in MOTOR_STARTS)
    return (*standing, (motor_fed(IN_USE), then))


def _response() -> Test:
    outcomes = ("drum_turns", "drum_stands", "hums", "silent")
    return seen(
        "motor_response", "What motor and drum do at start", outcomes, (0.001, 0.003, 0.001),
        {"belt_broken_switch_bridged": (0.97, 0.005, 0.005), "motor_bearings_seized": (0.005, 0.75, 0.12),
         "drum_jammed": (0.01, 0.85, 0.04), "blower_jammed": (0.005, 0.8, 0.04), "supply_voltage_high": (0, 0.1, 0.1)},
        state=IN_USE, zone="outside", minutes=1.5, command=START, without=nothing_heard("hums", "silent"),
        steps=("With the drum empty, set a cycle without heat where there is one, and start it for a few seconds.",
               "Listen, and look at the drum through the gap of its door: it turns, the motor runs "
               "alone, it only hums, or it is silent.",
               "Switch off at once when it hums: a motor that stands overheats within a minute."),
        cautions=(HEAT_WITHOUT_TURNING, DRUM_MOVES),
    )  # fmt: skip


def _by_hand() -> Test:
    outcomes = ("usual_drag", "too_easy", "stiff", "stuck")
    return seen(
        "drum_by_hand", "Drum turned by hand", outcomes, (0.01, 0.02, 0.002),
        {**alike(("belt_broken", "belt_broken_switch_bridged"), 0.95, 0.01, 0.005),
         "drum_jammed": (0.01, 0.2, 0.74), "motor_bearings_seized": (0.01, 0.5, 0.25),
         "blower_jammed": (0.01, 0.5, 0.25), "drum_rollers_worn": (0.02, 0.15, 0.005)},
        state=ISOLATED, zone="outside", minutes=1.0,
        steps=("Turn the empty drum by hand through a whole turn: with its belt on it drags evenly.",),
    )  # fmt: skip


def _gap() -> Test:
    return seen(
        "drum_gap", "Gap between drum and front, felt from inside", ("even", "gaps"), (0.04,),
        {"drum_seal_worn": (0.72,), "drum_rollers_worn": (0.12,), "drum_jammed": (0.1,)}, state=ISOLATED,
        zone="outside", minutes=1.5,
        steps=("Reach into the drum, lift it at its front edge and turn it slowly, and look along the gap with a lamp: "
               "felt fills it evenly, and holds a strip of paper all around.",),
        cautions=(SHARP_EDGES,),
    )  # fmt: skip


def _noise() -> Test:
    outcomes = ("quiet", "squeals_or_thumps", "rattles_or_rubs")
    return seen(
        "running_noise", "Noise while it runs empty", outcomes, (0.03, 0.03),
        {"drum_rollers_worn": (0.88, 0.06), "blower_wheel_loose": (0.05, 0.75), "drum_seal_worn": (0.03, 0.35),
         "motor_bearings_seized": (0.4, 0.1), "drum_jammed": (0.15, 0.15)},
        state=IN_USE, zone="outside", minutes=2.0, command=AIR, without=nothing_heard("quiet", "quiet"),
        steps=("Let it run empty for a minute, with and without a towel in it, and listen: squeals and thumps come "
               "from rollers and idler, rattles from the fan, rubbing from a seal.",),
        cautions=(HEAT_WITHOUT_TURNING,),
    )  # fmt: skip


def _inside(
    id_: str, title: str, outcomes: tuple[str, ...], healthy: tuple[float, ...],
    rows: dict[str, tuple[float, ...]], *, minutes: float, steps: tuple[str, ...],
) -> Test:  # fmt: skip
    return seen(id_, title, outcomes, healthy, rows, state=ISOLATED, zone="cabinet", minutes=minutes, steps=steps,
                cautions=(SHARP_EDGES,))  # fmt: skip


_LOOKS = (
    _inside(
        "belt_and_its_switch", "Belt and belt switch", ("in_place", "off_or_broken", "switch_bridged"), (0.004, 0.001),
        {"belt_broken": (0.97, 0.01), "belt_broken_switch_bridged": (0.06, 0.93)}, minutes=2.0,
        steps=("Look whether the belt runs around drum, idler and motor pulley, and whether its tension holds the belt "
               "switch as it should.",
               "Look along the switch's wires for a bridge that somebody has fitted."),
    ),
    _inside(
        "blower_wheel", "Blower wheel", ("sound", "loose_or_broken", "jammed"), (0.01, 0.005),
        {"blower_wheel_loose": (0.93, 0.01), "blower_jammed": (0.04, 0.92)}, minutes=4.0,
        steps=("Turn the wheel by hand and look into its housing: it sits firmly on its shaft, with every blade, and "
               "nothing lies against it.",),
    ),
    _inside(
        "motor_shaft_by_hand", "Motor's shaft turned by hand, belt off", ("free", "stiff"), (0.01,),
        {"motor_bearings_seized": (0.92,), "blower_jammed": (0.9,)}, minutes=3.0,
        steps=("Take the belt off the pulley and turn the shaft by hand: it turns freely, with the fan on it.",),
    ),
    _inside(
        "rollers_and_idler", "Drum rollers and idler", ("sound", "worn", "seized"), (0.045, 0.004),
        {"drum_rollers_worn": (0.9, 0.04), "drum_jammed": (0.2, 0.74)}, minutes=5.0,
        steps=("Take the belt off, spin each roller and the idler, and look for flats, play, and what lies between "
               "drum and cabinet.",),
    ),
    _inside(
        "drum_seal", "Seals of the drum", ("sound", "worn"), (0.04,), {"drum_seal_worn": (0.93,)}, minutes=3.0,
        steps=("Look along the felt at front and rear of the drum for gaps, folds and worn places.",),
    ),
    _inside(
        "lint_inside", "Lint inside the cabinet", ("little", "thick", "scorched"), (0.045, 0.002),
        {"lint_in_cabinet": (0.72, 0.24), "drum_seal_worn": (0.5, 0.01), **alike(
            ("vent_blocked", "cutoff_blown_by_vent", "thermal_fuse_blown_by_vent"), 0.3, 0.02),
         "element_touches_case": (0.12, 0.05), "belt_broken_switch_bridged": (0.12, 0.1)}, minutes=2.0,
        steps=("Look at motor, wiring and the housing of the heat for lint, and for lint that has browned.",),
    ),
)  # fmt: skip


def _continuity(
    id_: str, title: str, nodes: tuple[str, str], apart: str, *, zone: str = "cabinet", command: str = "off",
    minutes: float = 3.0, step: str = "", when: When | None = None, cautions: tuple[str, ...] = (),
) -> Test:  # fmt: skip
    return Test(
        id_, title, "continuity", (ISOLATED,), zone, from_memory(minutes), (Between("motor", *nodes, (apart,)),),
        command=command, outcomes=("closed", "open"), instrument="multimeter",
        steps=(step, _ALONE) if step else (_ALONE,), cautions=cautions, when=when or {},
    )  # fmt: skip


_SWITCHES = (
    _continuity("door_switch_continuity", "Continuity of the door switch, door closed", ("leg_one", "door_out"),
                "belt_switch", step="Hold the door closed, or press the switch as the door does.",
                cautions=(_NO_BRIDGE,)),
    _continuity("belt_switch_continuity", "Continuity of the belt switch, belt tight", ("door_out", "belt_out"),
                "thermal_fuse", step="With the belt on and tight, read across the switch.", cautions=(_NO_BRIDGE,)),
    _continuity("thermal_fuse_continuity", "Continuity of the thermal fuse on the blower housing",
                ("belt_out", "fuse_out"), "belt_switch", cautions=(_NO_BRIDGE,)),
    _continuity("start_switch_continuity", "Continuity of the start switch, held at start",
                ("contact_out", "motor_line"), "timer_motor_contact", zone="console", command=START,
                step="Hold the start switch at start and read across it.", when=TIMER),
    _continuity("timer_motor_contact_continuity", "Continuity of the timer's contact of the motor, set to air",
                ("fuse_out", "contact_out"), "start_switch", zone="console", command=AIR,
                step="Set the timer to air only and read across the contact that feeds the motor.", when=TIMER),
)  # fmt: skip


def _voltage(
    id_: str, title: str, node: str, zone: str, command: str, steps: tuple[str, ...], when: When | None = None
) -> Test:
    return Test(
        id_, title, "voltage", (POWERED,), zone, from_memory(4.0), (Between("motor", node, "neutral"),), unit="V",
        command=command, limits=(LINE_VOLTAGE,), instrument="multimeter", steps=(*steps, _HIGH_IMPEDANCE),
        cautions=(LIVE_PARTS, DRUM_MOVES), when=when or {},
    )  # fmt: skip


_VOLTAGES = (
    _voltage("control_motor_feed_voltage", "Voltage that reaches the control through door, belt switch and fuse",
             "fuse_out", "console", "off",
             ("Close the door, leave the control at off, and read from the control's motor feed to neutral.",)),
    _voltage("control_motor_output_voltage", "Voltage that the control gives to the motor", "contact_out", "console",
             AIR, ("Set a cycle without heat, start it, and read from the control's motor terminal to neutral.",)),
    _voltage("motor_voltage", "Voltage at the motor", "motor_line", "cabinet", AIR,
             ("Clip to the motor's two line terminals, set a cycle without heat and start it.",)),
)  # fmt: skip

_MOTOR = (
    Test(
        "motor_current", "Current of the motor, without heat", "current", (POWERED,), "behind", from_memory(4.0),
        (Through("motor", "neutral_conductor"),), unit="A", command=AIR, instrument="clamp_meter",
        steps=("With the clamp around the neutral wire alone, at the cord's terminals, set a cycle without heat and "
               "start it.",
               "Read after three seconds: a motor that runs draws some 5 A, one that stands 20 A and more.",
               "Switch off at once when it hums."),
        cautions=(LIVE_PARTS, DRUM_MOVES),
    ),
    Test(
        "motor_main_resistance", "Resistance of the motor's main winding", "resistance", (ISOLATED,), "cabinet",
        from_memory(4.0), (Between("motor_windings", "motor_feed", "common"),),
        unit="ohm", instrument="multimeter",
        steps=("Pull the motor's plug and read across the main winding, by the maker's sheet.",
               "Touch the leads together first and take their resistance off: it has only two or three ohms."),
    ),
    Test(
        "motor_start_resistance", "Resistance of the motor's start winding", "resistance", (ISOLATED,), "cabinet",
        from_memory(4.0), (Between("motor_windings", "motor_start_feed", "common"),), unit="ohm",
        instrument="multimeter",
        steps=("Pull the motor's plug and read across the start winding, by the maker's sheet.",
               "Touch the leads together first and take their resistance off."),
    ),
    _continuity("motor_start_contact_continuity", "Continuity of the motor's start contact at rest",
                ("motor_feed", "motor_start_feed"), "motor_start",
                step="Read across the start contact of the centrifugal switch with the motor at rest."),
)  # fmt: skip

DRIVE_TESTS = (_response(), _by_hand(), _gap(), _noise(), *_LOOKS, *_SWITCHES, *_VOLTAGES, *_MOTOR)
