"""The heaters: their power on the plate, their ohms by R = V^2 / P, and what they draw.

Each is drawn as two halves, so that a coil that touches its sheath does so in the middle.
"""

from __future__ import annotations

from probewright.packs import Figure, Limit, Requirement, Spread, from_memory, tolerance, uniform
from probewright_packs.common.numbers import evenly
from probewright_packs.common.two_legs import LEG_TO_LEG
from probewright_packs.electric_range.options_and_states import BAKE, IN_USE, OTHER, SURFACE

#: Watts at 240 V.
BAKE_WATTS, BROIL_WATTS = from_memory(2600.0), from_memory(3400.0)
#: Watts at 240 V of surface units, from a small one to a large one.
SURFACE_WATTS = (from_memory(1200.0), from_memory(2600.0))
#: Makers let a heater's resistance lie this far either way.
_TOLERANCE = from_memory(0.05)


def _half(watts: Figure) -> Figure:
    return Figure(LEG_TO_LEG**2 / watts / 2, "from_memory", f"half of 240 V squared over {watts:g} W, from memory")


BAKE_HALF: Spread = tolerance(_half(BAKE_WATTS), _TOLERANCE)
BROIL_HALF: Spread = tolerance(_half(BROIL_WATTS), _TOLERANCE)
SURFACE_HALF: Spread = uniform(_half(SURFACE_WATTS[1]), _half(SURFACE_WATTS[0]))

#: Share of the full current under which a heater is felt to be cold, and under which it is felt to be slow.
COLD, SLOW = 0.3, 0.88


def _amperes(watts: Figure, share: float) -> Spread:
    """Around a share of the current at 240 V; who judges differs by a tenth."""
    whole = watts / LEG_TO_LEG
    how = f"about {share:g} of {watts:g} W over 240 V, from memory"
    return uniform(*(Figure(whole * (share + by), "from_memory", how) for by in (-0.05, 0.05)))


def heats(name: str, share: float = COLD) -> Requirement:
    """What makes an oven element count as heating, from a share of its full current on."""
    watts = BAKE_WATTS if name == BAKE else BROIL_WATTS
    return Requirement("oven", f"{name}_element", "current", name, IN_USE, _amperes(watts, share))


def rests(name: str, command: str = "off") -> Requirement:
    """That nothing flows through the half of an element that leg two reaches; felt from about an ampere on."""
    return Requirement("oven", f"{name}_element_end", "current", command, IN_USE, at_most=evenly(0.7, 1.5))


def unit_heats(name: str = "surface", share: float = COLD) -> Requirement:
    """What makes a surface unit count as heating, judged by the smallest one."""
    command = SURFACE if name == "surface" else OTHER
    return Requirement("surface", f"{name}_element", "current", command, IN_USE, _amperes(SURFACE_WATTS[0], share))


def current_limit(name: str) -> Limit:
    """Amperes of a sound element at the nominal supply: the trade takes a tenth either way of the plate's power."""
    whole = (BAKE_WATTS if name == BAKE else BROIL_WATTS) / LEG_TO_LEG
    low, high = (Figure(whole * by, "from_memory", f"{by:g} of the current at the plate's power") for by in (0.9, 1.1))
    return Limit(low, high, scales_with_supply=True)
