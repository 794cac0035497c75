"""All repairs of the family."""

from __future__ import annotations

from probewright_packs.common.repairs import covered, repair
from probewright_packs.common.two_legs_repairs import leg_repairs
from probewright_packs.electric_range.closings import UNIT, WIRED
from probewright_packs.electric_range.options_and_states import (
    BROKEN_GLASS,
    COIL,
    HOT_GLASS,
    ISOLATED,
    RADIANT,
    TWO_LEGS_LIVE,
)
from probewright_packs.electric_range.repairs_oven import OVEN_REPAIRS

_INSULATED = ("coil_insulated", "radiant_element_insulated")

_SURFACE = (
    repair(
        "replace_coil", "Replace the coil", {"surface_element_open": 0.98, "surface_element_touches_case": 0.97},
        minutes=3.0, zones=("unit_well",), part="surface_element", shown=(*_INSULATED, *UNIT), when=COIL,
        steps=("Fit a coil of the same size and power, and look at the blades of its receptacle before it goes in.",
               "A coil with burnt blades takes a new receptacle with it."),
        cautions=(HOT_GLASS, TWO_LEGS_LIVE),
    ),
    repair(
        "replace_radiant_unit", "Replace the radiant unit with its limiter",
        {"surface_element_open": 0.98, "surface_element_weak": 0.97, "surface_limiter_open": 0.97,
         "hot_light_contact_stuck": 0.97},
        minutes=18.0, zones=("under_cooktop",), part="surface_element",
        shown=(*_INSULATED, *UNIT, "hot_light_out"), when=RADIANT,
        steps=("Note which wire sits where: heater and light have contacts of their own.",
               "Fit a unit of the same power, and see that its springs press it against the glass."),
        cautions=(HOT_GLASS, BROKEN_GLASS, TWO_LEGS_LIVE),
    ),
    repair(
        "replace_receptacle", "Replace the receptacle with its leads", {"surface_receptacle_burnt": 0.96},
        minutes=12.0, zones=("unit_well",), part="surface_receptacle", shown=(*WIRED, *UNIT), when=COIL,
        steps=("Cut the leads back to sound copper and join them with connectors made for the heat.",
               "A coil with burnt blades is replaced with it, or it burns the new one."),
        cautions=(HOT_GLASS, TWO_LEGS_LIVE),
    ),
    repair(
        "replace_surface_switch", "Replace the infinite switch",
        {"surface_switch_open": 0.97, "surface_switch_welded": 0.97}, minutes=15.0, zones=("control_panel",),
        part="surface_switch", shown=UNIT,
        steps=("Move the wires one by one to the same terminals of a switch of the same rating.",
               "A browned terminal or wire end is renewed with it."),
        cautions=(TWO_LEGS_LIVE,),
    ),
    repair(
        "repair_surface_wiring", "Repair the wiring of the surface unit", {"surface_harness_open": 0.95},
        minutes=18.0, zones=("under_cooktop",), part="surface_harness", shown=(*WIRED, *UNIT),
        steps=("Find what has burnt or broken between the switch and the unit, and cut back to sound copper.",
               "Use wire and terminals made for the heat under a cooktop, led as they ran."),
        cautions=(TWO_LEGS_LIVE,),
    ),
    repair(
        "replace_cooktop_glass", "Replace the glass of the cooktop", {"cooktop_glass_cracked": 0.97}, minutes=35.0,
        zones=("under_cooktop",), part="cooktop_glass", shown=("glass_whole", *UNIT, "everything_works"), when=RADIANT,
        steps=("Move the units one by one to the new glass, and see that each lies against it.",
               "Tell the customer that nothing may be cooked on, or wiped over, cracked glass."),
        cautions=(BROKEN_GLASS, TWO_LEGS_LIVE),
    ),
)  # fmt: skip

_REPAIRS = (
    # The readings of the supply open the rear.
    *leg_repairs(ISOLATED, "outside", "rear_panel", ("everything_works", "covers_on"), grounded=("ground_continuous",)),
    *OVEN_REPAIRS,
    *_SURFACE,
)
REPAIRS = tuple(covered(of) for of in _REPAIRS)
