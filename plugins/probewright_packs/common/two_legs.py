"""The 120/240 V three-wire supply: two legs, neutral and ground, up to and through the appliance's terminal block.

Circuits inside an appliance begin with :func:`legs` and take what a bad supply does to them from :func:`leg_changes`;
:func:`legs_circuit` is the one in which the supply itself is read.  Both begin in the house, with its other loads: they
decide how an open neutral of the service shares 240 V between the legs.

Nodes, from the house inwards: ``panel_one``, ``panel_two``; ``inlet_one``, ``inlet_two``, ``inlet_neutral`` on the
line side of the terminal block; ``leg_one``, ``leg_two``, ``neutral`` and ``chassis`` inside.  The reference is
``earth``, the bond of neutral and ground in the panel.
"""

from __future__ import annotations

from collections.abc import Mapping

from probewright.packs import (
    C84_SERVICE_A_120,
    C84_SERVICE_A_240,
    C84_UTILIZATION_A_240,
    Capacitance,
    Change,
    Circuit,
    Contact,
    Figure,
    Level,
    Limit,
    Open,
    Part,
    Resistance,
    Source,
    Spread,
    Supply,
    When,
    common_practice,
    derived,
    exactly,
    log_uniform,
    normal,
    uniform,
)
from probewright_packs.common.numbers import decades, evenly, nothing
from probewright_packs.common.supply import FREQUENCY

#: Volts from leg to leg, and from either leg to neutral.
LEG_TO_LEG = C84_SERVICE_A_240.nominal
LEG_TO_NEUTRAL = C84_SERVICE_A_120.nominal

#: What may be read between the legs at the appliance: the utilization voltage, behind the house wiring.
AT_BLOCK = Limit(C84_UTILIZATION_A_240.low, C84_UTILIZATION_A_240.high)

#: Between the legs inside an appliance, at the nominal supply: the trade takes 5 % either way for "line voltage".
LEG_VOLTAGE = Limit(common_practice(0.95 * LEG_TO_LEG), common_practice(1.05 * LEG_TO_LEG), scales_with_supply=True)

_DEVIATION = derived(
    (C84_SERVICE_A_240.high - C84_SERVICE_A_240.low) / 4,
    f"{C84_SERVICE_A_240.high.source}, taken as two standard deviations either way",
)
#: Under the utilization voltage it is a fault to find: a low supply, or the 208 V of a three-phase network.
TWO_LEGS = Supply(LEG_TO_LEG, normal(LEG_TO_LEG, _DEVIATION), least=C84_UTILIZATION_A_240.low)

#: Ohms of a burnt terminal, from one that still heats to one that has burnt off: it carries the milliamperes of a meter
#: or a display, and drops amperes' worth of volts.
BURNT = decades(2.0, 1e4)
#: The same in the neutral, whose loads are smaller: from where a motor labours to where no display lights.
_BURNT_NEUTRAL = decades(3.0, 3e3)

#: Legs of a three-phase network stand 120 degrees apart.
_TURNED = derived(60.0, "from 180 degrees between the legs to 240, which is 120 the other way round")
_WHOLE = exactly(derived(1.0, "each leg of a 208Y/120 V network still has 120 V to neutral"))


def _service() -> tuple[Part | Source, ...]:
    """The transformer, its neutral, and what else the house draws from each leg: 50 W to 2.4 kW."""
    return (
        Source("line_one", "panel_one", "midpoint", LEG_TO_NEUTRAL),
        Source("line_two", "panel_two", "midpoint", LEG_TO_NEUTRAL, phase=180.0),
        Part("service_neutral", "midpoint", "earth", Resistance(evenly(0.01, 0.04))),
        Part("house_one", "panel_one", "earth", Resistance(decades(6.0, 300.0))),
        Part("house_two", "panel_two", "earth", Resistance(decades(6.0, 300.0))),
    )


def _branch() -> tuple[Part, ...]:
    """Branch and cord, as one: nothing tells them apart from inside the appliance."""
    return (
        Part("cord_one", "panel_one", "inlet_one", Resistance(evenly(0.02, 0.12))),
        Part("cord_two", "panel_two", "inlet_two", Resistance(evenly(0.02, 0.12))),
        Part("neutral_conductor", "earth", "inlet_neutral", Resistance(evenly(0.02, 0.12))),
        Part("ground_conductor", "earth", "chassis", Resistance(evenly(0.03, 0.25))),
    )


def legs(*without: str) -> tuple[Part | Source, ...]:
    """The supply as an appliance's own circuits see it: nodes ``leg_one``, ``leg_two``, ``neutral``, ``chassis``.

    ``without`` names conductors and terminals that lead to nothing in the circuit: of one that works on 120 V, say,
    ``cord_two`` and ``block_two``.  :func:`fitting` then leaves out what would act on them.

    >>> [part.id for part in legs() if isinstance(part, Source)]
    ['line_one', 'line_two']
    >>> from probewright_packs.common.changes import fitting
    >>> drive = legs("cord_two", "block_two")
    >>> "leg_two_dead" in fitting(drive, leg_changes())
    False
    """
    ends = (("block_one", "inlet_one", "leg_one"), ("block_two", "inlet_two", "leg_two"),
            ("block_neutral", "inlet_neutral", "neutral"))  # fmt: skip
    terminals = (Part(id_, a, b, Resistance(evenly(0.01, 0.02))) for id_, a, b in ends)
    return tuple(part for part in (*_service(), *_branch(), *terminals) if part.id not in without)


def _volts(low: float, high: float, of: Figure, how: str) -> Spread:
    return uniform(*(Figure(volts / of, "from_memory", how) for volts in (low, high)))


def _wiring_changes() -> dict[str, tuple[Change, ...]]:
    """What happens up to the terminal block."""
    low = _volts(165.0, 214.0, LEG_TO_LEG, "from memory: a poor joint or a long, loaded branch leaves 165 to 214 V")
    return {
        # A pole of the breaker, or a fuse: the conductor behind it floats, and whatever loads lead to it feeds it back.
        "leg_one_dead": (Open("cord_one"),),
        "leg_two_dead": (Open("cord_two"),),
        "legs_neutral_open": (Open("neutral_conductor"),),
        "service_neutral_open": (Open("service_neutral"),),
        "legs_voltage_low": (Level("line_one", low), Level("line_two", low)),
        "supply_208_volts": (Level("line_two", _WHOLE, turned=_TURNED),),
    }


def leg_changes() -> dict[str, tuple[Change, ...]]:
    """What a bad supply does to a circuit that begins with :func:`legs`.

    A low supply is among them: :data:`TWO_LEGS` takes no such voltage for a condition to work under, so that what
    brings it about acts in every circuit.

    >>> leg_changes()["leg_one_dead"]
    (Open(part='cord_one'),)
    """
    return {
        **_wiring_changes(),
        "both_legs_dead": (Level("line_one", nothing()), Level("line_two", nothing())),
        "block_leg_one_burnt": (Contact("block_one", BURNT),),
        "block_leg_two_burnt": (Contact("block_two", BURNT),),
        "block_neutral_burnt": (Contact("block_neutral", _BURNT_NEUTRAL),),
    }


def legs_circuit(when: When | None = None) -> Circuit:
    """The supply at the line side of the terminal block, with the appliance connected and nothing heating.

    The display or a lamp draws from leg one.  It pulls an open neutral to that leg: then leg one reads nothing to
    neutral, leg two the whole 240 V, and neutral stands at 120 V to ground.

    >>> legs_circuit().changes["legs_neutral_open"]
    (Open(part='neutral_conductor'),)
    """
    dead = log_uniform(*(Figure(volts / LEG_TO_NEUTRAL, "from_memory", _NEXT_TO_NOTHING) for volts in (0.002, 2.5)))
    wires, frame = decades(3e-10, 3e-9), decades(1e-9, 2e-8)  # farad: a cable's wires, and heaters in their sheaths
    coupled: Mapping[str, tuple[str, str, Spread]] = {
        "one_to_two": ("inlet_one", "inlet_two", wires), "two_to_neutral": ("inlet_two", "inlet_neutral", wires),
        "two_to_ground": ("inlet_two", "chassis", frame), "one_to_ground": ("inlet_one", "chassis", frame),
    }  # fmt: skip
    return Circuit(
        id="legs",
        reference="earth",
        frequency=FREQUENCY,
        parts=(
            *_service(),
            *_branch(),
            Part("light_load", "inlet_one", "inlet_neutral", Resistance(decades(150.0, 1.5e4))),
            # Nothing should heat while this is read; a pilot light, or a knob left on, ties a dead leg to the other.
            Part("left_on", "inlet_one", "inlet_two", Resistance(decades(100.0, 1e8))),
            *(Part(id_, a, b, Capacitance(farads)) for id_, (a, b, farads) in coupled.items()),
        ),
        changes={
            **_wiring_changes(),
            "both_legs_dead": (Level("line_one", dead), Level("line_two", dead)),
        },
        when=when or {},
    )


_NEXT_TO_NOTHING = "from memory: dead conductors still show up to some 2.5 V that their neighbours couple in"
