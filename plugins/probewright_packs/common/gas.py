"""Gas that is let into an appliance: its smell, its joints, its valve, and the carbon monoxide that it may give off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from probewright.packs import Closing, Interlock, Outcomes, Repair, Table, Test, When, from_memory, published
from probewright_packs.common.cautions import LICENCES, NO_FLAME, ODOUR_FIRST
from probewright_packs.common.numbers import remembered

#: ppm in the air of a room.
CO_ROOM_LIMIT = published(9.0, "40 CFR 50.8, national ambient air quality standard: carbon monoxide over 8 hours")
#: ppm in the air of a room that nobody may stay in.
CO_IN_ROOM_TO_LEAVE = published(
    35.0, "40 CFR 50.8, national ambient air quality standard: carbon monoxide over 1 hour"
)

#: Said wherever carbon monoxide stops the work.
CO_MEDICAL = "Anybody with headache, dizziness or nausea needs medical help now: call the emergency number."

#: That gas was let back in safely: for every repair that opens a joint.
TIGHT = ("joints_tight", "no_gas_odour")


@dataclass(frozen=True)
class GasWords:
    """How an appliance says it: its name, what is off, its controls, where its pipe ends, how a burner is lit."""

    appliance: str
    all_off: str
    controls_off: str
    pipe_ends: str
    light: str


def gas_odour(states: tuple[str, ...], by_fault: Mapping[str, Outcomes], when: When | None = None) -> Test:
    """Smelling for gas, in any state."""
    return Test(
        "gas_odour", "Smell of gas", "seen", states, "outside", from_memory(1.0),
        (Table(remembered({"none": 0.995, "present": 0.005}), by_fault),), outcomes=("none", "present"),
        steps=("Smell near the floor (propane sinks) and above (natural gas rises).",),
        cautions=("Smell on arrival, before any switch is touched. When it smells of gas: no switch, no plug, no "
                  "flame; leave, and call from outside.",),
        when=when or {},
    )  # fmt: skip


def leak_check(words: GasWords, state: str, zone: str, when: When | None = None) -> Test:
    """Leak solution on every joint, with gas let in."""
    return Test(
        "leak_check_solution", "Leak check of joints and connector with solution", "seen", (state,), zone,
        from_memory(6.0),
        (Table(remembered({"no_bubbles": 0.995, "bubbles": 0.005}),
               {"gas_leak": remembered({"no_bubbles": 0.08, "bubbles": 0.92})}),),
        outcomes=("no_bubbles", "bubbles"),
        steps=(f"With {words.all_off}, brush leak solution made for gas onto every joint from the appliance valve to "
               f"{words.pipe_ends}, and watch each for a minute.",
               "Stop at the first bubble and shut the gas.",
               f"When there is none, {words.light} and watch the joints behind its valve likewise.",
               "Wipe the solution off."),
        cautions=(NO_FLAME, ODOUR_FIRST, LICENCES), when=when or {},
    )  # fmt: skip


def gas_supply_valve(states: tuple[str, ...], zone: str, when: When | None = None) -> Test:
    """How the valves before the appliance stood when the technician came."""
    return Test(
        "gas_supply_valve", "Gas valve of the appliance and the supply before it", "seen", states, zone,
        from_memory(2.0),
        (Table(remembered({"was_open": 0.995, "was_shut": 0.005}),
               {"gas_shut_off": remembered({"was_open": 0.1, "was_shut": 0.9})}),),
        outcomes=("was_open", "was_shut"),
        steps=("Go by how the appliance valve stood when you came.",
               "Look how the valve at the meter or the tank stands, and ask whether the tank is empty and whether "
               "other gas appliances work."),
        when=when or {},
    )  # fmt: skip


def open_gas_supply(
    words: GasWords, state: str, zone: str, closing_checks: tuple[str, ...], when: When | None = None
) -> Repair:
    """A valve that was shut may be opened again, when nothing speaks against it."""
    return Repair(
        "open_gas_supply", "Make the gas supply ready to be opened", remembered({"gas_shut_off": 0.9}),
        from_memory(8.0), state, (zone,),
        steps=("Find out who shut the gas and why; when its use was forbidden, hand over. A valve that was shut for no "
               f"such reason may be opened when the {words.appliance} is put back into use.",
               f"See that {words.controls_off}, that connector and joints are whole, and that no pipe ends uncapped.",
               "When the meter or the tank is shut, locked or empty, hand over to the supplier, who lets the gas in "
               "and checks for leaks."),
        cautions=(NO_FLAME, LICENCES), closing_checks=closing_checks, when=when or {},
    )  # fmt: skip


def repair_gas_leak(state: str, zone: str, closing_checks: tuple[str, ...], when: When | None = None) -> Repair:
    """A joint or a connector that leaks is replaced, by somebody who may."""
    return Repair(
        "repair_gas_leak", "Have the gas leak repaired", remembered({"gas_leak": 0.97}), from_memory(40.0), state,
        (zone,), part="gas_connector", skill="gas_licence",
        steps=("Air the room, and shut the gas before the leak: at the meter or the tank if the appliance valve leaks.",
               "Replace the leaking joint or connector, and leave it bare until it has been checked; never use an old "
               "connector again."),
        cautions=(NO_FLAME, LICENCES), closing_checks=closing_checks, when=when or {},
    )  # fmt: skip


def tight_closings(smelt_at: str) -> tuple[Closing, ...]:
    """That gas was let back in safely; ``smelt_at`` says when it is smelt at."""
    return (
        Closing("joints_tight", "With the gas on again, every joint that was opened stays free of bubbles under leak "
                "solution; a flame is never used to look.", "leak_check_solution"),
        Closing("no_gas_odour", f"It does not smell of gas, {smelt_at}.", "gas_odour"),
    )  # fmt: skip


def gas_interlock() -> Interlock:
    """Gas that escapes comes before everything else."""
    return Interlock(
        "gas_escape", "Gas may be escaping", "stop",
        why="It smells of gas, or a joint leaks: nothing else is done until the gas is shown to be tight.",
        complaints=("gas_smell",),
        seen={"gas_odour": ("present",), "leak_check_solution": ("bubbles",)},
        cleared_by={"leak_check_solution": ("no_bubbles",), "gas_odour": ("none",)},
        steps=("Touch no electric switch, plug or telephone indoors and light nothing; put out open flames.",
               "Shut the gas at the appliance valve or the meter if that is safe, open windows, and get everybody out.",
               "From outside, call the gas utility or the emergency number.",
               "Once they have said that the air is clear, a person allowed to work on gas checks every joint "
               "with leak solution and smells again."),
        cautions=(NO_FLAME, "Propane sinks and gathers in cellars and drains; natural gas rises.", LICENCES),
    )  # fmt: skip
