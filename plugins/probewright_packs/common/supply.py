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
from probewright_packs.common.cautions import LIVE_PARTS
from probewright_packs.common.numbers import decades, evenly, nothing, remembered

_C84_NOMINAL = "ANSI C84.1, Table 1: nominal system voltage 120 V, 60 Hz"
_C84_SERVICE = "ANSI C84.1, Table 1: service voltage Range A, 114 to 126 V; taken as two standard deviations each way"
_C84_UTILIZATION = (
    "ANSI C84.1, Table 1: utilization voltage Range A, 0.90 to 1.05 of nominal in editions from 2006; "
    "editions to 1995 gave 110 V as the lower limit; quoted from public secondary sources"
)

NOMINAL = published(120.0, _C84_NOMINAL)
FREQUENCY = published(60.0, _C84_NOMINAL)
LOWEST = published(108.0, _C84_UTILIZATION)
HIGHEST = published(126.0, _C84_UTILIZATION)

#: Mains inside an appliance, at the nominal supply: the trade takes 5 % either way for "line voltage".
LINE_VOLTAGE = Limit(common_practice(0.95 * NOMINAL), common_practice(1.05 * NOMINAL), scales_with_supply=True)

#: A fault's rate as a share of the calls that are made for it: seldom is it there when another one was the reason.
BESIDE_THE_CALL = from_memory(0.25)

SUPPLY = Supply(nominal=NOMINAL, unmeasured=normal(NOMINAL, derived(3.0, _C84_SERVICE)))

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
    steps = ("Read at the outlet with the appliance plugged in, or in the free half of the outlet.",)
    cautions = (LIVE_PARTS, "Leave repairs behind the outlet to a licensed electrician.")
    return (
        Test(
            "outlet_voltage", "Voltage at the outlet, hot to neutral", "voltage", (powered,), zone, from_memory(2.0),
            (Between("supply", "outlet_hot", "outlet_neutral"),), unit="V", limits=(Limit(LOWEST, HIGHEST),),
            measures="supply_voltage", instrument="multimeter", steps=steps, cautions=cautions,
        ),
        Test(
            "outlet_neutral_to_ground", "Voltage at the outlet, neutral to ground", "voltage", (powered,), zone,
            from_memory(2.5), (Between("supply", "outlet_neutral", "outlet_ground"),), unit="V",
            limits=(Limit(high=common_practice(3.0)),), instrument="multimeter", steps=steps, cautions=cautions,
        ),
        Test(
            "outlet_hot_to_ground", "Voltage at the outlet, hot to ground", "voltage", (powered,), zone,
            from_memory(2.5), (Between("supply", "outlet_hot", "outlet_ground"),), unit="V",
            limits=(Limit(LOWEST, HIGHEST),), instrument="multimeter", steps=steps, cautions=cautions,
        ),
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


def supply_repairs(isolated: str, outside: str, terminals: str, minutes_to_reset: float = 5.0) -> tuple[Repair, ...]:
    """Repairs up to the appliance's own wiring; ``terminals`` is the zone of the cord's terminals."""
    electrician = "electrical_licence"
    outlet = Repair(
        "correct_outlet_wiring", "Have the outlet's wiring corrected",
        remembered({"polarity_reversed": 0.97, "ground_missing": 0.93, "neutral_open": 0.9}),
        from_memory(45.0), isolated, (outside,), skill=electrician,
        steps=("Hand over to a licensed electrician with the three outlet voltages as found.",
               "Keep the appliance unplugged until hot, neutral and ground are proven at the outlet."),
        cautions=("House wiring is licensed work under most codes.",),
        closing_checks=("outlet_wired_correctly", "supply_voltage_in_range"),
    )  # fmt: skip
    return (
        Repair(
            "restore_supply", "Restore the supply", remembered({"no_supply": 0.85}), from_memory(minutes_to_reset),
            isolated, (outside,),
            steps=("Look for a tripped breaker, a tripped ground-fault device or an open switch that feeds the outlet.",
                   "Find out why it opened before it is closed; close it once only.",
                   "When it opens again or nothing is found, hand over to a licensed electrician."),
            cautions=("A breaker that opens again is doing its work: do not hold it in or fit a larger one.",),
            closing_checks=("supply_voltage_in_range",),
        ),
        outlet,
        replace(
            outlet, id="raise_supply_voltage", title="Have the low supply voltage put right",
            cures=remembered({"supply_voltage_low": 0.9}), minutes=from_memory(60.0),
            steps=("Unplug other loads on the branch and read again.",
                   "Hand over to a licensed electrician or the utility with the voltages as found."),
        ),
        Repair(
            "replace_supply_cord", "Replace the supply cord or mend its terminals",
            remembered({"supply_cord_open": 0.97}), from_memory(20.0), isolated, (terminals,), part="supply_cord",
            steps=("Fit a cord of the same rating, with its strain relief and its ground conductor.",
                   "Cut back discoloured wire to sound copper; a burnt terminal is replaced, not cleaned."),
            closing_checks=("supply_voltage_in_range", "ground_continuous"),
        ),
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


