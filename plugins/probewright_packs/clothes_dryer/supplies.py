"""Both supplies of the family: 120/240 V of an electric dryer, and the 120 V outlet of a gas dryer."""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import (
    Change,
    Circuit,
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
from probewright_packs.common.numbers import evenly
from probewright_packs.common.supply import (
    BESIDE_THE_CALL,
    OUTLET_VOLTS,
    line,
    line_changes,
    outlet_circuit,
    stray,
    supply_faults,
)
from probewright_packs.common.two_legs import TWO_LEGS, leg_changes, legs, legs_circuit
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


def fed(without: str) -> tuple[Part | Source | Switch, ...]:
    """Either supply up to the nodes ``live`` and ``neutral``; with two legs there are ``leg_two`` and ``chassis``, too.

    ``without`` is a terminal of the block that leads to nothing in the circuit.
    """
    return (
        *only(ELECTRIC, legs(without)),
        Part("live_lead", "leg_one", "live", Resistance(evenly(0.005, 0.02)), ELECTRIC),
        *only(GAS, line()),
        Part("live_lead", "hot", "live", Resistance(evenly(0.005, 0.02)), GAS),
    )


#: An outlet that was wired for 120 V: leg two's terminal is joined to the neutral, and no leg leads there.
_ON_NEUTRAL: tuple[Change, ...] = (Open("cord_two"), Leak("inlet_two", "inlet_neutral", evenly(0.005, 0.05)))


def fed_changes(*, heavy: bool = False) -> dict[str, tuple[Change, ...]]:
    """What a bad supply of either kind does to a circuit that begins with :func:`fed`, as far as it fits there.

    A voltage under the utilization range is no condition to work under here, so that a low one acts in every circuit.
    A ``heavy`` load, of amperes, leaves next to nothing behind a bad connection of the 120 V outlet.
    """
    at_outlet = {**line_changes(heavy=heavy), "supply_voltage_low": (Level("line", _LOW),)}
    return {**leg_changes(), "leg_two_on_neutral": _ON_NEUTRAL, **at_outlet}


def supply_circuits() -> tuple[Circuit, ...]:
    """The supply itself, in which its voltages are read."""
    two_legs = legs_circuit(ELECTRIC)
    two_legs = replace(two_legs, changes={**two_legs.changes, "leg_two_on_neutral": _ON_NEUTRAL})
    return (two_legs, *only(GAS, (outlet_circuit(),)))


_JOINED = Fault(
    "leg_two_on_neutral", "Outlet wired for 120 V: leg two's terminal on the neutral",
    from_memory(BESIDE_THE_CALL * 0.004), excludes=("both_legs_dead", "leg_one_dead", "leg_two_dead",
                                                    "legs_neutral_open", "service_neutral_open", "legs_voltage_low",
                                                    "supply_208_volts"),
    when=ELECTRIC,
)  # fmt: skip

SUPPLY_FAULTS = (*leg_faults(ELECTRIC), _JOINED, *only(GAS, supply_faults()))
