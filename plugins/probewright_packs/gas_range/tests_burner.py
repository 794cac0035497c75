"""Tests of one oven burner.  Bake and broil are made by the same functions."""

from __future__ import annotations

from probewright.packs import Between, Limit, Outcomes, Shows, Table, Test, Through, When, from_memory
from probewright_packs.common.cautions import HIGH_VOLTAGE, HOT_PARTS, LIVE_PARTS, ODOUR_FIRST
from probewright_packs.common.numbers import remembered
from probewright_packs.common.supply import LINE_VOLTAGE
from probewright_packs.gas_range.burner_wiring import BAND, GLOW, STYLES, spark_powered, valve_opens
from probewright_packs.gas_range.functions import keep_from_lighting
from probewright_packs.gas_range.options_and_states import (
    HOT_SURFACE,
    ISOLATED,
    LIVE,
    LIVE_GAS_OFF,
    OVEN_ELECTRIC,
    OVEN_SPARK,
)  # fmt: skip

#: Line voltage less the few volts that the valve takes.
_LESS_THE_VALVE = Limit(from_memory(110.0), LINE_VOLTAGE.high, scales_with_supply=True)
_ONE_SIDE_OFF = "Take one lead off, so that nothing else is read in parallel."


def _late(burner: str) -> dict[str, float]:
    """How often a burner that lights in spite of a fault does so late; seldom with the faults that are not listed."""
    return {
        f"{burner}_igniter_weak": 0.7, f"{burner}_harness_corroded": 0.6, f"{burner}_igniter_loose": 0.7,
        f"{burner}_spark_electrode_fouled": 0.6, "supply_voltage_low": 0.5, "oven_pilot_safety_failed": 0.7,
        "regulator_pressure_wrong": 0.2, "wrong_orifices_for_fuel": 0.2,
    }  # fmt: skip


def _lighting(burner: str) -> Test:
    fails, late = keep_from_lighting(burner), _late(burner)

    def row(fault: str) -> Outcomes:
        lights, slow = 1 - fails.get(fault, 0.01), late.get(fault, 0.02)
        return remembered({"in_time": lights * (1 - slow), "late": lights * slow, "does_not_light": 1 - lights})

    rows = {fault: row(fault) for fault in (*fails, *(fault for fault in late if fault not in fails))}
    without = tuple((needed, "does_not_light") for needed in valve_opens(burner))
    return Test(
        f"{burner}_burner_lighting", f"Lighting of the {burner} burner", "seen", (LIVE,), "outside", from_memory(8.0),
        (Table(remembered({"in_time": 0.97, "late": 0.025, "does_not_light": 0.005}), rows, without=without),),
        command=burner, outcomes=("in_time", "late", "does_not_light"),
        steps=("Put the oven together and air it; every other burner is off.",
               f"Set the oven to {burner} and note whether, and after how long, the burner lights.",
               "Set it to off when it has not lit in the time that the maker gives, and air it before another trial."),
        cautions=(ODOUR_FIRST, HOT_PARTS, "Stand clear of the open door: gas that lights late may flare up."),
    )  # fmt: skip


def _mounting(burner: str) -> Test:
    by_fault: dict[str, Outcomes] = {
        f"{burner}_igniter_loose": remembered({"firm": 0.03, "loose": 0.72, "broken": 0.25}),
        f"{burner}_igniter_open": remembered({"firm": 0.68, "loose": 0.02, "broken": 0.3}),
    }
    return Test(
        f"{burner}_igniter_mounting", f"Mounting of the {burner} igniter", "seen", (ISOLATED,), "oven_cavity",
        from_memory(3.0), (Table(remembered({"firm": 0.985, "loose": 0.012, "broken": 0.003}), by_fault),),
        outcomes=("firm", "loose", "broken"), when=HOT_SURFACE,
        steps=("Look at the igniter and its bracket; move the bracket gently, never the igniter itself.",),
        cautions=(HOT_PARTS, "A hot-surface igniter breaks at a knock and is spoilt by greasy fingers."),
    )  # fmt: skip


def _glow(burner: str) -> Test:
    models = tuple(
        Shows(burner, f"{burner}_igniter", "current", GLOW[style], ("none", "dim_orange", "white"),
              {"igniter_style": style})
        for style in STYLES
    )  # fmt: skip
    return Test(
        f"{burner}_igniter_glow", f"Glow of the {burner} igniter", "seen", (LIVE_GAS_OFF,), "oven_cavity",
        from_memory(4.0), models, command=burner, outcomes=("white", "dim_orange", "none"), when=HOT_SURFACE,
        steps=(f"Set the oven to {burner} and watch the igniter for a minute and a half in dimmed light.",),
        cautions=(LIVE_PARTS, HOT_PARTS),
    )  # fmt: skip


def _continuity(burner: str) -> Test:
    return Test(
        f"{burner}_igniter_continuity", f"Continuity of the {burner} igniter", "continuity", (ISOLATED,),
        "oven_cavity", from_memory(4.0),
        (Between(burner, f"{burner}_feed", f"{burner}_middle", (f"{burner}_valve",)),),
        outcomes=("closed", "open"), when=HOT_SURFACE, instrument="multimeter",
        steps=("Let the igniter cool, pull its plug and read between its two wires.",
               "Write down closed or open; better, measure the resistance."),
        cautions=("Closed does not prove an igniter good, and silence does not prove it open: "
                  "a sound one can read more than the beeper's threshold.",),
    )  # fmt: skip


def _resistance(burner: str) -> Test:
    return Test(
        f"{burner}_igniter_resistance", f"Cold resistance of the {burner} igniter", "resistance", (ISOLATED,),
        "oven_cavity", from_memory(4.0),
        (Between(burner, f"{burner}_feed", f"{burner}_middle", (f"{burner}_valve",)),),
        unit="ohm", when=HOT_SURFACE, instrument="multimeter",
        steps=("Let the igniter cool, pull its plug and read between its two wires.",),
        cautions=(HOT_PARTS, "Silicon carbide falls in resistance as it heats: only a cold reading can be compared."),
    )  # fmt: skip


def _current(burner: str) -> Test:
    limits = tuple(Limit(*BAND[style], scales_with_supply=True, when={"igniter_style": style}) for style in STYLES)
    return Test(
        f"{burner}_igniter_current", f"Current of the {burner} igniter", "current", (LIVE_GAS_OFF,), "rear_panel",
        from_memory(6.0), (Through(burner, f"{burner}_igniter"),), unit="A", command=burner, limits=limits,
        when=HOT_SURFACE, instrument="clamp_meter",
        steps=(f"With the clamp around one wire of the igniter alone, set the oven to {burner}.",
               "Read after a minute's heating, together with the supply voltage."),
        cautions=(LIVE_PARTS, HOT_PARTS),
    )  # fmt: skip


def _voltage(
    burner: str, name: str, title: str, *, zone: str, nodes: tuple[str, str], limit: Limit, when: When
) -> Test:
    return Test(
        f"{burner}_{name}_voltage", f"Voltage {title}", "voltage", (LIVE_GAS_OFF,), zone, from_memory(6.0),
        (Between(burner, *nodes),), unit="V", command=burner, limits=(limit,),
        when=when, instrument="multimeter",
        steps=(f"Set the oven to {burner} and read after a minute, with everything still connected.",
               "A few tens of volts on a high-impedance input say nothing: repeat with a low-impedance input."),
        cautions=(LIVE_PARTS, HOT_PARTS),
    )  # fmt: skip


def _valve_resistance(burner: str) -> Test:
    feed, middle = f"{burner}_feed", f"{burner}_middle"
    return Test(
        f"{burner}_valve_resistance", f"Resistance of the {burner} gas valve's coil", "resistance", (ISOLATED,),
        "rear_panel", from_memory(5.0),
        (Between(burner, middle, "neutral", (f"{burner}_igniter",), HOT_SURFACE),
         Between(burner, feed, "neutral", (f"{burner}_harness", f"{burner}_spark_input"), OVEN_SPARK)),
        unit="ohm", when=OVEN_ELECTRIC, instrument="multimeter",
        steps=(_ONE_SIDE_OFF,
               "Touch the leads together first; take their resistance off, for the coil may have no more than an ohm."),
    )  # fmt: skip


def _spark(burner: str) -> Test:
    by_fault: dict[str, Outcomes] = {
        f"{burner}_spark_electrode_fouled": remembered({"strong": 0.1, "weak": 0.5, "none": 0.4}),
        "oven_spark_module_dead": remembered({"strong": 0.01, "weak": 0.09, "none": 0.9}),
    }
    healthy = remembered({"strong": 0.96, "weak": 0.03, "none": 0.01})
    return Test(
        f"{burner}_spark", f"Spark at the {burner} burner", "seen", (LIVE_GAS_OFF,), "oven_cavity", from_memory(3.0),
        (Table(healthy, by_fault, without=((spark_powered(burner, LIVE_GAS_OFF), "none"),)),), command=burner,
        outcomes=("strong", "weak", "none"), when=OVEN_SPARK,
        steps=(f"Set the oven to {burner} and watch the electrode in dimmed light.",),
        cautions=(HIGH_VOLTAGE,),
    )  # fmt: skip


def burner_tests(burner: str) -> tuple[Test, ...]:
    """All tests of one oven burner."""
    out, feed, middle = f"{burner}_out", f"{burner}_feed", f"{burner}_middle"
    return (
        _lighting(burner),
        _mounting(burner),
        _glow(burner),
        _continuity(burner),
        _resistance(burner),
        _current(burner),
        _voltage(burner, "circuit", f"across the whole load of the {burner} burner", zone="rear_panel",
                 nodes=(feed, "neutral"), limit=LINE_VOLTAGE, when=OVEN_ELECTRIC),
        _voltage(burner, "igniter", f"across the {burner} igniter alone", zone="rear_panel", nodes=(feed, middle),
                 limit=_LESS_THE_VALVE, when=HOT_SURFACE),
        _voltage(burner, "control_output", f"at the control's {burner} terminal", zone="control_panel",
                 nodes=(out, "neutral"), limit=LINE_VOLTAGE, when=OVEN_ELECTRIC),
        _valve_resistance(burner),
        _spark(burner),
    )  # fmt: skip


