"""The wiring of one oven burner.  Bake and broil are made by the same functions, so nothing is written twice."""

from __future__ import annotations

from probewright.packs import (
    Capacitance,
    Change,
    Circuit,
    Contact,
    Drift,
    Figure,
    Open,
    Part,
    Requirement,
    Resistance,
    SelfHeating,
    Spread,
    Stuck,
    Switch,
    Winding,
    common_practice,
    from_memory,
    log_uniform,
    uniform,
)
from probewright_packs.common.numbers import decades, evenly
from probewright_packs.common.supply import FREQUENCY, NOMINAL, line, line_changes, stray
from probewright_packs.gas_range.options_and_states import (
    ELECTRONIC,
    HOT_SURFACE,
    LIVE,
    MECHANICAL,
    OVEN_ELECTRIC,
    OVEN_SPARK,
)  # fmt: skip

BURNERS = ("bake", "broil")
STYLES = ("flat", "round")

#: Current (A) through igniter and valve in series at the nominal supply, after a minute.
BAND = {
    "flat": (common_practice(3.2), common_practice(3.6)),
    "round": (common_practice(2.5), common_practice(3.0)),
}
#: Current (A) at which the bimetal of the matching valve opens it: somewhat under the band.
PULL_IN = {"flat": evenly(2.55, 3.05), "round": evenly(1.95, 2.4)}
#: Current (A) under which the igniter does not glow visibly, and under which its glow is not white.
GLOW = {"flat": (evenly(0.8, 1.4), evenly(2.75, 3.05)), "round": (evenly(0.6, 1.1), evenly(2.1, 2.4))}
#: Current (A) at which a solenoid valve of a spark-ignited oven opens, a good deal under what it draws.
_SOLENOID_PULL_IN = evenly(0.03, 0.06)
#: Volts that a spark module or a control needs.
ENOUGH_VOLTS = evenly(75.0, 95.0)

_VALVE_OHMS = from_memory(1.0)
#: Far under the 250 to 430 W that a glowing igniter takes, far over what a meter or stray capacitance could feed it.
_GLOWS_ABOVE = from_memory(60.0)

#: Faults that keep an electronic control from closing the contact of either burner.
BLOCK_THE_CONTROL = (
    "board_dead", "board_wire_open", "board_sensor_input_failed", "control_locked",
    "oven_sensor_open", "oven_sensor_shorted", "oven_sensor_harness_open",
)  # fmt: skip
#: Faults that are a low supply and nothing else: where the oven feels it, and where a pilot lights it.
LOW_SUPPLY = ("supply_voltage_low", "supply_low_beside_pilot_oven")


def _hot_ohms(style: str) -> Spread:
    """Resistance of the glowing igniter that gives the band with the valve in series."""
    low, high = BAND[style]
    how = f"120 V over {float(low):g} to {float(high):g} A (common practice), less 1 ohm of the valve (from memory)"
    least, most = (Figure(NOMINAL / amperes - _VALVE_OHMS, "from_memory", how) for amperes in (high, low))
    return uniform(least, most)


def _igniter(burner: str, style: str) -> Part:
    cold = log_uniform(from_memory(40.0), from_memory(400.0))
    law = SelfHeating(cold, _hot_ohms(style), _GLOWS_ABOVE)
    return Part(f"{burner}_igniter", f"{burner}_feed", f"{burner}_middle", law, {"igniter_style": style})


def burner_circuit(burner: str) -> Circuit:
    """Line, contact of the control, harness, and load: igniter and valve in series, or solenoid and spark module."""
    out, feed, middle = f"{burner}_out", f"{burner}_feed", f"{burner}_middle"
    contact, valve = f"{burner}_contact", f"{burner}_valve"
    closed = evenly(0.01, 0.1)
    return Circuit(
        id=burner,
        reference="earth",
        frequency=FREQUENCY,
        parts=(
            *line(),
            Switch(contact, "hot", out, (burner,), closed, driven=True, when=ELECTRONIC),
            Switch(contact, "hot", out, (burner,), closed, when=MECHANICAL),
            Part(f"{burner}_harness", out, feed, Resistance(evenly(0.02, 0.2))),
            Part(f"{burner}_stray", "hot", feed, Capacitance(stray())),
            *(_igniter(burner, style) for style in STYLES),
            Part(valve, middle, "neutral", Resistance(evenly(0.8, 1.3)), HOT_SURFACE),
            Part(valve, feed, "neutral", Winding(evenly(150.0, 600.0), evenly(1.5, 4.0)), OVEN_SPARK),
            Part(f"{burner}_spark_input", feed, "neutral", Resistance(decades(3e3, 15e3)), OVEN_SPARK),
        ),
        changes=_changes(burner),
        when=OVEN_ELECTRIC,
    )


def _changes(burner: str) -> dict[str, tuple[Change, ...]]:
    contact, igniter = f"{burner}_contact", f"{burner}_igniter"
    stuck: tuple[Change, ...] = (Stuck(contact, "open"),)
    return {
        **line_changes(heavy=True),
        **dict.fromkeys(BLOCK_THE_CONTROL, stuck),
        f"{burner}_relay_open": stuck,
        "thermostat_contacts_open": stuck,
        f"{burner}_igniter_open": (Open(igniter),),
        f"{burner}_igniter_weak": (Drift(igniter, evenly(1.1, 1.6)),),
        f"{burner}_valve_coil_open": (Open(f"{burner}_valve"),),
        f"{burner}_harness_open": (Open(f"{burner}_harness"),),
        f"{burner}_harness_corroded": (Contact(f"{burner}_harness", decades(4.0, 14.0)),),
    }


def valve_opens(burner: str) -> tuple[Requirement, ...]:
    """What the gas valve of a burner needs to open."""
    valve = f"{burner}_valve"
    bimetal = tuple(
        Requirement(burner, valve, "current", burner, LIVE, PULL_IN[style], {"igniter_style": style})
        for style in STYLES
    )
    return (*bimetal, Requirement(burner, valve, "current", burner, LIVE, _SOLENOID_PULL_IN, OVEN_SPARK))


def spark_powered(burner: str, state: str) -> Requirement:
    """What the spark module of an oven burner needs."""
    return Requirement(burner, f"{burner}_spark_input", "voltage", burner, state, ENOUGH_VOLTS, OVEN_SPARK)
