"""Repairs of the gas side."""

from __future__ import annotations

from probewright.figures import from_memory
from probewright.packs.model import Repair
from probewright_packs.common.cautions import LICENCES, NO_FLAME
from probewright_packs.common.numbers import remembered
from probewright_packs.gas_range.options_and_states import ISOLATED

_BURNS = ("joints_tight", "flames_blue", "carbon_monoxide_low")

GAS_REPAIRS = (
    Repair(
        "open_gas_supply", "Open the gas supply", remembered({"gas_shut_off": 0.9}), from_memory(8.0), ISOLATED,
        ("gas_line",),
        steps=("Find out why the gas was shut and whether anybody forbade its use.",
               "With every knob off, open the valve, check the joints with leak solution, and let air out at a burner.",
               "When the meter or the tank is shut or empty, hand over to the supplier."),
        cautions=(NO_FLAME, LICENCES), closing_checks=("joints_tight", "surface_burners_light"),
    ),
    Repair(
        "open_oven_gas_lever", "Open the lever that shuts the oven's gas", remembered({"oven_gas_lever_closed": 0.98}),
        from_memory(2.0), ISOLATED, ("gas_line",),
        steps=("With the oven off, turn the lever in line with the pipe.",),
        cautions=(NO_FLAME,), closing_checks=("bake_lights_from_cold", "broil_lights_from_cold"),
    ),
    Repair(
        "replace_regulator", "Set or replace the gas pressure regulator",
        remembered({"regulator_pressure_wrong": 0.95}),
        from_memory(35.0), ISOLATED, ("gas_line",), part="regulator", skill="gas_licence",
        steps=("Look first whether cap or pin is set for the fuel that is supplied.",
               "Fit the regulator in the direction of its arrow, with sealant made for gas.",
               "Set and prove the manifold pressure, and check every joint with leak solution."),
        cautions=(NO_FLAME, LICENCES), closing_checks=("manifold_pressure_right", *_BURNS),
    ),
    Repair(
        "fit_orifices_for_fuel", "Fit the orifices and the regulator setting for the fuel",
        remembered({"wrong_orifices_for_fuel": 0.95}), from_memory(60.0), ISOLATED, ("cooktop", "gas_line"),
        part="orifices", skill="gas_licence",
        steps=("Change every orifice, the regulator's setting and the low-flame screws together, by the maker's sheet.",
               "Fix the label of the conversion to the range.", "Set the air shutters for a blue flame."),
        cautions=(NO_FLAME, LICENCES), closing_checks=("manifold_pressure_right", *_BURNS),
    ),
    Repair(
        "repair_gas_leak", "Have the gas leak repaired", remembered({"gas_leak": 0.97}), from_memory(40.0), ISOLATED,
        ("gas_line",), part="gas_connector", skill="gas_licence",
        steps=("Shut the gas, air the room, and keep the range out of use.",
               "Replace the leaking joint or connector; never use an old connector again.",
               "Check every joint with leak solution, then smell again."),
        cautions=(NO_FLAME, LICENCES), closing_checks=("joints_tight", "no_gas_odour"),
    ),
    Repair(
        "clear_air_passages", "Clear the air passages", remembered({"air_passages_covered": 0.97}),
        from_memory(5.0), ISOLATED, ("oven_cavity",),
        steps=("Take out foil and liners, clean vents and burners, and tell the customer why they must stay free.",),
        closing_checks=("flames_blue", "carbon_monoxide_low"),
    ),
)  # fmt: skip
