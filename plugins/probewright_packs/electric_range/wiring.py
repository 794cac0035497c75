"""All circuits of the range: supply, board, oven, surface units, door latch and sensor.

Oven: leg one, the board's relay, harness, element; leg two reaches both elements through the oven's thermal limit,
whatever the control is set to.  So an element that touches its sheath heats by half at off, and only the breaker makes
an element dead.  Surface units: an infinite switch opens both legs at off, and one of them by turns below high.
"""

from __future__ import annotations

from probewright.packs import (
    Capacitance,
    Change,
    Circuit,
    Contact,
    Drift,
    Leak,
    Open,
    Part,
    Resistance,
    Short,
    Stuck,
    Switch,
    Winding,
)
from probewright_packs.common.changes import fitting, together, under_all
from probewright_packs.common.numbers import decades, evenly
from probewright_packs.common.platinum import sensor_circuit
from probewright_packs.common.relay_board import CLOSED, WELDED, board, board_changes, relay, relay_changes, undriven
from probewright_packs.common.supply import FREQUENCY, stray
from probewright_packs.common.thermostat import thermostat
from probewright_packs.common.two_legs import leg_changes, legs, legs_circuit
from probewright_packs.electric_range.heaters import BAKE_HALF, BROIL_HALF, SURFACE_HALF
from probewright_packs.electric_range.options_and_states import (
    BAKE,
    BROIL,
    COIL,
    LOCK,
    OTHER,
    RADIANT,
    SURFACE,
    SURFACE_LOW,
)

ELEMENTS = (BAKE, BROIL)
_ALL = ("off", BAKE, BROIL, SURFACE, SURFACE_LOW, OTHER, LOCK)
#: Faults under which the board closes neither relay of the oven.
BLOCK_THE_OVEN = (
    "board_dead", "board_wire_open", "control_locked", "latch_switch_wrong", "board_sensor_input_failed",
    "oven_sensor_open", "oven_sensor_shorted", "oven_sensor_harness_open",
)  # fmt: skip
#: Ohms of a connection that has burnt: it still leads, and takes a good part of the heat to itself.
_BURNT = decades(3.0, 60.0)
#: Ohms from a coil to its sheath where the insulation between them has gone.
_TOUCHES = decades(0.2, 1000.0)
_WIRE = evenly(0.01, 0.1)


def _touches(feed: str, middle: str) -> tuple[Change, ...]:
    """A coil that touches its sheath somewhere between its fed end and its middle: now nearer to one, now the other."""
    return (Leak(feed, "chassis", _TOUCHES), Leak(middle, "chassis", _TOUCHES))


#: The supply of what works on 120 V from leg one, and of what heats from leg to leg.
_ONE_LEG = legs("cord_two", "block_two")
_BOTH_LEGS = legs("neutral_conductor", "block_neutral")


def _board() -> Circuit:
    return Circuit(
        id="board", reference="earth", frequency=FREQUENCY, parts=(*_ONE_LEG, *board("leg_one")),
        changes={**fitting(_ONE_LEG, leg_changes()), **board_changes()},
    )  # fmt: skip


def _element_parts(name: str) -> tuple[Part | Switch, ...]:
    half = Resistance(BAKE_HALF if name == BAKE else BROIL_HALF)
    out, feed, middle = f"{name}_out", f"{name}_feed", f"{name}_middle"
    return (
        relay(f"{name}_relay", "leg_one", out, (name,)),
        Part(f"{name}_harness", out, feed, Resistance(_WIRE)),
        Part(f"{name}_stray", "leg_one", feed, Capacitance(stray())),
        Part(f"{name}_element", feed, middle, half),
        Part(f"{name}_element_end", middle, "oven_common", half, like=f"{name}_element"),
        Part(f"{name}_insulation", middle, "chassis", Resistance(decades(1e7, 1e9))),
    )


def _element_changes(name: str) -> dict[str, tuple[Change, ...]]:
    return {
        **relay_changes(f"{name}_relay"),
        f"{name}_harness_open": (Open(f"{name}_harness"),),
        f"{name}_connection_burnt": (Contact(f"{name}_harness", _BURNT),),
        f"{name}_element_open": (Open(f"{name}_element"),),
        f"{name}_element_touches_case": _touches(f"{name}_feed", f"{name}_middle"),
    }


def _oven() -> Circuit:
    return Circuit(
        id="oven",
        reference="earth",
        frequency=FREQUENCY,
        parts=(
            *_BOTH_LEGS,
            thermostat("oven_limit", "leg_two", "oven_common", _ALL),
            *(part for name in ELEMENTS for part in _element_parts(name)),
        ),
        changes=together(
            fitting(_BOTH_LEGS, leg_changes()),
            {"oven_limit_open": (Stuck("oven_limit", "open"),)},
            undriven(BLOCK_THE_OVEN, "bake_relay", "broil_relay"),
            *(_element_changes(name) for name in ELEMENTS),
        ),
    )


def _unit(name: str, high: str, commands: tuple[str, ...]) -> tuple[Part | Switch, ...]:
    """A surface unit with its infinite switch: one contact opens with the knob, the other also by turns."""
    hot, ret, limited, fed, back = (f"{name}_{node}" for node in ("hot", "return", "limited", "fed", "back"))
    middle = f"{name}_middle"
    half = Resistance(SURFACE_HALF)
    return (
        Switch(f"{name}_cycling_contact", "leg_one", hot, (high,), CLOSED),
        Switch(f"{name}_knob_contact", "leg_two", ret, commands, CLOSED),
        Part(f"{name}_harness", hot, limited, Resistance(_WIRE)),
        Part(f"{name}_receptacle", limited, fed, Resistance(_WIRE), COIL),
        thermostat(f"{name}_limiter", limited, fed, _ALL, when=RADIANT),
        Part(f"{name}_stray", "leg_one", fed, Capacitance(stray())),
        Part(f"{name}_element", fed, middle, half),
        Part(f"{name}_element_end", middle, back, half, like=f"{name}_element"),
        Part(f"{name}_return", back, ret, Resistance(_WIRE)),
        Part(f"{name}_insulation", middle, "chassis", Resistance(decades(1e7, 1e9))),
    )


def _surface() -> Circuit:
    return Circuit(
        id="surface",
        reference="earth",
        frequency=FREQUENCY,
        parts=(*_BOTH_LEGS, *_unit("surface", SURFACE, (SURFACE, SURFACE_LOW)), *_unit("other", OTHER, (OTHER,))),
        changes=together(
            fitting(_BOTH_LEGS, leg_changes()),
            {
                "surface_switch_open": (Open("surface_cycling_contact"),),
                "surface_switch_welded": (Short("surface_cycling_contact", WELDED),),
                "surface_harness_open": (Open("surface_harness"),),
                "surface_receptacle_burnt": (Contact("surface_receptacle", decades(3.0, 3e3)),),
                "surface_limiter_open": (Stuck("surface_limiter", "open"),),
                "surface_element_open": (Open("surface_element"),),
                "surface_element_weak": (Drift("surface_element", evenly(2.2, 4.0)),),
                "surface_element_touches_case": _touches("surface_fed", "surface_middle"),
            },
        ),
    )


def _latch() -> Circuit:
    """The motor that locks the door, driven by the board."""
    return Circuit(
        id="latch",
        reference="earth",
        frequency=FREQUENCY,
        parts=(
            *_ONE_LEG,
            relay("latch_relay", "leg_one", "latch_out", (LOCK,)),
            Part("latch_harness", "latch_out", "latch_feed", Resistance(_WIRE)),
            Part("latch_stray", "leg_one", "latch_feed", Capacitance(stray())),
            Part("latch_motor", "latch_feed", "neutral", Winding(evenly(1500.0, 3500.0), evenly(2.0, 6.0))),
        ),
        changes=together(
            fitting(_ONE_LEG, leg_changes()),
            undriven(("board_dead", "board_wire_open", "control_locked"), "latch_relay"),
            under_all(("latch_relay_open",), (Stuck("latch_relay", "open"),)),
            {"latch_motor_open": (Open("latch_motor"),)},
        ),
    )


CIRCUITS = (legs_circuit(), _board(), _oven(), _surface(), _latch(), sensor_circuit("sensor", "oven_sensor", {}))
