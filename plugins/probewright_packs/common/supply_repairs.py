"""Repairs of the supply, what shows that they hold, and the hazards of a supply or its wiring."""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import Closing, Interlock, Limit, Repair, from_memory
from probewright_packs.common.numbers import remembered
from probewright_packs.common.supply import AT_OUTLET, HIGHEST_AT_OUTLET

#: That polarity and ground of the outlet are right.
OUTLET_WIRED = ("outlet_wired_correctly", "outlet_neutral_near_ground")

OPEN_NEUTRAL = (
    "With a 120/240 V service an open neutral puts up to 240 V on some outlets, and can burn what is plugged in there."
)
UNPLUG_ALL = (
    "Leave the appliance unplugged, and have other appliances and electronics in the house unplugged too.",
    "Call a licensed electrician and the utility at once with the voltages as found: the neutral of the service may "
    "be open.",
    "Nothing is used again until they have put it right and every outlet in use has been read.",
)


def supply_repairs(
    isolated: str, outside: str, terminals: str, works: tuple[str, ...], minutes_to_reset: float = 5.0,
    low: tuple[str, ...] = ("supply_voltage_low",),
) -> tuple[Repair, ...]:  # fmt: skip
    """Repairs up to the appliance's own wiring, closed as :func:`supply_closings` says.

    ``terminals`` is the zone of the cord's terminals; ``works`` are the closing checks that show that it all works;
    ``low`` names the faults that are a low supply.
    """
    return (
        Repair(
            "restore_supply", "Restore the supply", remembered({"no_supply": 0.85}), from_memory(minutes_to_reset),
            isolated, (outside,),
            steps=("Keep the appliance unplugged. Look for a tripped breaker, a tripped ground-fault device or an open "
                   "switch that feeds the outlet.",
                   "Find out why it opened, and make sure that nobody is at work on the circuit; then close it, once.",
                   "When it opens again or nothing is found, hand over to a licensed electrician."),
            cautions=("A breaker that opens again is doing its work: do not hold it in or fit a larger one.",),
            closing_checks=("supply_voltage_in_range", *OUTLET_WIRED, *works),
        ),
        *_electricians(isolated, outside, works, low),
        Repair(
            "replace_supply_cord", "Replace the supply cord or mend its terminals",
            remembered({"supply_cord_open": 0.97}), from_memory(20.0), isolated, (terminals,), part="supply_cord",
            steps=("Note which wire sits where; hot, neutral and ground each go back to their own terminal.",
                   "Cut back discoloured wire to sound copper; a burnt terminal is replaced, not cleaned.",
                   "Fit a cord of the same rating and plug, with its strain relief; the ground wire goes on first."),
            cautions=("Never cut off a ground pin, and never leave the ground conductor unconnected.",),
            closing_checks=("ground_continuous", "supply_voltage_in_range", *OUTLET_WIRED, *works),
        ),
    )  # fmt: skip


def _electricians(
    isolated: str, outside: str, works: tuple[str, ...], low: tuple[str, ...]
) -> tuple[Repair, ...]:
    """What is handed over: the wiring of the outlet, and a supply that is low, badly connected or high."""
    outlet = Repair(
        "correct_outlet_wiring", "Have the outlet's wiring corrected",
        remembered({"polarity_reversed": 0.97, "ground_missing": 0.93, "neutral_open": 0.9}),
        from_memory(45.0), isolated, (outside,), skill="electrical_licence",
        steps=("Leave the appliance unplugged and mark the outlet out of use.",
               "Hand over to a licensed electrician with the three outlet voltages as found."),
        cautions=("House wiring is licensed work under most codes: do not open the outlet.",),
        closing_checks=(*OUTLET_WIRED, "supply_voltage_in_range", *works),
    )  # fmt: skip
    raised = replace(
        outlet, id="raise_supply_voltage", title="Have the low supply voltage put right",
        cures=remembered(dict.fromkeys(low, 0.9)), minutes=from_memory(60.0),
        steps=("Leave the appliance unplugged: a bad connection that drops the voltage can overheat.",
               "Note what else is fed by the branch.",
               "Hand over to a licensed electrician or the utility with the voltages as found."),
    )  # fmt: skip
    return (outlet, raised, _connection(outlet), _too_high(outlet))


def _connection(outlet: Repair) -> Repair:
    return replace(
        outlet, id="repair_supply_connection", title="Have the bad connection in the supply mended",
        cures=remembered({"supply_connection_bad": 0.93, "neutral_connection_bad": 0.93}), minutes=from_memory(30.0),
        steps=("Leave the appliance unplugged, switch the breaker of the branch off and mark it.",
               "Look from outside for browning, and feel for warmth, at the outlet and at others of the branch. When "
               "it is hot, smokes or smells burnt, call the fire service.",
               "Hand over to a licensed electrician with the three outlet voltages as found; the branch stays off "
               "until then."),
        cautions=("A loose or burnt connection under load can start a fire inside a wall.", *outlet.cautions),
    )  # fmt: skip


def _too_high(outlet: Repair) -> Repair:
    return replace(
        outlet, id="lower_supply_voltage", title="Have the high supply voltage put right",
        cures=remembered({"supply_voltage_high": 0.9}), minutes=from_memory(60.0), steps=UNPLUG_ALL,
        cautions=(OPEN_NEUTRAL, *outlet.cautions),
    )  # fmt: skip


def supply_closings() -> tuple[Closing, ...]:
    """What :func:`supply_repairs` must show before the job is left."""
    return (
        Closing("supply_voltage_in_range", "The outlet's voltage is in range while the appliance draws its load.",
                "outlet_voltage"),
        Closing("outlet_wired_correctly", "Hot to ground reads as hot to neutral.", "outlet_hot_to_ground",
                (Limit(AT_OUTLET.low),), guarded=True),
        Closing("outlet_neutral_near_ground", "Neutral to ground reads next to nothing.", "outlet_neutral_to_ground",
                guarded=True),
        Closing("ground_continuous",
                "With the cord unplugged, next to no resistance is read from its ground pin to bare metal of the "
                "chassis.", "chassis_ground_resistance", guarded=True),
    )  # fmt: skip


def wiring_interlock() -> Interlock:
    """Scorched or wet live wiring comes before anything else."""
    return Interlock(
        "unsafe_wiring", "Scorched or wet wiring", "refer",
        why="Wiring that carries mains is scorched or wet: powering it could start a fire or shock somebody.",
        seen={"wiring_condition": ("scorched", "wet")}, cleared_by={"wiring_condition": ("sound",)},
        steps=("Leave the appliance unplugged or the breaker off, and mark it so.",
               "Have the wiring dried or replaced, and whatever overheated or wetted it put right.",
               "Look at the wiring again before power is restored."),
        cautions=("Do not power the appliance to try it.",),
    )  # fmt: skip


def overvoltage_interlock() -> Interlock:
    """A supply that destroys what is plugged in comes before any other test; the latest reading of each test counts."""
    return Interlock(
        "overvoltage", "Supply voltage dangerously high", "refer",
        why="The outlet gives more than any sound supply does: what is plugged in there can burn out or catch fire.",
        above=dict.fromkeys(("outlet_voltage", "outlet_hot_to_ground"), HIGHEST_AT_OUTLET),
        steps=("Switch the breaker off first, then unplug the appliance.", *UNPLUG_ALL),
        cautions=("Do not power the appliance to try it.", OPEN_NEUTRAL),
    )  # fmt: skip
