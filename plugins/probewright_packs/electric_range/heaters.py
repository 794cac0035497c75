"""The heaters: the power that plates give, the ohms that follow by R = V^2 / P, and what makes one heat.

Makers fit elements of very different power, so nothing is told by amperes alone.  Each element is drawn as two halves,
so that a coil that touches its sheath does so between them; what heat there is shows in the voltage that the far half
gets, whatever the element's power.
"""

from __future__ import annotations

from probewright.packs import Figure, Limit, Requirement, Spread, from_memory, uniform
from probewright_packs.common.numbers import evenly
from probewright_packs.common.two_legs import LEG_TO_LEG, LEG_TO_NEUTRAL
from probewright_packs.electric_range.options_and_states import BAKE, BROIL, IN_USE, OTHER, SURFACE

#: Watts at 240 V, from the least to the most that is fitted.
WATTS = {
    BAKE: (from_memory(2000.0), from_memory(3000.0)),
    BROIL: (from_memory(2500.0), from_memory(4000.0)),
    SURFACE: (from_memory(1200.0), from_memory(2600.0)),
}


def _half(name: str) -> Spread:
    """Ohms of half an element."""
    return uniform(*(
        Figure(LEG_TO_LEG**2 / watts / 2, "from_memory", f"half of 240 V squared over {watts:g} W, from memory")
        for watts in reversed(WATTS[name])
    ))  # fmt: skip


BAKE_HALF, BROIL_HALF, SURFACE_HALF = (_half(name) for name in (BAKE, BROIL, SURFACE))

#: Share of the full voltage under which a heater is felt to be cold, and under which it is felt to be slow.
COLD, SLOW = 0.3, 0.88


def felt(share: float) -> Spread:
    """Volts across half an element, about a share of the whole; who judges differs by a twentieth."""
    how = f"about {share:g} of half of 240 V, from memory"
    return uniform(*(Figure(LEG_TO_NEUTRAL * (share + by), "from_memory", how) for by in (-0.05, 0.05)))


def heats(name: str, share: float = COLD) -> Requirement:
    """What makes an oven element count as heating, from a share of its full voltage on."""
    return Requirement("oven", f"{name}_element_end", "voltage", name, IN_USE, felt(share))


def rests(name: str, command: str = "off") -> Requirement:
    """That nothing flows through the half of an element that leg two reaches; felt from about an ampere on."""
    return Requirement("oven", f"{name}_element_end", "current", command, IN_USE, at_most=evenly(0.7, 1.5))


def unit_heats(name: str = "surface", share: float = COLD) -> Requirement:
    """What makes a surface unit count as heating."""
    command = SURFACE if name == "surface" else OTHER
    return Requirement("surface", f"{name}_element_end", "voltage", command, IN_USE, felt(share))


def current_limit(name: str) -> Limit:
    """Amperes of a sound element at the nominal supply: a tenth beyond what the least and the most power draw."""
    least, most = WATTS[name]
    low, high = (Figure(watts / LEG_TO_LEG * by, "from_memory", f"{by:g} of the current of {watts:g} W, from memory")
                 for watts, by in ((least, 0.9), (most, 1.1)))  # fmt: skip
    return Limit(low, high, scales_with_supply=True)
