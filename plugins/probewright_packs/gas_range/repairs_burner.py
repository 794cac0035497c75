"""Repairs of one oven burner.  Bake and broil are made by the same functions."""

from __future__ import annotations

from probewright.packs import Repair, from_memory
from probewright_packs.common.cautions import HOT_PARTS, LEFT_CHARGE, LICENCES, NO_FLAME
from probewright_packs.common.gas import TIGHT
from probewright_packs.common.numbers import remembered
from probewright_packs.gas_range.closings import BURNS, WIRED, lights
from probewright_packs.gas_range.options_and_states import HOT_SURFACE, ISOLATED, OVEN_ELECTRIC, OVEN_SPARK

_FRAGILE = "Handle an igniter by its base: it breaks at a knock and is spoilt by greasy fingers."
_HIGH_TEMPERATURE = "Use wire, terminals and ceramic connectors made for the temperature of an oven."
_PUT_TOGETHER = "Put burner, flame spreader and oven bottom back as they were; a shifted burner burns badly."


def _igniter(burner: str) -> tuple[Repair, ...]:
    shown = (f"{burner}_current_in_band", *lights(burner), *BURNS)
    return (
        Repair(
            f"replace_{burner}_igniter", f"Replace the {burner} igniter",
            remembered({f"{burner}_igniter_open": 0.98, f"{burner}_igniter_weak": 0.97,
                        f"{burner}_igniter_loose": 0.9}),
            from_memory(25.0), ISOLATED, ("oven_cavity",), part=f"{burner}_igniter",
            steps=("Fit an igniter of the same style, matched to the valve, at the same place and distance.",
                   _HIGH_TEMPERATURE, _PUT_TOGETHER),
            cautions=(_FRAGILE, HOT_PARTS), closing_checks=shown, when=HOT_SURFACE,
        ),
        Repair(
            f"secure_{burner}_igniter", f"Secure the {burner} igniter on its mounting",
            remembered({f"{burner}_igniter_loose": 0.75}), from_memory(12.0), ISOLATED, ("oven_cavity",),
            steps=("Fix the bracket so that the igniter stands at its place over the burner's ports.",
                   "An igniter whose element or ceramic base is cracked is replaced, not secured.", _PUT_TOGETHER),
            cautions=(_FRAGILE, HOT_PARTS), closing_checks=shown, when=HOT_SURFACE,
        ),
    )  # fmt: skip


def _valve(burner: str) -> Repair:
    return Repair(
        f"replace_{burner}_valve", f"Replace the {burner} gas valve",
        remembered({f"{burner}_valve_coil_open": 0.98, f"{burner}_valve_stuck": 0.95}), from_memory(50.0), ISOLATED,
        ("rear_panel", "gas_line"), part=f"{burner}_valve", skill="gas_licence",
        steps=("Note which wire and which pipe sits where.",
               "Fit a valve for the same igniter current or coil voltage and the same fuel, with sealant made for gas, "
               "and leave its joints bare until they have been checked."),
        cautions=(NO_FLAME, LICENCES,
                  "Never bridge a safety valve, and never put mains on a bimetal valve without its igniter."),
        closing_checks=(*TIGHT, *lights(burner), *BURNS),
    )  # fmt: skip


def _harness(burner: str) -> Repair:
    return Repair(
        f"repair_{burner}_harness", f"Repair the harness of the {burner} burner",
        remembered({f"{burner}_harness_open": 0.95, f"{burner}_harness_corroded": 0.95}), from_memory(25.0), ISOLATED,
        ("rear_panel",), part=f"{burner}_harness",
        steps=("Find the break or the burnt terminal between the control and the burner.",
               "Cut back to sound copper and renew both halves of a burnt connector.", _HIGH_TEMPERATURE,
               "Lead the wire as it ran, clear of edges and of what gets hot."),
        closing_checks=(*WIRED, f"{burner}_load_fed", *lights(burner)), when=OVEN_ELECTRIC,
    )  # fmt: skip


def _electrode(burner: str) -> tuple[Repair, ...]:
    fault, shown = f"{burner}_spark_electrode_fouled", (f"{burner}_spark_strong", *lights(burner), *BURNS)
    return (
        Repair(
            f"clean_{burner}_spark_electrode", f"Clean the {burner} spark electrode and set its gap",
            remembered({fault: 0.6}), from_memory(10.0), ISOLATED, ("oven_cavity",),
            steps=("Clean tip and insulator without scratching them, and set the gap by the maker's sheet.",
                   _PUT_TOGETHER),
            cautions=(LEFT_CHARGE, HOT_PARTS), closing_checks=shown, when=OVEN_SPARK,
        ),
        Repair(
            f"replace_{burner}_spark_electrode", f"Replace the {burner} spark electrode", remembered({fault: 0.97}),
            from_memory(18.0), ISOLATED, ("oven_cavity",), part=f"{burner}_spark_electrode",
            steps=("Fit the electrode, route its lead clear of metal edges, and set the gap by the maker's sheet.",
                   _PUT_TOGETHER),
            cautions=(LEFT_CHARGE, HOT_PARTS), closing_checks=shown, when=OVEN_SPARK,
        ),
    )  # fmt: skip


def burner_repairs(burner: str) -> tuple[Repair, ...]:
    """All repairs of one oven burner."""
    return (*_igniter(burner), _valve(burner), _harness(burner), *_electrode(burner))
