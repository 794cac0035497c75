"""What lights gas by electricity: hot-surface igniters, the valves that they open, and solenoid coils.

An igniter in series with a bimetal valve (an oven) opens it by its current.  A valve with two coils (a dryer) works by
a flame sensor: its contact is closed while cold, so that igniter and booster coil have the whole voltage and the
secondary coil is bridged; heat opens it, and then the secondary coil has nearly all of it, through the igniter.
"""

from __future__ import annotations

from probewright.packs import (
    Change,
    Drift,
    Figure,
    Open,
    Part,
    Resistance,
    SelfHeating,
    Spread,
    When,
    Winding,
    from_memory,
    log_uniform,
    uniform,
)
from probewright_packs.common.numbers import decades, evenly
from probewright_packs.common.supply import OUTLET_VOLTS

#: Far under the 250 to 430 W that a glowing igniter takes, far over what a meter or stray capacitance could feed it.
GLOWS_ABOVE = from_memory(60.0)
#: Ohms of a cold silicon-carbide igniter: it falls as it heats.
COLD = log_uniform(from_memory(40.0), from_memory(400.0))


def glowing(low: Figure, high: Figure, in_series: Figure) -> Spread:
    """Ohms of a glowing igniter that draws ``low`` to ``high`` amperes at 120 V with ``in_series`` ohms behind it.

    >>> from probewright.packs import common_practice
    >>> hot = glowing(common_practice(3.2), common_practice(3.6), from_memory(1.0))
    >>> round(float(hot.first), 1), round(float(hot.second), 1)
    (32.3, 36.5)
    """
    how = (f"120 V over {float(low):g} to {float(high):g} A ({low.basis.replace('_', ' ')}), less "
           f"{float(in_series):g} ohm of the valve ({in_series.basis.replace('_', ' ')})")  # fmt: skip
    least, most = (Figure(OUTLET_VOLTS / amperes - in_series, "from_memory", how) for amperes in (high, low))
    return uniform(least, most)


def igniter(name: str, a: str, b: str, hot: Spread, when: When | None = None) -> Part:
    """A hot-surface igniter: hundreds of ohms cold, ``hot`` ohms once it glows.

    >>> igniter("bake_igniter", "bake_feed", "bake_middle", evenly(32.0, 37.0)).law.heats_above
    60.0
    """
    return Part(name, a, b, SelfHeating(COLD, hot, GLOWS_ABOVE), when or {})


def igniter_changes(name: str) -> dict[str, tuple[Change, ...]]:
    """Faults ``name``_open and ``name``_weak: an aged igniter glows, and draws too little.

    >>> sorted(igniter_changes("bake_igniter"))
    ['bake_igniter_open', 'bake_igniter_weak']
    """
    return {f"{name}_open": (Open(name),), f"{name}_weak": (Drift(name, evenly(1.1, 1.6)),)}


def bimetal_valve(name: str, a: str, b: str, when: When | None = None) -> Part:
    """A valve that the igniter's current opens by warming a strip: about an ohm.

    >>> bimetal_valve("bake_valve", "bake_middle", "neutral").b
    'neutral'
    """
    return Part(name, a, b, Resistance(evenly(0.8, 1.3)), when or {})


def solenoid_valve(name: str, a: str, b: str, when: When | None = None) -> Part:
    """A valve that a coil across mains opens.

    >>> solenoid_valve("bake_valve", "bake_feed", "neutral").law.ohms.second
    600.0
    """
    return Part(name, a, b, Winding(evenly(150.0, 600.0), evenly(1.5, 4.0)), when or {})


def valve_changes(name: str) -> dict[str, tuple[Change, ...]]:
    """The fault ``name``_coil_open of a bimetal or solenoid valve.

    >>> valve_changes("bake_valve")
    {'bake_valve_coil_open': (Open(part='bake_valve'),)}
    """
    return {f"{name}_coil_open": (Open(name),)}


def two_coil_valve(
    name: str, line: str, sensed: str, neutral: str, when: When | None = None
) -> tuple[Part, ...]:
    """Holding and booster coil of the first valve, and the secondary coil of the other.

    ``line`` is fed while heat is called for; ``sensed`` is the node between igniter and flame sensor, whose contact
    leads on to ``neutral``.  Holding coil: line to neutral; booster: line to ``sensed``; secondary: ``sensed`` to
    neutral, beside the sensor's contact.

    >>> [part.id for part in two_coil_valve("valve", "burner", "sensed", "neutral")]
    ['valve_holding_coil', 'valve_booster_coil', 'valve_secondary_coil']
    """
    condition = when or {}
    # About 1.4, 0.6 and 1.4 kohm; at 60 Hz the reactance of each is of the size of its resistance.
    return (
        Part(f"{name}_holding_coil", line, neutral, Winding(evenly(1150.0, 1550.0), evenly(1.5, 3.5)), condition),
        Part(f"{name}_booster_coil", line, sensed, Winding(evenly(480.0, 640.0), evenly(0.6, 1.5)), condition),
        Part(f"{name}_secondary_coil", sensed, neutral, Winding(evenly(1150.0, 1550.0), evenly(1.5, 3.5)), condition),
    )


def two_coil_changes(name: str) -> dict[str, tuple[Change, ...]]:
    """Faults ``name``_holding_open, _booster_open and _secondary_open.

    >>> sorted(two_coil_changes("valve"))
    ['valve_booster_open', 'valve_holding_open', 'valve_secondary_open']
    """
    coils = ("holding", "booster", "secondary")
    return {f"{name}_{coil}_open": (Open(f"{name}_{coil}_coil"),) for coil in coils}


def module_input(name: str, a: str, b: str, when: When | None = None) -> Part:
    """What a spark module takes from mains.

    >>> module_input("spark_input", "spark_feed", "neutral").a
    'spark_feed'
    """
    return Part(name, a, b, Resistance(decades(3e3, 15e3)), when or {})
