"""All circuits of the range: supply, each oven burner, sensor, board, and the spark ignition of the cooktop."""

from __future__ import annotations

from probewright.packs import (
    Capacitance,
    Circuit,
    Contact,
    Open,
    Part,
    Requirement,
    Resistance,
    Short,
    Stuck,
    Swap,
    Switch,
)
from probewright_packs.common.numbers import decades, evenly
from probewright_packs.common.platinum import sensor_circuit
from probewright_packs.common.relay_board import ENOUGH_VOLTS, board, board_changes
from probewright_packs.common.supply import FREQUENCY, line, line_changes, outlet_circuit, stray
from probewright_packs.common.valve import module_input
from probewright_packs.gas_range.burner_wiring import BURNERS, LOW_SUPPLY, burner_circuit
from probewright_packs.gas_range.options_and_states import COOKTOP_SPARK, ELECTRONIC, FLAME_SENSING, LIVE

#: Current (A) through a flame, at mains voltage, from which a module takes it for one.
_FLAME_CURRENT = evenly(1e-6, 2e-6)


def _board() -> Circuit:
    return Circuit(
        id="board",
        reference="earth",
        frequency=FREQUENCY,
        parts=(
            *line(),
            *board(),
        ),
        changes={**line_changes(), **board_changes()},
        when=ELECTRONIC,
    )


def _spark() -> Circuit:
    """One ignition switch stands for the knob that is used, another for all other knobs, in parallel."""
    return Circuit(
        id="spark",
        reference="earth",
        frequency=FREQUENCY,
        parts=(
            *line(),
            Switch("ignition_switch", "hot", "spark_out", ("light",), evenly(0.02, 0.5)),
            Switch("other_switches", "hot", "spark_out", ("light_another",), evenly(0.02, 0.5)),
            Part("ignition_harness", "spark_out", "spark_feed", Resistance(evenly(0.02, 0.2))),
            Part("spark_stray", "hot", "spark_feed", Capacitance(stray())),
            module_input("spark_input", "spark_feed", "neutral"),
        ),
        changes={
            **line_changes(),
            "ignition_switch_stuck_open": (Stuck("ignition_switch", "open"),),
            # A wet switch leads from some tenths of an ohm to hundreds: a spark module fires on either.
            "ignition_switch_stuck_closed": (Short("ignition_switch", decades(0.05, 300.0)),),
            "ignition_harness_open": (Open("ignition_harness"),),
        },
        when=COOKTOP_SPARK,
    )


def _flame_sensing() -> Circuit:
    """The path by which a module senses flames: from hot, through electrode and flame, to ground.

    A dead supply is left out on purpose: then there is no spark to stop.
    """
    return Circuit(
        id="flame_sensing",
        reference="earth",
        frequency=FREQUENCY,
        parts=(
            *line(),
            Part("ground_conductor", "earth", "chassis", Resistance(evenly(0.03, 0.25))),
            Part("flame", "hot", "chassis", Resistance(decades(5e6, 3e7))),
        ),
        changes={
            "polarity_reversed": (Swap("cord_hot", "neutral_conductor"),),
            "ground_missing": (Open("ground_conductor"),),
            "spark_electrode_dirty": (Contact("flame", decades(1e6, 1e9)),),
        },
        when=FLAME_SENSING,
    )


def spark_module_powered(state: str, command: str = "light") -> Requirement:
    """What the cooktop's spark module needs while the knob (or, ``light_another``, another one) is at light."""
    return Requirement("spark", "spark_input", "voltage", command, state, ENOUGH_VOLTS, COOKTOP_SPARK)


def flame_sensed() -> Requirement:
    """What a flame-sensing module needs to notice a flame."""
    return Requirement("flame_sensing", "flame", "current", "off", LIVE, _FLAME_CURRENT, FLAME_SENSING)


def board_powered(state: str) -> Requirement:
    """What an electronic control needs."""
    return Requirement("board", "board", "voltage", "off", state, ENOUGH_VOLTS, ELECTRONIC)


CIRCUITS = (
    outlet_circuit(LOW_SUPPLY),
    _board(),
    *(burner_circuit(burner) for burner in BURNERS),
    sensor_circuit("sensor", "oven_sensor", ELECTRONIC),
    _spark(),
    _flame_sensing(),
)
