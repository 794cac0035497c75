"""Repairs of the cooktop."""

from __future__ import annotations

from probewright.packs import Repair, When, from_memory
from probewright_packs.common.cautions import HOT_PARTS, LEFT_CHARGE, ODOUR_FIRST
from probewright_packs.common.numbers import remembered
from probewright_packs.common.supply_repairs import OUTLET_WIRED
from probewright_packs.gas_range.closings import SURFACE_BURNS, WIRED
from probewright_packs.gas_range.options_and_states import COOKTOP_PILOT, COOKTOP_SPARK, ISOLATED, LIVE

_SPARKS = ("all_electrodes_spark", "surface_burners_light", "spark_stops")
#: A module that senses flames needs a sound outlet; looking costs little in any build.
_OF_MODULE = (*OUTLET_WIRED, "ground_continuous", "spark_module_fed", *_SPARKS)


def _repair(
    id_: str, title: str, cures: dict[str, float], *, minutes: float, zone: str, steps: tuple[str, ...],
    shown: tuple[str, ...], part: str | None = None, cautions: tuple[str, ...] = (), when: When | None = None,
) -> Repair:  # fmt: skip
    return Repair(id_, title, remembered(cures), from_memory(minutes), ISOLATED, (zone,), part, None,
                  steps, cautions, shown, when or {})  # fmt: skip


_BURNER = (
    _repair(
        "clean_burner_ports", "Clean the burner's ports", {"burner_ports_blocked": 0.92, "spark_electrode_dirty": 0.2},
        minutes=10.0, zone="cooktop", shown=SURFACE_BURNS,
        steps=("Clear each port with a soft wire of smaller size; leave the orifice alone.",
               "Let the parts dry fully, and set head and cap back on their pins."),
        cautions=("Never widen a port or an orifice.", HOT_PARTS),
    ),
    _repair(
        "seat_burner_cap", "Seat the burner's head and cap", {"burner_cap_misplaced": 0.97},
        minutes=3.0, zone="cooktop", shown=SURFACE_BURNS,
        steps=("Set head and cap level on their pins, each on its own burner.",), cautions=(HOT_PARTS,),
    ),
    Repair(
        "relight_cooktop_pilot", "Light the cooktop's pilots and set their flames", remembered({"pilot_out": 0.88}),
        from_memory(10.0), LIVE, ("under_cooktop",),
        steps=("With every knob off, shut the gas again and air the room for several minutes; an unlit pilot gives off "
               "gas as soon as there is any.",
               "When it does not smell of gas, open it, light each pilot at once, and set a steady blue flame.",
               "When one stays small or yellow, shut the gas, let it cool, clean its orifice without widening it, and "
               "begin again."),
        cautions=(ODOUR_FIRST,),
        closing_checks=("no_gas_odour", "pilots_steady", *SURFACE_BURNS), when=COOKTOP_PILOT,
    ),
)  # fmt: skip

_SPARK = (
    _repair(
        "clean_spark_electrode", "Clean and dry the spark electrode", {"spark_electrode_dirty": 0.9},
        minutes=6.0, zone="cooktop", when=COOKTOP_SPARK, shown=_SPARKS,
        steps=("Clean tip and insulator with a soft brush, dry them, and see that the tip stands at its height.",),
        cautions=(LEFT_CHARGE, HOT_PARTS),
    ),
    _repair(
        "replace_spark_electrode", "Replace the spark electrode with its lead",
        {"spark_electrode_cracked": 0.97, "spark_electrode_dirty": 0.95, "spark_lead_damaged": 0.95},
        minutes=15.0, zone="under_cooktop", part="spark_electrode", when=COOKTOP_SPARK, shown=_SPARKS,
        steps=("Route the lead clear of metal edges and of other leads, and push it home on the module.",),
        cautions=(LEFT_CHARGE,),
    ),
    _repair(
        "replace_spark_module", "Replace the spark module of the cooktop",
        {"spark_module_dead": 0.97, "spark_module_output_dead": 0.97, "spark_module_does_not_sense": 0.93},
        minutes=20.0, zone="under_cooktop", part="spark_module", when=COOKTOP_SPARK, shown=_OF_MODULE,
        steps=("Fit a module of the same kind, with as many outputs, and refit its ground wire.",
               "Move the leads one by one: hot and neutral to their own terminals, each spark lead to its own output."),
        cautions=(LEFT_CHARGE,),
    ),
    _repair(
        "free_ignition_switch", "Dry, clean and free the ignition switch",
        {"ignition_switch_stuck_closed": 0.6, "ignition_switch_stuck_open": 0.25},
        minutes=20.0, zone="under_cooktop", when=COOKTOP_SPARK, shown=("wiring_sound", *_SPARKS),
        steps=("Find the switch that is closed with its knob at off: read across one after the other.",
               "Dry the switches and their plugs with moderate heat, and clean off what was spilt.",
               "See that each knob's shaft turns back freely to off."),
        cautions=("Do not spray anything flammable; everything is dry before power is restored.",),
    ),
    _repair(
        "replace_ignition_switch", "Replace the ignition switch",
        {"ignition_switch_stuck_closed": 0.97, "ignition_switch_stuck_open": 0.97},
        minutes=25.0, zone="under_cooktop", part="ignition_switch", when=COOKTOP_SPARK,
        shown=("wiring_sound", "spark_module_fed", *_SPARKS),
        steps=("Fit the switch that failed, or the harness of switches.",
               "See that every knob turns its switch and lets it go at off."),
    ),
    _repair(
        "repair_ignition_harness", "Repair the ignition wiring", {"ignition_harness_open": 0.95},
        minutes=25.0, zone="under_cooktop", part="ignition_harness", when=COOKTOP_SPARK,
        shown=(*WIRED, "spark_module_fed", *_SPARKS),
        steps=("Find the break between switches and module, and mend it with wire of the same rating.",
               "Lead it as it ran, clear of edges and of what gets hot."),
    ),
)  # fmt: skip

COOKTOP_REPAIRS = (*_BURNER, *_SPARK)
