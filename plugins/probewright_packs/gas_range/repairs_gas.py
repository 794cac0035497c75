"""Repairs of the gas side.

All are done with the gas shut.  It is let in again on the way to the closing checks, which look for leaks first.
"""

from __future__ import annotations

from probewright.packs import Repair, from_memory
from probewright_packs.common.cautions import LICENCES, NO_FLAME
from probewright_packs.common.gas import TIGHT, open_gas_supply, repair_gas_leak
from probewright_packs.common.numbers import remembered
from probewright_packs.gas_range.closings import BURNS, PILOTS, SURFACE_BURNS, lights
from probewright_packs.gas_range.options_and_states import ISOLATED
from probewright_packs.gas_range.tests_gas import WORDS

_GAS_SET = ("manifold_pressure_right", *PILOTS, *lights(), *BURNS, *SURFACE_BURNS)

GAS_REPAIRS = (
    open_gas_supply(WORDS, ISOLATED, "gas_line", (*TIGHT, "air_purged", *PILOTS, "everything_works")),
    Repair(
        "open_oven_gas_lever", "Open the lever that shuts the oven's gas", remembered({"oven_gas_lever_closed": 0.98}),
        from_memory(2.0), ISOLATED, ("gas_line",),
        steps=("Find out why it was closed: an oven that smelt of gas, or work that was not finished.",
               "With the oven off, turn the lever in line with the pipe."),
        cautions=(NO_FLAME,), closing_checks=("no_gas_odour", *lights()),
    ),
    Repair(
        "replace_regulator", "Set or replace the gas pressure regulator",
        remembered({"regulator_pressure_wrong": 0.95}),
        from_memory(35.0), ISOLATED, ("gas_line",), part="regulator", skill="gas_licence",
        steps=("Look first whether its cap or pin is set for the fuel that is supplied.",
               "Fit a new one in the direction of its arrow, with sealant made for gas, and leave its joints bare "
               "until they have been checked."),
        cautions=(NO_FLAME, LICENCES), closing_checks=(*TIGHT, *_GAS_SET),
    ),
    Repair(
        "fit_orifices_for_fuel", "Fit the orifices and the regulator setting for the fuel",
        remembered({"wrong_orifices_for_fuel": 0.95}), from_memory(60.0), ISOLATED,
        ("cooktop", "oven_cavity", "gas_line"), part="orifices", skill="gas_licence",
        steps=("Change every orifice, the regulator's setting, the low-flame screws and the air shutters together, by "
               "the maker's sheet for the fuel that is supplied.",
               "Leave the joints bare until they have been checked.",
               "Fix the label of the conversion to the range."),
        cautions=("Never drill an orifice.", NO_FLAME, LICENCES), closing_checks=(*TIGHT, *_GAS_SET),
    ),
    repair_gas_leak(ISOLATED, "gas_line", (*TIGHT, "air_purged", *PILOTS, "everything_works")),
    Repair(
        "clear_air_passages", "Clear the air passages", remembered({"air_passages_covered": 0.97}),
        from_memory(5.0), ISOLATED, ("oven_cavity",),
        steps=("Take out foil and liners and clean vents and burners.",
               "Tell the customer why they must stay free: carbon monoxide."),
        closing_checks=(*lights(), *BURNS, "oven_temperature_settled"),
    ),
)  # fmt: skip
