"""The 120 V branch and its outlet: circuit, tests, faults and parts that any plug-in appliance shares.

The outlet is a circuit of its own.  Circuits inside an appliance begin with :func:`line`, and take what a bad supply
does to them from :func:`line_changes`.
"""

from __future__ import annotations

import math
from dataclasses import replace

from probewright.packs import (
    C84_SERVICE_A_120,
    C84_UTILIZATION_A_120,
    Between,
    Capacitance,
    Change,
    Circuit,
    Contact,
    Fault,
    Figure,
    Level,
    Limit,
    Open,
    Outcomes,
    Part,
    ReplaceablePart,
    Resistance,
    Source,
    Spread,
    Supply,
    Swap,
    Table,
    Test,
    When,
    common_practice,
    derived,
    from_memory,
    log_uniform,
    normal,
    published,
    uniform,
)
from probewright_packs.common.cautions import LIVE_PARTS
from probewright_packs.common.numbers import decades, evenly, nothing, remembered

#: From hot to neutral of a 120 V outlet.
OUTLET_VOLTS = C84_SERVICE_A_120.nominal
FREQUENCY = published(60.0, "ANSI C84.1, Electric Power Systems and Equipment: Voltage Ratings (60 Hertz)")
#: What an outlet may show: the utilization voltage, behind the house wiring.
AT_OUTLET = Limit(C84_UTILIZATION_A_120.low, C84_UTILIZATION_A_120.high)

#: Volts at an outlet from which something is wrong that burns out appliances.
HIGHEST_AT_OUTLET = Figure(
    1.1 * OUTLET_VOLTS, "from_memory", "10 % over nominal, above the 127 V of Range B of ANSI C84.1; both from memory"
)

#: Mains inside an appliance, at the nominal supply: the trade takes 5 % either way for "line voltage".
LINE_VOLTAGE = Limit(
    common_practice(0.95 * OUTLET_VOLTS), common_practice(1.05 * OUTLET_VOLTS), scales_with_supply=True
)

#: A fault's rate as a share of the calls that are made for it: seldom is it there when another one was the reason.
BESIDE_THE_CALL = from_memory(0.25)

_DEVIATION = derived(
    (C84_SERVICE_A_120.high - C84_SERVICE_A_120.low) / 4,
    f"{C84_SERVICE_A_120.high.source}, taken as two standard deviations either way",
)
SUPPLY = Supply(nominal=OUTLET_VOLTS, unmeasured=normal(OUTLET_VOLTS, _DEVIATION))

#: Input of a common multimeter, for which the trade quotes its ghost voltages.
_METER_OHMS = common_practice(10e6)
_GHOST_LEAST, _GHOST_MOST = common_practice(20.0), common_practice(80.0)


#: Ohms of a loose or burnt connection in the supply: from where nothing heats any more, to next to open.
_BAD_CONTACT = decades(300.0, 2e4)


def _coupling(volts: float) -> Figure:
    """Farads that let a floating conductor read ``volts`` on a 10 Mohm meter beside a live one."""
    ratio = math.sqrt((OUTLET_VOLTS / volts) ** 2 - 1)
    farads = 1 / (2 * math.pi * FREQUENCY * _METER_OHMS * ratio)
    how = f"common practice: a floating wire reads 20 to 80 V on 10 Mohm; the capacitance that gives {volts:g} V"
    return Figure(farads, "common_practice", how)


def stray() -> Spread:
    """Stray capacitance (farad) between a live conductor and another one in an appliance's harness."""
    return log_uniform(_coupling(_GHOST_LEAST), _coupling(_GHOST_MOST))


def line() -> tuple[Part | Source, ...]:
    """Mains as an appliance's own circuits see it: nodes ``hot``, ``neutral`` and the reference ``earth``."""
    return (
        Source("line", "line_hot", "earth", OUTLET_VOLTS),
        Part("cord_hot", "line_hot", "hot", Resistance(evenly(0.02, 0.2))),
        Part("neutral_conductor", "earth", "neutral", Resistance(evenly(0.02, 0.2))),
    )


def line_changes(*, heavy: bool = False) -> dict[str, tuple[Change, ...]]:
    """What a bad supply does to a circuit that begins with :func:`line`.

    A low supply is not among them: the case's supply voltage already scales every source.  A voltage under which no
    appliance works is no such condition, so that what brings it about acts here.  A ``heavy`` load, of amperes, leaves
    next to nothing behind a bad connection: it counts as open there.
    """
    bad = {
        f"{side}_connection_bad": (Open(of) if heavy else Contact(of, _BAD_CONTACT),)
        for side, of in (("supply", "cord_hot"), ("neutral", "neutral_conductor"))
    }
    return {
        **bad,
        "no_supply": (Level("line", nothing()),),
        "supply_voltage_high": (Level("line", _high_fraction()),),
        "neutral_open": (Open("neutral_conductor"),),
        "supply_cord_open": (Open("cord_hot"),),
    }


def outlet_circuit(low: tuple[str, ...] = ("supply_voltage_low",)) -> Circuit:
    """The branch from the panel, where neutral and ground are bonded, to the outlet, with something plugged in.

    ``low`` names the faults that are a low supply.
    """
    return Circuit(
        id="supply",
        reference="earth",
        frequency=FREQUENCY,
        parts=(
            Source("line", "panel_hot", "earth", OUTLET_VOLTS),
            Part("branch_hot", "panel_hot", "outlet_hot", Resistance(evenly(0.03, 0.25))),
            Part("branch_neutral", "earth", "outlet_neutral", Resistance(evenly(0.03, 0.25))),
            Part("branch_ground", "earth", "outlet_ground", Resistance(evenly(0.03, 0.25))),
            Part("branch_load", "outlet_hot", "outlet_neutral", Resistance(decades(30.0, 3000.0))),
            Part("hot_to_ground", "outlet_hot", "outlet_ground", Capacitance(decades(3e-10, 3e-9))),
            Part("neutral_to_ground", "outlet_neutral", "outlet_ground", Capacitance(decades(3e-10, 3e-9))),
        ),
        changes={
            "no_supply": (Level("line", _dead_fraction()),),
            **dict.fromkeys(low, (Level("line", _low_fraction()),)),
            "supply_connection_bad": (Level("line", _bad_fraction()),),
            "neutral_connection_bad": (Contact("branch_neutral", _BAD_CONTACT),),
            "supply_voltage_high": (Level("line", _high_fraction()),),
            "neutral_open": (Open("branch_neutral"),),
            "ground_missing": (Open("branch_ground"),),
            "polarity_reversed": (Swap("branch_hot", "branch_neutral"),),
        },
    )


def _dead_fraction() -> Spread:
    how = "from memory: a dead branch still shows up to some 2.5 V that its neighbours couple in"
    return log_uniform(*(Figure(volts / OUTLET_VOLTS, "from_memory", how) for volts in (0.002, 2.5)))


def _low_fraction() -> Spread:
    return _fraction(85.0, 107.0, "from memory: a poor joint or a long, loaded branch leaves 85 to 107 V of 120 V")


def _bad_fraction() -> Spread:
    return _fraction(0.0, 86.0, "from memory: a loose or burnt connection leaves anything up to 86 V of 120 V")


def _high_fraction() -> Spread:
    return _fraction(
        float(HIGHEST_AT_OUTLET), 2.0 * OUTLET_VOLTS,
        "from memory: an open neutral of a 120/240 V service leaves up to twice the 120 V, by how the loads share it",
    )  # fmt: skip


def _fraction(low: float, high: float, how: str) -> Spread:
    """Volts as shares of the nominal ones."""
    return uniform(*(Figure(volts / OUTLET_VOLTS, "from_memory", how) for volts in (low, high)))


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


def supply_faults(low_when: When | None = None) -> tuple[Fault, ...]:
    """What can be wrong up to the appliance's own wiring; ``low_when`` says which appliances feel a low supply."""
    low, bad = ("no_supply", "supply_connection_bad", "supply_voltage_high"), ("no_supply", "supply_voltage_high")
    return (
        Fault("no_supply", "No supply at the outlet", _rate(0.02)),
        Fault("supply_voltage_low", "Supply voltage low at the outlet", _rate(0.008), excludes=low,
              when=low_when or {}),
        Fault("supply_connection_bad", "Bad connection on the hot side of the supply", _rate(0.006), excludes=bad),
        Fault("neutral_connection_bad", "Bad connection in the neutral of the branch", _rate(0.003),
              excludes=("no_supply", "neutral_open")),
        Fault("supply_voltage_high", "Supply voltage dangerously high", _rate(0.003), excludes=("no_supply",)),
        Fault("polarity_reversed", "Hot and neutral crossed at the outlet", _rate(0.006)),
        Fault("ground_missing", "No equipment ground at the outlet", _rate(0.012)),
        Fault("neutral_open", "Neutral open in the branch", _rate(0.003), excludes=("no_supply",)),
        Fault("supply_cord_open", "Supply cord or its terminals open", _rate(0.005), part="supply_cord"),
    )  # fmt: skip


def supply_parts() -> tuple[ReplaceablePart, ...]:
    """Parts of the supply that a service technician carries."""
    return (ReplaceablePart("supply_cord", "Supply cord", from_memory(30.0)),)


def wiring_condition(isolated: str, zone: str, by_fault: dict[str, Outcomes], when: When | None = None) -> Test:
    """A look at the wiring: sound, scorched or wet."""
    return Test(
        "wiring_condition", "Condition of the wiring and its terminals", "seen", (isolated,), zone, from_memory(4.0),
        (Table(remembered({"sound": 0.985, "scorched": 0.01, "wet": 0.005}), by_fault),),
        outcomes=("sound", "scorched", "wet"), when=when or {},
        steps=("Look along the harness, plugs and terminals for browning, melted insulation and water.",),
        cautions=("Scorched or wet wiring stays switched off until it is mended.",),
    )  # fmt: skip
