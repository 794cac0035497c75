"""The 120 V branch and its outlet: circuit, tests, faults, parts and repairs that any plug-in appliance shares.

The outlet is a circuit of its own.  Circuits inside an appliance begin with :func:`line`, and take what a bad supply
does to them from :func:`line_changes`.
"""

from __future__ import annotations

import math
from dataclasses import replace

from probewright.circuit.laws import Capacitance, Resistance
from probewright.circuit.parts import Change, Circuit, Level, Open, Part, Source, Swap, When
from probewright.figures import (
    Figure,
    Spread,
    common_practice,
    derived,
    from_memory,
    log_uniform,
    normal,
    published,
    uniform,
)  # fmt: skip
from probewright.packs.model import (
    Between,
    Closing,
    Fault,
    Interlock,
    Limit,
    Outcomes,
    Repair,
    ReplaceablePart,
    Supply,
    Table,
    Test,
)  # fmt: skip
from probewright.physics.supply import C84_SERVICE_A_120, C84_UTILIZATION_A_120
from probewright_packs.common.cautions import LIVE_PARTS
from probewright_packs.common.numbers import decades, evenly, nothing, remembered

NOMINAL = C84_SERVICE_A_120.nominal
FREQUENCY = published(60.0, "ANSI C84.1, Electric Power Systems and Equipment: Voltage Ratings (60 Hertz)")
#: What an outlet may show: the utilization voltage, behind the house wiring.
AT_OUTLET = Limit(C84_UTILIZATION_A_120.low, C84_UTILIZATION_A_120.high)

#: Mains inside an appliance, at the nominal supply: the trade takes 5 % either way for "line voltage".
LINE_VOLTAGE = Limit(common_practice(0.95 * NOMINAL), common_practice(1.05 * NOMINAL), scales_with_supply=True)

#: A fault's rate as a share of the calls that are made for it: seldom is it there when another one was the reason.
BESIDE_THE_CALL = from_memory(0.25)

_DEVIATION = derived(
    (C84_SERVICE_A_120.high - C84_SERVICE_A_120.low) / 4,
    f"{C84_SERVICE_A_120.high.source}, taken as two standard deviations either way",
)
SUPPLY = Supply(nominal=NOMINAL, unmeasured=normal(NOMINAL, _DEVIATION))

#: Input of a common multimeter, for which the trade quotes its ghost voltages.
_METER_OHMS = common_practice(10e6)
_GHOST_LEAST, _GHOST_MOST = common_practice(20.0), common_practice(80.0)


def _coupling(volts: float) -> Figure:
    """Farads that let a floating conductor read ``volts`` on a 10 Mohm meter beside a live one."""
    ratio = math.sqrt((NOMINAL / volts) ** 2 - 1)
    farads = 1 / (2 * math.pi * FREQUENCY * _METER_OHMS * ratio)
    how = f"common practice: a floating wire reads 20 to 80 V on 10 Mohm; the capacitance that gives {volts:g} V"
    return Figure(farads, "common_practice", how)


def stray() -> Spread:
    """Stray capacitance (farad) between a live conductor and another one in an appliance's harness."""
    return log_uniform(_coupling(_GHOST_LEAST), _coupling(_GHOST_MOST))


def line() -> tuple[Part | Source, ...]:
    """Mains as an appliance's own circuits see it: nodes ``hot``, ``neutral`` and the reference ``earth``."""
    return (
        Source("line", "line_hot", "earth", NOMINAL),
        Part("cord_hot", "line_hot", "hot", Resistance(evenly(0.02, 0.2))),
        Part("neutral_conductor", "earth", "neutral", Resistance(evenly(0.02, 0.2))),
    )


def line_changes() -> dict[str, tuple[Change, ...]]:
    """What a bad supply does to a circuit that begins with :func:`line`.

    A low supply is not among them: the case's supply voltage already scales every source.
    """
    return {
        "no_supply": (Level("line", nothing()),),
        "neutral_open": (Open("neutral_conductor"),),
        "supply_cord_open": (Open("cord_hot"),),
    }


def outlet_circuit() -> Circuit:
    """The branch from the panel, where neutral and ground are bonded, to the outlet, with something plugged in."""
    return Circuit(
        id="supply",
        reference="earth",
        frequency=FREQUENCY,
        parts=(
            Source("line", "panel_hot", "earth", NOMINAL),
            Part("branch_hot", "panel_hot", "outlet_hot", Resistance(evenly(0.03, 0.25))),
            Part("branch_neutral", "earth", "outlet_neutral", Resistance(evenly(0.03, 0.25))),
            Part("branch_ground", "earth", "outlet_ground", Resistance(evenly(0.03, 0.25))),
            Part("branch_load", "outlet_hot", "outlet_neutral", Resistance(decades(30.0, 3000.0))),
            Part("hot_to_ground", "outlet_hot", "outlet_ground", Capacitance(decades(3e-10, 3e-9))),
            Part("neutral_to_ground", "outlet_neutral", "outlet_ground", Capacitance(decades(3e-10, 3e-9))),
        ),
        changes={
            "no_supply": (Level("line", nothing()),),
            "supply_voltage_low": (Level("line", _low_fraction()),),
            "neutral_open": (Open("branch_neutral"),),
            "ground_missing": (Open("branch_ground"),),
            "polarity_reversed": (Swap("branch_hot", "branch_neutral"),),
        },
    )


def _low_fraction() -> Spread:
    how = "from memory: a bad connection or a long, loaded branch leaves 85 to 107 V of 120 V"
    return uniform(Figure(85.0 / NOMINAL, "from_memory", how), Figure(107.0 / NOMINAL, "from_memory", how))


def outlet_tests(powered: str, zone: str) -> tuple[Test, ...]:
    """The three voltages at the outlet, taken in a powered state."""
    return (
        replace(
            _at_outlet("outlet_voltage", "hot to neutral", 2.0, ("hot", "neutral"), powered, zone),
            limits=(AT_OUTLET,), measures="supply_voltage",
        ),
        replace(
            _at_outlet("outlet_neutral_to_ground", "neutral to ground", 2.5, ("neutral", "ground"), powered, zone),
            limits=(Limit(high=common_practice(3.0)),),
        ),
        replace(
            _at_outlet("outlet_hot_to_ground", "hot to ground", 2.5, ("hot", "ground"), powered, zone),
            limits=(AT_OUTLET,),
        ),
    )  # fmt: skip


def _at_outlet(id_: str, title: str, minutes: float, slots: tuple[str, str], powered: str, zone: str) -> Test:
    one, other = slots
    return Test(
        id_, f"Voltage at the outlet, {title}", "voltage", (powered,), zone, from_memory(minutes),
        (Between("supply", f"outlet_{one}", f"outlet_{other}"),), unit="V", instrument="multimeter",
        steps=("Use the free half of the outlet, so that the appliance stays plugged in; where there is none, unplug "
               "it and read where its plug was.",
               f"Read from {one} to {other} with insulated probes: hot is the short slot, neutral the long one, ground "
               "the round hole."),
        cautions=(LIVE_PARTS, "Leave repairs behind the outlet to a licensed electrician."),
    )  # fmt: skip


def _rate(share: float) -> Figure:
    return from_memory(BESIDE_THE_CALL * share)


def supply_faults() -> tuple[Fault, ...]:
    """What can be wrong up to the appliance's own wiring."""
    return (
        Fault("no_supply", "No supply at the outlet", _rate(0.02)),
        Fault("supply_voltage_low", "Supply voltage low at the outlet", _rate(0.008), excludes=("no_supply",)),
        Fault("polarity_reversed", "Hot and neutral crossed at the outlet", _rate(0.006)),
        Fault("ground_missing", "No equipment ground at the outlet", _rate(0.012)),
        Fault("neutral_open", "Neutral open in the branch", _rate(0.003), excludes=("no_supply",)),
        Fault("supply_cord_open", "Supply cord or its terminals open", _rate(0.005), part="supply_cord"),
    )


def supply_parts() -> tuple[ReplaceablePart, ...]:
    """Parts of the supply that a service technician carries."""
    return (ReplaceablePart("supply_cord", "Supply cord", from_memory(30.0)),)


def supply_repairs(
    isolated: str, outside: str, terminals: str, works: tuple[str, ...], minutes_to_reset: float = 5.0,
) -> tuple[Repair, ...]:  # fmt: skip
    """Repairs up to the appliance's own wiring, closed as :func:`supply_closings` says.

    ``terminals`` is the zone of the cord's terminals; ``works`` are the closing checks that show that it all works.
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
            closing_checks=("supply_voltage_in_range", "outlet_wired_correctly", *works),
        ),
        *_electricians(isolated, outside, works),
        Repair(
            "replace_supply_cord", "Replace the supply cord or mend its terminals",
            remembered({"supply_cord_open": 0.97}), from_memory(20.0), isolated, (terminals,), part="supply_cord",
            steps=("Note which wire sits where; hot, neutral and ground each go back to their own terminal.",
                   "Cut back discoloured wire to sound copper; a burnt terminal is replaced, not cleaned.",
                   "Fit a cord of the same rating and plug, with its strain relief; the ground wire goes on first."),
            cautions=("Never cut off a ground pin, and never leave the ground conductor unconnected.",),
            closing_checks=("ground_continuous", "supply_voltage_in_range", "outlet_wired_correctly", *works),
        ),
    )  # fmt: skip


def _electricians(isolated: str, outside: str, works: tuple[str, ...]) -> tuple[Repair, ...]:
    """What is handed over: the wiring of the outlet, and a supply that is low."""
    outlet = Repair(
        "correct_outlet_wiring", "Have the outlet's wiring corrected",
        remembered({"polarity_reversed": 0.97, "ground_missing": 0.93, "neutral_open": 0.9}),
        from_memory(45.0), isolated, (outside,), skill="electrical_licence",
        steps=("Leave the appliance unplugged and mark the outlet out of use.",
               "Hand over to a licensed electrician with the three outlet voltages as found."),
        cautions=("House wiring is licensed work under most codes: do not open the outlet.",),
        closing_checks=("outlet_wired_correctly", "supply_voltage_in_range", *works),
    )  # fmt: skip
    low = replace(
        outlet, id="raise_supply_voltage", title="Have the low supply voltage put right",
        cures=remembered({"supply_voltage_low": 0.9}), minutes=from_memory(60.0),
        steps=("Leave the appliance unplugged: a bad connection that drops the voltage can overheat.",
               "Note what else is fed by the branch.",
               "Hand over to a licensed electrician or the utility with the voltages as found."),
    )  # fmt: skip
    return (outlet, low)


def supply_closings() -> tuple[Closing, ...]:
    """What :func:`supply_repairs` must show before the job is left."""
    return (
        Closing("supply_voltage_in_range", "The outlet's voltage is in range while the appliance draws its load.",
                "outlet_voltage"),
        Closing("outlet_wired_correctly",
                "Hot to ground reads as hot to neutral, and neutral to ground next to nothing.",
                "outlet_hot_to_ground"),
        Closing("ground_continuous",
                "With the cord unplugged, next to no resistance is read from its ground pin to bare metal of the "
                "chassis."),
    )  # fmt: skip


def wiring_condition(isolated: str, zone: str, by_fault: dict[str, Outcomes], when: When | None = None) -> Test:
    """A look at the wiring: sound, scorched or wet."""
    return Test(
        "wiring_condition", "Condition of the wiring and its terminals", "seen", (isolated,), zone, from_memory(4.0),
        (Table(remembered({"sound": 0.985, "scorched": 0.01, "wet": 0.005}), by_fault),),
        outcomes=("sound", "scorched", "wet"), when=when or {},
        steps=("Look along the harness, plugs and terminals for browning, melted insulation and water.",),
        cautions=("Scorched or wet wiring stays switched off until it is mended.",),
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


