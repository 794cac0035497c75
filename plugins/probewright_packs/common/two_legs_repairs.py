"""Repairs of a 120/240 V supply, what shows that they hold, and the hazards of one that is wrong."""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import Closing, Figure, Interlock, Limit, Repair, When, from_memory
from probewright_packs.common.numbers import remembered
from probewright_packs.common.supply import AT_OUTLET, HIGHEST_AT_OUTLET
from probewright_packs.common.supply_repairs import OPEN_NEUTRAL, UNPLUG_ALL
from probewright_packs.common.two_legs import AT_BLOCK

#: That both legs stand evenly about the neutral, and the neutral at ground.
LEGS_WIRED = ("leg_one_even", "leg_two_even", "legs_neutral_near_ground")

#: Volts between the legs from which something is wrong that burns out appliances.
_HIGHEST_AT_BLOCK = Figure(2 * HIGHEST_AT_OUTLET, HIGHEST_AT_OUTLET.basis, f"twice: {HIGHEST_AT_OUTLET.source}")

_SWITCH_OFF = "Switch the appliance's breaker off, secure it and mark it."


def leg_repairs(
    isolated: str, outside: str, terminals: str, works: tuple[str, ...], when: When | None = None,
    grounded: tuple[str, ...] = (),
) -> tuple[Repair, ...]:  # fmt: skip
    """Repairs of the supply up to the appliance's own wiring, closed as :func:`leg_closings` says.

    ``terminals`` is the zone of the terminal block; ``works`` are the closing checks that show that it all works, and
    ``grounded`` those that the chassis is grounded still, where neutral and chassis may have been linked wrongly.
    """
    repairs = (_restored(isolated, outside, works), *_electricians(isolated, outside, works),
               _explained(isolated, outside), _block(isolated, terminals, (*grounded, *works)))  # fmt: skip
    return tuple(replace(repair, when=when or {}) for repair in repairs)


def _restored(isolated: str, outside: str, works: tuple[str, ...]) -> Repair:
    return Repair(
        "restore_legs", "Restore the supply of both legs",
        remembered({"both_legs_dead": 0.85, "leg_one_dead": 0.75, "leg_two_dead": 0.75}), from_memory(6.0),
        isolated, (outside,),
        steps=("Look for a tripped breaker or a blown fuse; each leg may have a breaker or a fuse of its own.",
               "Find out why it opened, and make sure that nobody is at work on the circuit.",
               "Switch a tripped breaker fully off and on again, once; a blown fuse is replaced by its like.",
               "When it opens again, or a pole stays dead with the breaker on, hand over to a licensed electrician."),
        cautions=("A breaker that opens again is doing its work: do not hold it in or fit a larger one.",
                  "A dead leg can be fed back through an element: both legs are live until the breaker is off."),
        closing_checks=("legs_voltage_in_range", *LEGS_WIRED, *works),
    )  # fmt: skip


def _electricians(isolated: str, outside: str, works: tuple[str, ...]) -> tuple[Repair, ...]:
    """What is handed over: the branch's neutral, the neutral of the service, and a low supply."""
    branch = Repair(
        "mend_legs_neutral", "Have the neutral of the branch mended", remembered({"legs_neutral_open": 0.92}),
        from_memory(45.0), isolated, (outside,), skill="electrical_licence",
        steps=(_SWITCH_OFF, "Hand over to a licensed electrician with the voltages at the terminal block as found."),
        cautions=("House wiring is licensed work under most codes: do not open the outlet or the panel.",),
        closing_checks=("legs_voltage_in_range", *LEGS_WIRED, *works),
    )  # fmt: skip
    service = replace(
        branch, id="mend_service_neutral", title="Have the neutral of the service mended",
        cures=remembered({"service_neutral_open": 0.95}), minutes=from_memory(60.0),
        steps=(_SWITCH_OFF, *UNPLUG_ALL), cautions=(OPEN_NEUTRAL, *branch.cautions),
    )  # fmt: skip
    low = replace(
        branch, id="raise_legs_voltage", title="Have the low supply voltage between the legs put right",
        cures=remembered({"legs_voltage_low": 0.9}), minutes=from_memory(60.0),
        steps=(_SWITCH_OFF, "Note what else is fed by the panel, and whether its voltage is low, too.",
               "Hand over to a licensed electrician or the utility with the voltages as found."),
        cautions=("A bad connection that drops the voltage can overheat.", *branch.cautions),
    )  # fmt: skip
    return (branch, service, low)


def _explained(isolated: str, outside: str) -> Repair:
    return Repair(
        "settle_208_volts", "Explain the 208 V supply, or fit heaters made for it",
        remembered({"supply_208_volts": 0.9}), from_memory(20.0), isolated, (outside,),
        steps=("Show the customer what was read: 120 V on each leg, and about 208 V from leg to leg.",
               "Explain that heaters for 240 V give three quarters of their heat there, so that everything takes "
               "longer, and that nothing is broken.",
               "Where the maker lists heaters for 208 V, offer them; nothing else raises the heat safely.",
               "Note it on the job, and in the customer's papers."),
        cautions=("Never move a leg, or fit a transformer, to raise the voltage: that is an electrician's decision.",),
        closing_checks=("legs_208_understood",),
    )  # fmt: skip


def _block(isolated: str, terminals: str, works: tuple[str, ...]) -> Repair:
    burnt = ("block_leg_one_burnt", "block_leg_two_burnt", "block_neutral_burnt")
    return Repair(
        "replace_terminal_block", "Replace the terminal block and the burnt ends",
        remembered(dict.fromkeys(burnt, 0.96)), from_memory(30.0), isolated, (terminals,), part="terminal_block",
        steps=("Note which wire sits where, and whether neutral and chassis are linked; put all back as found.",
               "Cut back discoloured wire to sound copper on both sides: a burnt end burns the new block, too.",
               "Fit block and terminals of the same rating; tighten each screw to the torque that the maker gives.",
               "A cord with a burnt end or a stiff, browned insulation is replaced with one of the same rating."),
        cautions=("Never clean and tighten a burnt terminal in place of a new one.",
                  "Where house wiring itself, or aluminium, ends at the block, it is an electrician's work.",
                  "Three-wire and four-wire cords are linked differently: local codes say which, and a wrong link puts "
                  "current on the chassis."),
        closing_checks=("block_holds_under_load", "legs_voltage_in_range", *LEGS_WIRED, *works),
    )  # fmt: skip


def leg_closings() -> tuple[Closing, ...]:
    """What :func:`leg_repairs` must show before the job is left."""
    # What the service gives, be it somewhat high, is not for the repair to prove: what burns out appliances is.
    even = (Limit(AT_OUTLET.low, HIGHEST_AT_OUTLET),)
    return (
        Closing("legs_voltage_in_range", "The voltage from leg to leg is in range at the terminal block.",
                "legs_voltage", (Limit(AT_BLOCK.low, _HIGHEST_AT_BLOCK),)),
        Closing("leg_one_even", "Leg one reads to neutral what an appliance may be fed with.", "leg_one_to_neutral",
                even, guarded=True),
        Closing("leg_two_even", "Leg two reads to neutral what an appliance may be fed with.", "leg_two_to_neutral",
                even, guarded=True),
        Closing("legs_neutral_near_ground", "Neutral to ground reads next to nothing.", "legs_neutral_to_ground",
                guarded=True),
        Closing("block_holds_under_load", "Behind the terminal block the voltage holds while it heats.",
                "block_voltage_under_load", guarded=True),
        Closing("legs_208_understood", "The customer was shown the 208 V, and knows that heating takes longer on it."),
    )  # fmt: skip


def leg_interlocks() -> tuple[Interlock, ...]:
    """A leg far over its voltage comes before any other test: the neutral is open, in the branch or in the service."""
    return (
        Interlock(
            "legs_overvoltage", "A leg dangerously high against neutral", "refer",
            why="One leg reads far over 120 V to neutral: the neutral is open, and whatever runs on 120 V can burn "
                "out or catch fire.",
            above=dict.fromkeys(("leg_one_to_neutral", "leg_two_to_neutral"), HIGHEST_AT_OUTLET),
            steps=(_SWITCH_OFF, *UNPLUG_ALL),
            cautions=("Do not power the appliance to try it.", OPEN_NEUTRAL),
        ),
    )  # fmt: skip
