"""Tests of the gas side and of what it gives off."""

from __future__ import annotations

from probewright.packs import (
    Limit,
    Outcomes,
    Spread,
    Stated,
    Table,
    Test,
    When,
    common_practice,
    from_memory,
    normal,
    published,
)
from probewright_packs.common.cautions import HOT_PARTS, LICENCES, NO_FLAME
from probewright_packs.common.gas import GasWords, gas_odour, gas_supply_valve, leak_check
from probewright_packs.common.numbers import decades, evenly, nothing, remembered, within_a_factor
from probewright_packs.gas_range.options_and_states import ISOLATED, LIVE, LIVE_GAS_OFF

WORDS = GasWords("range", "every burner off", "every knob is off", "the manifold", "light a burner")

#: ppm, air-free.  A type test allows this much of a new range in a laboratory.
CO_TYPE_TEST_LIMIT = published(800.0, "ANSI Z21.1, household cooking gas appliances: air-free carbon monoxide")
#: ppm, air-free.  Shops act far below the type test's limit; each should put in its own figure.
CO_ACTION_LIMIT = from_memory(100.0)

#: Manifold pressure (inH2O) by fuel.
MANIFOLD = {"natural_gas": common_practice(5.0), "propane": common_practice(10.0)}


def _pressure(fuel: str) -> Stated:
    # A regulator set or turned for the other fuel, or drifting, gives anything in the range of both.
    by_fault: dict[str, Spread] = {"gas_shut_off": nothing(), "regulator_pressure_wrong": evenly(1.0, 14.0)}
    when: When = {"fuel": fuel}
    return Stated(normal(MANIFOLD[fuel], from_memory(0.06 * MANIFOLD[fuel])), by_fault, when=when)


def _manifold() -> Test:
    return Test(
        "manifold_pressure", "Gas pressure at the manifold with a burner lit", "pressure", (LIVE,), "pressure_tap",
        from_memory(8.0), tuple(_pressure(fuel) for fuel in MANIFOLD), unit="inH2O", command="light",
        instrument="manometer", skill="gas_licence",
        steps=("Check the manometer's connection with leak solution, with every burner off; where it leaks, or the "
               "manometer is not fitted yet, shut the gas first.",
               "Light one surface burner and read; read again with the other burners lit.",
               "Turn the burners off, shut the gas and refit the tap's plug; open the gas and check the plug with leak "
               "solution."),
        cautions=(NO_FLAME, LICENCES),
    )  # fmt: skip


def _lever() -> Test:
    return Test(
        "oven_gas_lever", "Lever that shuts the gas of the oven alone", "seen", (ISOLATED,), "gas_line",
        from_memory(2.0),
        (Table(remembered({"open": 0.995, "closed": 0.005}),
               {"oven_gas_lever_closed": remembered({"open": 0.02, "closed": 0.98})}),),
        outcomes=("open", "closed"),
        steps=("Find the lever on the regulator and look how it stands: in line with the pipe it is open.",),
        cautions=("The cooktop works with this lever closed, so that gas seems to be there.",),
    )  # fmt: skip


def _orifices() -> Test:
    return Test(
        "orifice_markings", "Markings of the orifices against the fuel", "seen", (ISOLATED,), "cooktop",
        from_memory(6.0),
        (Table(remembered({"match": 0.99, "differ": 0.01}),
               {"wrong_orifices_for_fuel": remembered({"match": 0.06, "differ": 0.94})}),),
        outcomes=("match", "differ"),
        steps=("Compare the sizes stamped on the orifices, and the position of the regulator's cap or pin, "
               "with the rating plate and the fuel that is supplied.",),
        cautions=(LICENCES,),
    )  # fmt: skip


def _odour() -> Test:
    by_fault: dict[str, Outcomes] = {
        "gas_leak": remembered({"none": 0.3, "present": 0.7}),
        "pilot_out": remembered({"none": 0.6, "present": 0.4}),
        "oven_pilot_out": remembered({"none": 0.6, "present": 0.4}),
    }
    return gas_odour((ISOLATED, LIVE_GAS_OFF, LIVE), by_fault)


def _carbon_monoxide() -> Test:
    by_fault: dict[str, Spread] = {
        "air_passages_covered": within_a_factor(350.0, 2.2),
        "wrong_orifices_for_fuel": within_a_factor(400.0, 2.2),
        "regulator_pressure_wrong": within_a_factor(150.0, 2.2),
        "burner_ports_blocked": within_a_factor(80.0, 2.0),
    }
    return Test(
        "carbon_monoxide_air_free", "Carbon monoxide in the oven's flue gas, air-free", "concentration", (LIVE,),
        "outside", from_memory(12.0), (Stated(decades(5.0, 80.0), by_fault),), unit="ppm", command="bake",
        limits=(Limit(high=CO_ACTION_LIMIT),), instrument="gas_analyzer",
        steps=("Put back whatever was taken out of the oven. Zero the analyser in clean air.",
               "Set the oven to bake and sample in its vent, ahead of room air, until the reading settles.",
               "Take carbon monoxide and oxygen together and give the air-free figure."),
        cautions=("Carry a carbon monoxide meter: when it rises in the room, turn the burner off, leave and ventilate.",
                  f"The type test allows {CO_TYPE_TEST_LIMIT:g} ppm air-free (ANSI Z21.1): "
                  "that is no figure to leave a kitchen with.",
                  HOT_PARTS),
    )  # fmt: skip


GAS_TESTS = (
    _odour(), leak_check(WORDS, LIVE, "gas_line"), _carbon_monoxide(),
    gas_supply_valve((ISOLATED, LIVE_GAS_OFF), "gas_line"), _lever(), _manifold(), _orifices(),
)  # fmt: skip
