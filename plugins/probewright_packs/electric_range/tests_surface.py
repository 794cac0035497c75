"""Tests of the surface units: coils and their receptacles, radiant units and their limiters, infinite switches."""

from __future__ import annotations

from collections.abc import Iterator

from probewright.packs import Between, Shows, Test, Through, from_memory
from probewright_packs.common.cautions import HOT_PARTS, LIVE_PARTS
from probewright_packs.common.tables import alike, seen, table
from probewright_packs.common.two_legs import LEG_VOLTAGE
from probewright_packs.electric_range.heaters import COLD, SLOW, felt, unit_heats
from probewright_packs.electric_range.options_and_states import (
    BROKEN_GLASS,
    COIL,
    HOT_GLASS,
    IN_USE,
    ISOLATED,
    OTHER,
    POWERED,
    RADIANT,
    SURFACE,
    SURFACE_LOW,
    TWO_LEGS_LIVE,
)
from probewright_packs.electric_range.tests_oven import INSULATION, ONE_SIDE_OFF

_UNDER_POWER = (LIVE_PARTS, TWO_LEGS_LIVE, HOT_PARTS)


def _glow(name: str, title: str, command: str) -> Test:
    bands = Shows("surface", f"{name}_element_end", "voltage", (felt(COLD), felt(SLOW)),
                  ("cold", "dull", "glows"))  # fmt: skip
    return Test(
        f"{name}_unit_glow", f"Glow of {title}", "seen", (IN_USE,), "outside", from_memory(2.0), (bands,),
        command=command, outcomes=("glows", "dull", "cold"),
        steps=(f"Set {title} to high, and look after two minutes whether all of it glows.", "Set it to off."),
        cautions=(HOT_GLASS,),
    )  # fmt: skip


def _swap() -> Test:
    """The oldest test of a coil: what goes with the coil is the coil."""
    needed = unit_heats("other")
    rows = {
        **alike(("surface_element_open",), 0.96),
        **alike(("surface_element_touches_case",), 0.1),
    }
    return Test(
        "coil_in_another_place", "The coil in the place of a unit that heats", "seen", (IN_USE,), "unit_well",
        from_memory(4.0), (table(("heats_there", "cold_there"), (0.01,), rows, ((needed, "cold_there"),)),),
        command=OTHER, outcomes=("heats_there", "cold_there"), when=COIL,
        steps=("With the breaker off and the coils cold, pull both coils of one size out of their receptacles and look "
               "at the blades: burnt ones burn the next receptacle.",
               "Plug the coil in question into the place of one that heats, and that one into its place.",
               "Restore power, and set one after the other to high: what goes with the coil is the coil, what stays "
               "is receptacle, wire or switch."),
        cautions=(HOT_GLASS, "Never pull a coil while it is switched on: it draws an arc."),
    )  # fmt: skip


def _receptacle() -> Test:
    return seen(
        "receptacle_condition", "Condition of the receptacle and of the coil's blades", ("sound", "burnt_or_loose"),
        (0.03,), {"surface_receptacle_burnt": (0.92,), "surface_element_open": (0.06,)},
        state=ISOLATED, zone="unit_well", minutes=2.0, when=COIL,
        steps=("Look into the receptacle and at the blades for browning, pits and spread contacts.",),
        cautions=(HOT_GLASS,),
    )


#: Where an element is reached, by cooktop: its prefix, its name, its zone, what is taken apart, its build.
_REACHED = (
    ("coil", "coil", "unit_well", ("surface_receptacle", "surface_return"), COIL),
    ("radiant_element", "radiant element", "under_cooktop", ("surface_limiter", "surface_return"), RADIANT),
)


def _element() -> Iterator[Test]:
    for prefix, name, zone, apart, when in _REACHED:
        yield Test(
            f"{prefix}_resistance", f"Resistance of the {name}", "resistance", (ISOLATED,), zone, from_memory(3.0),
            (Between("surface", "surface_fed", "surface_back", apart),), unit="ohm", instrument="multimeter",
            when=when,
            steps=(ONE_SIDE_OFF, "Read across the element alone, behind its limiter where it has one.",
                   "Compare with another unit of the same size: a unit of two rings can have one that is open."),
        )  # fmt: skip
        yield Test(
            f"{prefix}_to_chassis", f"Insulation of the {name} to the chassis", "resistance", (ISOLATED,), zone,
            from_memory(3.0), (Between("surface", "surface_fed", "chassis", apart),), unit="ohm",
            limits=(INSULATION,), instrument="multimeter", when=when,
            steps=("Take both leads off the unit, or pull the coil and lay its sheath on bare metal of the chassis.",
                   "Read from either end to the metal: a coil can leak and heat all the same."),
        )  # fmt: skip


def _limiter() -> Test:
    return Test(
        "limiter_continuity", "Limiter of the radiant unit", "continuity", (ISOLATED,), "under_cooktop",
        from_memory(3.0), (Between("surface", "surface_limited", "surface_fed", ("surface_harness",)),),
        outcomes=("closed", "open"), when=RADIANT, instrument="multimeter",
        steps=(ONE_SIDE_OFF, "Let the unit cool; read across the limiter's heating contact, not that of the light."),
        cautions=("Never bridge a limiter: it keeps the glass from overheating.",),
    )  # fmt: skip


def _light_contact() -> Test:
    return seen(
        "hot_light_contact", "Hot-light contact of the limiter, cold", ("open", "closed"), (0.005,),
        {"hot_light_contact_stuck": (0.97,)}, state=ISOLATED, zone="under_cooktop", minutes=3.0, when=RADIANT,
        steps=("Let the unit cool and pull one lead off the limiter's contact for the light; read its continuity: "
               "cold it is open.",),
    )  # fmt: skip


def _switch(name: str, title: str, nodes: tuple[str, str], *, zone: str, steps: tuple[str, ...]) -> Test:
    return Test(
        f"surface_{name}_voltage", title, "voltage", (POWERED,), zone, from_memory(4.0),
        (Between("surface", *nodes),), unit="V", command=SURFACE, limits=(LEG_VOLTAGE,), instrument="multimeter",
        steps=(*steps, "A few tens of volts on a high-impedance input say nothing: repeat with a low-impedance input."),
        cautions=_UNDER_POWER,
    )  # fmt: skip


def _low() -> Test:
    return seen(
        "unit_at_low", "Surface unit at its lowest setting", ("goes_off_and_on", "stays_on", "stays_cold"),
        (0.01, 0.004), {"surface_switch_welded": (0.97, 0.004)}, state=IN_USE, zone="outside", minutes=4.0,
        command=SURFACE_LOW, without=((unit_heats(), "stays_cold"),),
        steps=("Let the unit get hot at high, set it to its lowest setting, and watch for three minutes: it must go "
               "off and on by turns.", "Set it to off."),
        cautions=(HOT_GLASS,),
    )  # fmt: skip


def _current() -> Test:
    return Test(
        "surface_element_current", "Current of the surface element", "current", (POWERED,), "control_panel",
        from_memory(4.0), (Through("surface", "surface_element"),), unit="A", command=SURFACE,
        instrument="clamp_meter",
        steps=("With the clamp around one wire of the unit at its switch, set it to high.",
               "Read together with the supply voltage, from leg to leg: the current follows it."),
        cautions=_UNDER_POWER,
    )  # fmt: skip


def _glass() -> Test:
    return seen(
        "cooktop_glass", "Glass of the cooktop", ("whole", "cracked"), (0.003,), {"cooktop_glass_cracked": (0.99,)},
        state=IN_USE, zone="outside", minutes=1.0, when=RADIANT,
        steps=("With every unit off and the glass cold, look across it in slant light.",),
        cautions=(BROKEN_GLASS,),
    )  # fmt: skip


SURFACE_TESTS = (
    _glow("surface", "the surface unit in question", SURFACE),
    _glow("other", "another surface unit", OTHER),
    _low(), _swap(), _receptacle(), *_element(), _limiter(), _light_contact(), _current(), _glass(),
    _switch("switch", "Voltage that the infinite switch gives the surface unit", ("surface_hot", "surface_return"),
            zone="control_panel",
            steps=("Clip across the two load terminals of the infinite switch, everything still connected.",
                   "Set the unit to high and read.")),
    _switch("element", "Voltage across the surface element", ("surface_fed", "surface_back"), zone="under_cooktop",
            steps=("Clip across the two ends of the element, everything still connected; a coil's receptacle is "
                   "read at its back. Nothing lies on or over the unit.",
                   "Set the unit to high, read within half a minute, and set it to off.")),
)  # fmt: skip
