"""The wiring of one oven burner.  Bake and broil are made by the same functions, so nothing is written twice."""

from __future__ import annotations

from probewright.packs import (
    Capacitance,
    Change,
    Circuit,
    Contact,
    Open,
    Part,
    Requirement,
    Resistance,
    common_practice,
    from_memory,
)
from probewright_packs.common.numbers import decades, evenly
from probewright_packs.common.relay_board import ENOUGH_VOLTS, relay, undriven
from probewright_packs.common.supply import FREQUENCY, line, line_changes, stray
from probewright_packs.common.thermostat import calling_thermostat
from probewright_packs.common.valve import (
    bimetal_valve,
    glowing,
    igniter,
    igniter_changes,
    module_input,
    solenoid_valve,
    valve_changes,
)
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

_VALVE_OHMS = from_memory(1.0)

#: Faults that keep an electronic control from closing the contact of either burner.
BLOCK_THE_CONTROL = (
    "board_dead", "board_wire_open", "board_sensor_input_failed", "control_locked",
    "oven_sensor_open", "oven_sensor_shorted", "oven_sensor_harness_open",
)  # fmt: skip
#: Faults that are a low supply and nothing else: where the oven feels it, and where a pilot lights it.
LOW_SUPPLY = ("supply_voltage_low", "supply_low_beside_pilot_oven")


def burner_circuit(burner: str) -> Circuit:
    """Line, contact of the control, harness, and load: igniter and valve in series, or solenoid and spark module."""
    out, feed, middle = f"{burner}_out", f"{burner}_feed", f"{burner}_middle"
    contact, valve = f"{burner}_contact", f"{burner}_valve"
    return Circuit(
        id=burner,
        reference="earth",
        frequency=FREQUENCY,
        parts=(
            *line(),
            relay(contact, "hot", out, (burner,), ELECTRONIC),
            calling_thermostat(contact, "hot", out, (burner,), MECHANICAL),
            Part(f"{burner}_harness", out, feed, Resistance(evenly(0.02, 0.2))),
            Part(f"{burner}_stray", "hot", feed, Capacitance(stray())),
            *(igniter(f"{burner}_igniter", feed, middle, glowing(*BAND[style], _VALVE_OHMS), {"igniter_style": style})
              for style in STYLES),
            bimetal_valve(valve, middle, "neutral", HOT_SURFACE),
            solenoid_valve(valve, feed, "neutral", OVEN_SPARK),
            module_input(f"{burner}_spark_input", feed, "neutral", OVEN_SPARK),
        ),
        changes=_changes(burner),
        when=OVEN_ELECTRIC,
    )


def _changes(burner: str) -> dict[str, tuple[Change, ...]]:
    kept_open = (*BLOCK_THE_CONTROL, f"{burner}_relay_open", "thermostat_contacts_open")
    return {
        **line_changes(heavy=True),
        **undriven(kept_open, f"{burner}_contact"),
        **igniter_changes(f"{burner}_igniter"),
        **valve_changes(f"{burner}_valve"),
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
