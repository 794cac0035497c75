"""Both supplies of the family: 120/240 V of an electric dryer, and the 120 V outlet of a gas dryer."""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import (
    Change,
    Circuit,
    Contact,
    Fault,
    Figure,
    Leak,
    Level,
    Open,
    Part,
    Resistance,
    Source,
    Spread,
    Switch,
    Tap,
    from_memory,
    log_uniform,
    uniform,
)
from probewright_packs.clothes_dryer.options_and_states import ELECTRIC, GAS
from probewright_packs.common.changes import only
from probewright_packs.common.numbers import decades, evenly
from probewright_packs.common.supply import (
    BESIDE_THE_CALL,
    OUTLET_VOLTS,
    line_changes,
    outlet_circuit,
    stray,
    supply_faults,
)
from probewright_packs.common.two_legs import LEG_TO_NEUTRAL, TWO_LEGS, leg_changes, legs_circuit
from probewright_packs.common.two_legs_tests import leg_faults

#: 240 V between the legs; a gas dryer takes 120 V of the same service.
SUPPLY = replace(TWO_LEGS, taps=(Tap(OUTLET_VOLTS, GAS),))

_LOW = uniform(*(
    Figure(volts / OUTLET_VOLTS, "from_memory", "from memory: a poor joint or a long, loaded branch leaves 85 to 107 V")
    for volts in (85.0, 107.0)
))  # fmt: skip


def coupling() -> Spread:
    """Stray capacitance (farad) from a live wire to one that floats beside it.

    From next to none, where they part soon, up to what lets it read 80 V: a ghost voltage proves nothing, nor does the
    lack of one.
    """
    return log_uniform(from_memory(1e-12), stray().second)


def _leg(which: str, phase: float) -> tuple[Part | Source, ...]:
    """One leg up to the dryer's own wiring; branch, cord and terminal are one conductor here."""
    return (
        Source(f"line_{which}", f"panel_{which}", "earth", LEG_TO_NEUTRAL, phase, ELECTRIC),
        Part(f"cord_{which}", f"panel_{which}", f"leg_{which}", _CONDUCTOR, ELECTRIC),
    )


def fed(*, two_legs: bool) -> tuple[Part | Source | Switch, ...]:
    """Either supply as far as a circuit of the dryer feels it: the leaner the network, the sooner it is solved.

    Nodes ``leg_one`` (the hot side, of a gas dryer too) and ``neutral``; with ``two_legs`` there are ``leg_two`` and
    ``chassis`` in electric dryers.  The supply itself is read in circuits of its own, with the house behind it.
    """
    second = (*_leg("two", 180.0), Part("ground_conductor", "earth", "chassis", _CONDUCTOR, ELECTRIC))
    neutral = Part("neutral_conductor", "earth", "neutral", _CONDUCTOR)
    return (
        *_leg("one", 0.0),
        *(second if two_legs else ()),
        *(replace(neutral, when=GAS if two_legs else {}),),
        Source("line", "line_hot", "earth", OUTLET_VOLTS, when=GAS),
        Part("cord_hot", "line_hot", "leg_one", _CONDUCTOR, GAS),
    )


_CONDUCTOR = Resistance(evenly(0.03, 0.14))
#: An open neutral of the service: from memory, the loads of the house leave each leg a tenth to nine tenths of 240 V.
_UNEQUAL = evenly(0.2, 1.8)
#: An outlet that was wired for 120 V: leg two's terminal is joined to the neutral, and no leg leads there.
_ON_NEUTRAL: tuple[Change, ...] = (Open("cord_two"), Leak("leg_two", "earth", evenly(0.05, 0.2)))
_BLOCK = {"block_one": "cord_one", "block_two": "cord_two", "block_neutral": "neutral_conductor"}


def _lean(changes: tuple[Change, ...]) -> tuple[Change, ...]:
    """A bad contact of the terminal block sits in the one conductor that there is."""
    return tuple(
        Contact(_BLOCK.get(change.part, change.part), change.ohms) if isinstance(change, Contact) else change
        for change in changes
    )


def fed_changes(*, heavy: bool = False) -> dict[str, tuple[Change, ...]]:
    """What a bad supply of either kind does to a circuit that begins with :func:`fed`, as far as it fits there.

    A voltage under the utilization range is no condition to work under here, so that a low one acts in every circuit.
    A ``heavy`` load, of amperes, leaves next to nothing behind a bad connection of the 120 V outlet.
    """
    of_legs = {fault: _lean(changes) for fault, changes in leg_changes().items()}
    at_outlet = {**line_changes(heavy=heavy), "supply_voltage_low": (Level("line", _LOW),)}
    return {
        **of_legs, "service_neutral_open": (Level("line_one", _UNEQUAL),), "leg_two_on_neutral": _ON_NEUTRAL,
        **at_outlet,
    }  # fmt: skip


def supply_circuits() -> tuple[Circuit, ...]:
    """The supply itself, in which its voltages are read."""
    two_legs = legs_circuit(ELECTRIC)
    joined = (Open("cord_two"), Leak("inlet_two", "inlet_neutral", evenly(0.005, 0.05)))
    # At off the contacts of control and motor stand open between the legs: moisture and lint alone tie them.
    apart = Part("left_on", "inlet_one", "inlet_two", Resistance(decades(1e6, 1e9)))
    two_legs = replace(
        two_legs, changes={**two_legs.changes, "leg_two_on_neutral": joined},
        parts=tuple(apart if part.id == apart.id else part for part in two_legs.parts),
    )  # fmt: skip
    return (two_legs, *only(GAS, (outlet_circuit(),)))


_JOINED = Fault(
    "leg_two_on_neutral", "Outlet wired for 120 V: leg two's terminal on the neutral",
    from_memory(BESIDE_THE_CALL * 0.004), excludes=("both_legs_dead", "leg_one_dead", "leg_two_dead",
                                                    "legs_neutral_open", "service_neutral_open", "legs_voltage_low",
                                                    "supply_208_volts"),
    when=ELECTRIC,
)  # fmt: skip

SUPPLY_FAULTS = (*leg_faults(ELECTRIC), _JOINED, *only(GAS, supply_faults()))
