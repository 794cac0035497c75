"""Tests of the oven: elements, what feeds them, its limit, and the latch of its door."""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import (
    Between,
    Limit,
    Shows,
    Test,
    Through,
    When,
    common_practice,
    from_memory,
)
from probewright_packs.common.cautions import HOT_PARTS, LIVE_PARTS
from probewright_packs.common.tables import seen
from probewright_packs.common.two_legs import LEG_VOLTAGE
from probewright_packs.electric_range.heaters import COLD, SLOW, felt
from probewright_packs.electric_range.options_and_states import (
    BAKE,
    HIDDEN,
    IN_USE,
    ISOLATED,
    LOCK,
    POWERED,
    TWO_LEGS_LIVE,
    VISIBLE,
)
from probewright_packs.electric_range.wiring import ELEMENTS

#: Ohms from a heater to its sheath, cold: no standard for appliances names one, and the trade asks for a megohm.
INSULATION = Limit(low=common_practice(1e6))
ONE_SIDE_OFF = "Pull one lead off the part, so that nothing else reads in parallel."
_UNDER_POWER = (LIVE_PARTS, TWO_LEGS_LIVE, HOT_PARTS)
#: Volts across a contact that is closed and carries its current.
_NEXT_TO_NOTHING = Limit(high=common_practice(2.0))


#: Where the ends of an element are reached, without pulling the range out if need be: what its tests are called, what
#: it is, its zone, its build.
REACHED: tuple[tuple[str, str, str, When], ...] = (
    ("bake_element", "bake", "oven_cavity", VISIBLE),
    ("hidden_bake_element", "bake", "rear_panel", HIDDEN),
    ("broil_element", "broil", "oven_cavity", {}),
)


def _at_its_ends(prefix: str, name: str, zone: str, when: When) -> tuple[Test, ...]:
    """What is read at the ends of an element."""
    (other,) = (element for element in ELEMENTS if element != name)
    title, out = f"the {prefix.replace('_', ' ')}", (f"{name}_harness", "oven_limit")
    return (
        Test(
            f"{prefix}_resistance", f"Resistance of {title}", "resistance", (ISOLATED,), zone, from_memory(3.0),
            (Between("oven", f"{name}_feed", "oven_common", out),), unit="ohm", instrument="multimeter", when=when,
            steps=(ONE_SIDE_OFF, "Touch the leads together first, then read across the element.",
                   "Look at its ends and their connectors while you are there: browned ones are burnt."),
        ),
        Test(
            f"{prefix}_to_chassis", f"Insulation of {title} to the chassis", "resistance", (ISOLATED,), zone,
            from_memory(3.0), (Between("oven", f"{name}_feed", "chassis", (*out, f"{other}_element_end")),),
            unit="ohm", limits=(INSULATION,), instrument="multimeter", when=when,
            steps=("Pull both leads off the element.",
                   "Read from either end to bare metal of the chassis: an element can leak and heat all the same."),
        ),
        Test(
            f"{prefix}_voltage", f"Voltage across {title}", "voltage", (POWERED,), zone, from_memory(5.0),
            (Between("oven", f"{name}_feed", "oven_common"),), unit="V", command=name, limits=(LEG_VOLTAGE,),
            instrument="multimeter", when=when,
            steps=("Clip across the two ends of the element, everything still connected, nothing touching metal.",
                   f"Set the oven to {name}, and read: the whole voltage and no heat is an open element, no voltage "
                   "is before it.",
                   "A few tens of volts on a high-impedance input say nothing: repeat with a low-impedance input."),
            cautions=_UNDER_POWER,
        ),
    )  # fmt: skip


def _at_plug() -> Test:
    """Leg two leads to both elements whatever the control is set to: one reading has both."""
    unplugged = ("cord_one", "cord_two", "ground_conductor")
    return Test(
        "oven_insulation_at_plug", "Insulation of both oven elements, read at the plug", "resistance", (ISOLATED,),
        "rear_panel", from_memory(3.0), (Between("oven", "inlet_two", "chassis", unplugged),), unit="ohm",
        limits=(INSULATION,), instrument="multimeter",
        steps=("With the range unplugged, read from each of the two leg pins of its plug to bare metal of the "
               "chassis, and give the lower reading.",
               "One of them leads to both elements of the oven though everything is off.",
               "Of a three-wire cord, take the link between neutral and chassis off first, note it, and put it back."),
    )  # fmt: skip


def _relay(name: str) -> Test:
    return Test(
        f"{name}_relay_voltage", f"Voltage across the {name} relay of the board", "voltage", (POWERED,),
        "control_panel", from_memory(5.0), (Between("oven", "leg_one", f"{name}_out"),), unit="V", command=name,
        limits=(_NEXT_TO_NOTHING,), instrument="multimeter",
        steps=(f"Clip from the relay's line terminal to its {name} terminal, everything still connected.",
               f"Set the oven to {name}, and read: a closed relay drops next to nothing; the whole voltage stands "
               "across one that is open, if what follows is whole."),
        cautions=_UNDER_POWER,
    )  # fmt: skip


def _current(name: str) -> Test:
    return Test(
        f"{name}_element_current", f"Current of the {name} element", "current", (POWERED,), "control_panel",
        from_memory(5.0), (Through("oven", f"{name}_element"),), unit="A", command=name, instrument="clamp_meter",
        steps=(f"With the clamp around the wire from the board to the {name} element, set the oven to {name}.",
               "Read together with the supply voltage, from leg to leg: the current follows it."),
        cautions=_UNDER_POWER,
    )  # fmt: skip


def _current_at_off(name: str) -> Test:
    return Test(
        f"{name}_current_at_off", f"Current of the {name} element with everything off", "current", (POWERED,),
        "rear_panel", from_memory(3.0), (Through("oven", f"{name}_element_end"),), unit="A",
        limits=(Limit(high=common_practice(0.2)),), instrument="clamp_meter",
        steps=(f"With the clamp around the wire from the oven's limit to the {name} element, set everything to off.",
               "Any current is heat: through a welded relay, or from the coil through its sheath to the chassis."),
        cautions=_UNDER_POWER,
    )  # fmt: skip


def _glow(name: str) -> Test:
    bands = Shows("oven", f"{name}_element_end", "voltage", (felt(COLD), felt(SLOW)), ("cold", "dull", "glows"))
    only: When = VISIBLE if name == BAKE else {}
    return Test(
        f"{name}_glow", f"Glow of the {name} element", "seen", (IN_USE,), "outside", from_memory(4.0), (bands,),
        command=name, outcomes=("glows", "dull", "cold"), when=only,
        steps=(f"Set the oven to {name} and look at the element after some minutes: all of it glows evenly when sound.",
               "Set the oven to off."),
        cautions=(HOT_PARTS,),
    )  # fmt: skip


def _warmth() -> Test:
    """What stands for a glow where the element is under the floor."""
    bands = Shows("oven", "bake_element_end", "voltage", (felt(COLD), felt(SLOW)),
                  ("cold", "lukewarm", "hot"))  # fmt: skip
    return Test(
        "oven_floor_warmth", "Warmth of the oven's floor on bake", "seen", (IN_USE,), "outside", from_memory(6.0),
        (bands,), command=BAKE, outcomes=("hot", "lukewarm", "cold"), when=HIDDEN,
        steps=("Set the oven to bake, and after five minutes hold the hand well over the floor: do not touch it.",
               "Set the oven to off."),
        cautions=(HOT_PARTS,),
    )  # fmt: skip


def _look(name: str, when: When | None = None) -> Test:
    return seen(
        f"{name}_element_condition", f"Condition of the {name} element", ("whole", "blistered_or_broken"), (0.02,),
        {f"{name}_element_open": (0.65,), f"{name}_element_touches_case": (0.75,)},
        state=ISOLATED, zone="outside", minutes=2.0, when=when,
        steps=(f"Open the oven and look along the {name} element for blisters, cracks, bright spots and breaks.",
               "One that looks whole can be open all the same."),
    )  # fmt: skip


def _limit() -> Test:
    return Test(
        "oven_limit_continuity", "Thermal limit of the oven", "continuity", (ISOLATED,), "rear_panel",
        from_memory(3.0), (Between("oven", "leg_two", "oven_common", tuple(f"{n}_element_end" for n in ELEMENTS)),),
        outcomes=("closed", "open"), instrument="multimeter",
        steps=(ONE_SIDE_OFF, "Read across the limit with the oven at room temperature.",
               "One that has opened asks what made it too hot: look at relays, sensor and vent."),
        cautions=("Never bridge a limit to try the oven.",),
    )  # fmt: skip


def _latch() -> tuple[Test, ...]:
    motor = Test(
        "latch_motor_resistance", "Resistance of the motor of the door latch", "resistance", (ISOLATED,),
        "control_panel", from_memory(4.0), (Between("latch", "latch_feed", "neutral", ("latch_harness",)),),
        unit="ohm", instrument="multimeter", steps=(ONE_SIDE_OFF, "Read across the motor's two terminals."),
    )  # fmt: skip
    voltage = Test(
        "latch_motor_voltage", "Voltage at the motor of the door latch", "voltage", (POWERED,), "control_panel",
        from_memory(5.0), (Between("latch", "latch_feed", "neutral"),), unit="V", command=LOCK,
        limits=(Limit(common_practice(114.0), common_practice(126.0), scales_with_supply=True),),
        instrument="multimeter",
        steps=("Clip across the motor's two terminals, everything still connected, and start the cleaning cycle.",
               "Cancel the cycle as soon as it has been read."),
        cautions=_UNDER_POWER,
    )  # fmt: skip
    travel = seen(
        "latch_travel", "Travel of the door latch", ("moves_freely", "stiff_or_jammed"), (0.03,),
        {"latch_jammed": (0.93,), "latch_switch_wrong": (0.1,)}, state=ISOLATED, zone="control_panel", minutes=4.0,
        steps=("Turn the latch's cam by hand through its whole way, and feel for grit and bent parts.",),
        cautions=("Keep fingers out of the hook and its cam.",),
    )
    switch = seen(
        "latch_switch_response", "Switch of the door latch against its position", ("follows", "does_not_follow"),
        (0.01,), {"latch_switch_wrong": (0.95,), "latch_jammed": (0.1,)},
        state=ISOLATED, zone="control_panel", minutes=4.0,
        steps=(ONE_SIDE_OFF, "Read its continuity while the latch is moved from unlocked to locked and back: it "
                             "must open and close where the maker's drawing says so."),
    )
    return (travel, replace(switch, instrument="multimeter"), motor, voltage)


OVEN_TESTS = (
    *(test for reached in REACHED for test in _at_its_ends(*reached)),
    *(test(name) for name in ELEMENTS for test in (_glow, _relay, _current, _current_at_off)),
    _at_plug(), _warmth(), _look("bake", VISIBLE), _look("broil"), _limit(), *_latch(),
)  # fmt: skip
