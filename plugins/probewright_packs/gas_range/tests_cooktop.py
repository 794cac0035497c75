"""Tests of the cooktop: spark, switches, electrodes, burners and pilots."""

from __future__ import annotations

from probewright.packs import Between, Outcomes, Table, Test, from_memory
from probewright_packs.common.cautions import HIGH_VOLTAGE, HOT_PARTS, LIVE_PARTS, ODOUR_FIRST
from probewright_packs.common.numbers import remembered
from probewright_packs.common.supply import LINE_VOLTAGE
from probewright_packs.gas_range.options_and_states import (
    COOKTOP_PILOT,
    COOKTOP_SPARK,
    ISOLATED,
    LIVE,
    LIVE_GAS_OFF,
)  # fmt: skip
from probewright_packs.gas_range.wiring import spark_module_powered


def _at_electrodes() -> Test:
    some = remembered({"all": 0.05, "some": 0.92, "none": 0.03})
    by_fault: dict[str, Outcomes] = {
        "spark_module_dead": remembered({"all": 0.005, "some": 0.035, "none": 0.96}),
        "spark_module_output_dead": some,
        "spark_lead_damaged": remembered({"all": 0.1, "some": 0.87, "none": 0.03}),
        "spark_electrode_cracked": remembered({"all": 0.2, "some": 0.78, "none": 0.02}),
        "spark_electrode_dirty": remembered({"all": 0.6, "some": 0.38, "none": 0.02}),
    }
    healthy = remembered({"all": 0.975, "some": 0.02, "none": 0.005})
    return Test(
        "spark_at_electrodes", "Spark at the electrodes of the cooktop", "seen", (LIVE_GAS_OFF,), "outside",
        from_memory(2.0), (Table(healthy, by_fault, without=((spark_module_powered(LIVE_GAS_OFF), "none"),)),),
        command="light", outcomes=("all", "some", "none"), when=COOKTOP_SPARK,
        steps=("Hold one knob at light and look at every electrode in dimmed light.",
               "Every electrode sparks from any one switch: repeat with another knob if none does."),
        cautions=(HIGH_VOLTAGE,),
    )  # fmt: skip


def _switch(position: str, command: str, outcomes: tuple[str, str], steps: tuple[str, ...]) -> Test:
    return Test(
        f"ignition_switch_at_{position}", f"Ignition switch with the knob at {position}", "continuity", (ISOLATED,),
        "under_cooktop", from_memory(4.0), (Between("spark", "hot", "spark_out", ("ignition_harness",)),),
        command=command, outcomes=outcomes, when=COOKTOP_SPARK, instrument="multimeter",
        steps=("Take the leads off the switches, or pull the plug of their harness.", *steps),
    )  # fmt: skip


_AT_OFF = _switch("off", "off", ("open", "closed"), (
    "Turn every knob to off and read across the switches together; look at the display too, for a wet switch leads "
    "without a beep: anything short of over range is closed.",
    "When they are closed, read across one after the other to find which.",
))
_AT_LIGHT = _switch("light", "light", ("closed", "open"), (
    "Turn the knob of the burner in question to light, and read across its switch.",
    "When every burner is complained of, read across the others likewise.",
))


def _electrode() -> Test:
    by_fault: dict[str, Outcomes] = {
        "spark_electrode_dirty": remembered({"clean": 0.12, "dirty": 0.86, "cracked": 0.01, "lead_damaged": 0.01}),
        "spark_electrode_cracked": remembered({"clean": 0.22, "dirty": 0.05, "cracked": 0.72, "lead_damaged": 0.01}),
        "spark_lead_damaged": remembered({"clean": 0.25, "dirty": 0.04, "cracked": 0.01, "lead_damaged": 0.7}),
    }
    healthy = remembered({"clean": 0.9, "dirty": 0.09, "cracked": 0.005, "lead_damaged": 0.005})
    return Test(
        "spark_electrode_condition", "Condition of the spark electrode", "seen", (ISOLATED,), "cooktop",
        from_memory(3.0), (Table(healthy, by_fault),), outcomes=("clean", "dirty", "cracked", "lead_damaged"),
        when=COOKTOP_SPARK,
        steps=("Look at tip, insulator and lead of the electrode of the burner in question.",
               "Turn the electrode in good light: hairline cracks show as dark lines, often tracked with carbon."),
        cautions=(HOT_PARTS,),
    )  # fmt: skip


def _burner_look(id_: str, title: str, outcomes: tuple[str, str], fault: str, step: str) -> Test:
    healthy = remembered({outcomes[0]: 0.96, outcomes[1]: 0.04})
    by_fault = {fault: remembered({outcomes[0]: 0.06, outcomes[1]: 0.94})}
    return Test(id_, title, "seen", (ISOLATED,), "cooktop", from_memory(2.0), (Table(healthy, by_fault),),
                outcomes=outcomes, steps=(step,), cautions=(HOT_PARTS,))  # fmt: skip


def _pilot() -> Test:
    by_fault: dict[str, Outcomes] = {
        "pilot_out": remembered({"blue": 0.01, "yellow_or_small": 0.02, "out": 0.97}),
        "gas_shut_off": remembered({"blue": 0.01, "yellow_or_small": 0.01, "out": 0.98}),
        "regulator_pressure_wrong": remembered({"blue": 0.4, "yellow_or_small": 0.45, "out": 0.15}),
        "wrong_orifices_for_fuel": remembered({"blue": 0.3, "yellow_or_small": 0.6, "out": 0.1}),
    }
    healthy = remembered({"blue": 0.97, "yellow_or_small": 0.025, "out": 0.005})
    return Test(
        "cooktop_pilot_flame", "Pilot flames of the cooktop", "seen", (LIVE,), "under_cooktop", from_memory(2.0),
        (Table(healthy, by_fault),), outcomes=("blue", "yellow_or_small", "out"), when=COOKTOP_PILOT,
        steps=("Look at each pilot with every knob off, without lighting it.",),
        cautions=(ODOUR_FIRST, "Unburnt gas gathers where a pilot is out: air the room before anything is lit."),
    )  # fmt: skip


COOKTOP_TESTS = (
    Test(
        "spark_module_supply_voltage", "Supply voltage at the spark module with a knob at light", "voltage",
        (LIVE_GAS_OFF,), "under_cooktop", from_memory(5.0), (Between("spark", "spark_feed", "neutral"),), unit="V",
        limits=(LINE_VOLTAGE,),
        command="light", when=COOKTOP_SPARK, instrument="multimeter",
        steps=("With the probes on the module's two supply terminals, hold a knob at light and read.",
               "A few tens of volts on a high-impedance input say nothing: repeat with a low-impedance input."),
        cautions=(LIVE_PARTS, HIGH_VOLTAGE),
    ),
    _at_electrodes(),
    _AT_OFF,
    _AT_LIGHT,
    _electrode(),
    _burner_look("burner_ports", "Ports of the burner", ("clear", "blocked"), "burner_ports_blocked",
                 "Look through the ports of the burner head and the small port towards the electrode."),
    _burner_look("burner_cap_seat", "Seat of the burner cap", ("seated", "misplaced"), "burner_cap_misplaced",
                 "Go by how head and cap sat before they were taken off: level, on their pins, on their own burner."),
    _pilot(),
)  # fmt: skip
