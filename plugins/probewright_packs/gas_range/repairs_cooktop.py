"""Repairs of the cooktop."""

from __future__ import annotations

from probewright.circuit.parts import When
from probewright.figures import from_memory
from probewright.packs.model import Repair
from probewright_packs.common.numbers import remembered
from probewright_packs.gas_range.options_and_states import COOKTOP_PILOT, COOKTOP_SPARK, ISOLATED, LIVE

_LIT = ("surface_burners_light", "spark_stops")


def _repair(
    id_: str, title: str, cures: dict[str, float], *, minutes: float, zone: str, steps: tuple[str, ...],
    part: str | None = None, cautions: tuple[str, ...] = (), when: When | None = None,
) -> Repair:  # fmt: skip
    return Repair(id_, title, remembered(cures), from_memory(minutes), ISOLATED, (zone,), part, None,
                  steps, cautions, _LIT, when or {})  # fmt: skip


COOKTOP_REPAIRS = (
    _repair(
        "clean_burner_ports", "Clean the burner's ports", {"burner_ports_blocked": 0.92, "spark_electrode_dirty": 0.2},
        minutes=10.0, zone="cooktop",
        steps=("Clear each port with a soft wire of smaller size; leave the orifice alone.",
               "Dry the parts fully before they go back."),
        cautions=("Never widen a port or an orifice.",),
    ),
    _repair(
        "seat_burner_cap", "Seat the burner's head and cap", {"burner_cap_misplaced": 0.97},
        minutes=3.0, zone="cooktop", steps=("Set head and cap level on their pins, each on its own burner.",),
    ),
    _repair(
        "clean_spark_electrode", "Clean and dry the spark electrode", {"spark_electrode_dirty": 0.9},
        minutes=6.0, zone="cooktop", when=COOKTOP_SPARK,
        steps=("Clean tip and insulator with a soft brush, dry them, and see that the tip stands at its height.",),
    ),
    _repair(
        "replace_spark_electrode", "Replace the spark electrode with its lead",
        {"spark_electrode_cracked": 0.97, "spark_electrode_dirty": 0.95, "spark_lead_damaged": 0.95},
        minutes=15.0, zone="under_cooktop", part="spark_electrode", when=COOKTOP_SPARK,
        steps=("Route the lead clear of metal edges and of other leads, and push it home on the module.",),
    ),
    _repair(
        "replace_spark_module", "Replace the spark module of the cooktop",
        {"spark_module_dead": 0.97, "spark_module_output_dead": 0.97, "spark_module_does_not_sense": 0.93},
        minutes=20.0, zone="under_cooktop", part="spark_module", when=COOKTOP_SPARK,
        steps=("Before ordering: prove its supply with a knob at light, and for flame-sensing polarity and ground.",
               "Move the leads one by one."),
    ),
    _repair(
        "free_ignition_switch", "Dry, clean and free the ignition switch",
        {"ignition_switch_stuck_closed": 0.6, "ignition_switch_stuck_open": 0.25},
        minutes=20.0, zone="under_cooktop", when=COOKTOP_SPARK,
        steps=("Dry the switches and their plugs with moderate heat, and clean off what was spilt.",
               "See that each knob's shaft turns back freely to off."),
        cautions=("Do not spray anything flammable; let everything dry before power is restored.",),
    ),
    _repair(
        "replace_ignition_switch", "Replace the ignition switch",
        {"ignition_switch_stuck_closed": 0.97, "ignition_switch_stuck_open": 0.97},
        minutes=25.0, zone="under_cooktop", part="ignition_switch", when=COOKTOP_SPARK,
        steps=("Fit the switch, or the harness of switches, and turn every knob through its range.",),
    ),
    _repair(
        "repair_ignition_harness", "Repair the ignition wiring", {"ignition_harness_open": 0.95},
        minutes=25.0, zone="under_cooktop", part="ignition_harness", when=COOKTOP_SPARK,
        steps=("Find the break between switches and module, and mend it with wire of the same rating.",),
    ),
    Repair(
        "relight_cooktop_pilot", "Light the cooktop's pilots and set their flames", remembered({"pilot_out": 0.88}),
        from_memory(10.0), LIVE, ("under_cooktop",),
        steps=("Air the room for several minutes and smell for gas first.",
               "Light each pilot and set a steady blue flame; clean its orifice when the flame stays small or yellow."),
        cautions=("Do not light anything while it smells of gas.",),
        closing_checks=("pilots_steady", "surface_burners_light"), when=COOKTOP_PILOT,
    ),
)  # fmt: skip
