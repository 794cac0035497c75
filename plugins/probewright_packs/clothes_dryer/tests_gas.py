"""Tests of the gas burner, its valve and its gas."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from probewright.packs import (
    Between,
    Figure,
    Limit,
    Outcomes,
    Shows,
    Spread,
    Stated,
    Test,
    common_practice,
    from_memory,
    normal,
    orifice_diameter,
    orifice_flow,
    seconds_per_revolution,
)
from probewright_packs.clothes_dryer.burner_wiring import (
    GLOW,
    first_valve_opens,
    igniter_glows,
    igniter_goes_out,
    second_valve_opens,
)
from probewright_packs.clothes_dryer.commands import BURN, HEAT, STILL_HOT
from probewright_packs.clothes_dryer.faults import VENT_BLOCKED
from probewright_packs.clothes_dryer.options_and_states import (
    DRUM_MOVES,
    GAS,
    HEAT_WITHOUT_TURNING,
    ISOLATED,
    NATURAL_GAS,
    POWERED,
)
from probewright_packs.clothes_dryer.options_and_states import RUNNING as IN_USE
from probewright_packs.common.cautions import HOT_PARTS, LICENCES, LIVE_PARTS, NO_FLAME, ODOUR_FIRST
from probewright_packs.common.gas import (
    CO_ROOM_LIMIT,
    GasWords,
    gas_odour,
    gas_supply_valve,
    leak_check,
)
from probewright_packs.common.numbers import decades, evenly, nothing, within_a_factor
from probewright_packs.common.supply import LINE_VOLTAGE
from probewright_packs.common.tables import row, seen, table

#: Line voltage less the few volts that the cold igniter takes.
_LESS_THE_IGNITER = Limit(from_memory(85.0), LINE_VOLTAGE.high, scales_with_supply=True)

WORDS = GasWords("dryer", "the burner off", "the control is at off", "the burner's valve", "start a heat cycle")

#: Manifold pressure (inH2O) by fuel.
MANIFOLD = {"natural_gas": common_practice(3.5), "propane": common_practice(10.0)}
RATED_INPUT = from_memory(22000.0)
#: Btu in a cubic foot, and density over that of air.
HEATING_VALUE = {"natural_gas": from_memory(1030.0), "propane": from_memory(2500.0)}
DENSITY = {"natural_gas": from_memory(0.6), "propane": from_memory(1.53)}
#: Cubic feet of one turn of the dial that is timed.
DIAL = common_practice(0.5)


def _seconds(share: float, how: str) -> Figure:
    """Seconds of one turn of the dial at a share of the rated input."""
    rated = float(seconds_per_revolution(np.array(RATED_INPUT), np.array(DIAL), np.array(HEATING_VALUE["natural_gas"])))
    return Figure(rated / share, "from_memory", f"22 000 Btu/h and 1030 Btu a cubic foot, both from memory; {how}")


def _share_through_other_orifice() -> float:
    """Share of the rated input that natural gas gives through the orifice for propane, at its own pressure."""
    flow = {fuel: np.array(RATED_INPUT / HEATING_VALUE[fuel]) for fuel in MANIFOLD}
    bore = orifice_diameter(flow["propane"], np.array(MANIFOLD["propane"]), np.array(DENSITY["propane"]))
    passed = orifice_flow(bore, np.array(MANIFOLD["natural_gas"]), np.array(DENSITY["natural_gas"]))
    return float(passed / flow["natural_gas"])


def _clocked(share: float, how: str, deviation: float) -> Spread:
    seconds = _seconds(share, how)
    return normal(seconds, Figure(deviation * seconds, "from_memory", f"from memory: {deviation:.0%} either way"))


def _clock() -> Test:
    by_fault: dict[str, Spread] = {
        "orifice_for_other_fuel": _clocked(_share_through_other_orifice(), "through the orifice for propane", 0.06),
        "gas_pressure_wrong": _clocked(0.85, "at a wrong pressure, taken as 85 % of it", 0.3),
    }
    return Test(
        "meter_clocking", "Half a cubic foot on the gas meter while the burner burns", "duration", (IN_USE,),
        "outside", from_memory(9.0), (Stated(_clocked(1.0, "at the rated input", 0.05), by_fault),), unit="s",
        command=BURN, when=NATURAL_GAS, instrument="stopwatch",
        steps=("See that nothing else in the house burns gas, pilots included, and that the dryer has burnt steadily "
               "for a minute.",
               "Time one whole turn of the half-foot dial, and stop when the burner goes out: only time with the "
               "burner on counts.",
               "Ask the utility for the heat of its gas, and compare with the rating plate."),
        cautions=(HEAT_WITHOUT_TURNING,),
    )  # fmt: skip


def _pressure(fuel: str) -> Stated:
    by_fault: dict[str, Spread] = {"gas_shut_off": nothing(), "gas_pressure_wrong": evenly(1.0, 14.0)}
    return Stated(normal(MANIFOLD[fuel], from_memory(0.06 * MANIFOLD[fuel])), by_fault, when={"fuel": fuel})


def _manifold() -> Test:
    return Test(
        "manifold_pressure", "Gas pressure at the burner while it burns", "pressure", (IN_USE,), "pressure_tap",
        from_memory(8.0), tuple(_pressure(fuel) for fuel in MANIFOLD), unit="inH2O", command=BURN, when=GAS,
        instrument="manometer", skill="gas_licence",
        steps=("Check the manometer's connection with leak solution, with the burner off; where it leaks, or the "
               "manometer is not fitted yet, shut the gas first.",
               "Start a heat cycle and read once the burner burns.",
               "Set the control to off, shut the gas and refit the tap's plug; open the gas and check the plug with "
               "leak solution."),
        cautions=(NO_FLAME, LICENCES),
    )  # fmt: skip


def _sequence() -> Test:
    outcomes = ("burns_again_and_again", "burns_once", "glows_and_goes_out", "glows_on", "no_glow")
    return seen(
        "burner_sequence", "What the burner does, call after call", outcomes, (0.002, 0.001, 0.001, 0.001),
        {"valve_coils_fail_hot": (0.62, 0.36, 0.004, 0.004), "gas_valve_stuck": (0.01, 0.96, 0.01, 0.005),
         "gas_shut_off": (0.005, 0.98, 0.005, 0.005), "gas_pressure_wrong": (0.03, 0.15, 0.005, 0.005),
         "orifice_for_other_fuel": (0.02, 0.1, 0.005, 0.005)},
        state=IN_USE, zone="heat_source", minutes=7.0, command=BURN, when=GAS,
        without=(
            *((needed, "glows_and_goes_out") for needed in first_valve_opens(IN_USE)),
            (second_valve_opens(IN_USE), "glows_and_goes_out"),
            (igniter_goes_out(IN_USE), "glows_on"),
            (igniter_glows(IN_USE), "no_glow"),
        ),
        steps=("With every panel but the burner's own peep or access back on, start a heat cycle and watch.",
               "See whether the igniter glows, whether it goes out, and whether a flame comes; watch at least three "
               "calls for heat, for coils fail as they get hot.",
               "Set the control to off when gas came and did not light, and air the room."),
        cautions=(ODOUR_FIRST, HOT_PARTS, DRUM_MOVES),
    )  # fmt: skip


def _glow() -> Test:
    return Test(
        "igniter_glow", "Glow of the igniter", "seen", (POWERED,), "heat_source", from_memory(3.0),
        (Shows("heat", "igniter", "current", GLOW, ("none", "dim", "white")),), command=HEAT,
        outcomes=("white", "dim", "none"), when=GAS,
        steps=("Start a heat cycle with the gas shut and watch the igniter for a minute in dimmed light.",),
        cautions=(LIVE_PARTS, DRUM_MOVES, HOT_PARTS),
    )  # fmt: skip


_FLAMES = ("blue", "yellow_or_sooty", "lifting_or_small")
#: Natural gas through the small orifice of propane burns small; propane through the large one is far too much.
_WRONG_FUEL = {"natural_gas": (0.05, 0.88), "propane": (0.9, 0.06)}


def _flame() -> Test:
    rows = {"gas_pressure_wrong": (0.35, 0.4), "burner_air_blocked": (0.8, 0.1), "vent_blocked": (0.2, 0.03),
            "blower_wheel_loose": (0.12, 0.03)}  # fmt: skip
    tables = tuple(
        replace(table(_FLAMES, (0.012, 0.012), {**rows, "orifice_for_other_fuel": row_},
                      without=((igniter_glows(IN_USE), "blue"),)), when={"fuel": fuel})
        for fuel, row_ in _WRONG_FUEL.items()
    )  # fmt: skip
    return Test(
        "burner_flame", "Flame of the burner", "seen", (IN_USE,), "heat_source", from_memory(3.0), tables,
        command=BURN, outcomes=_FLAMES, when=GAS,
        steps=("Watch the flame through the peep: blue and steady into the funnel, without yellow tips.",),
        cautions=(ODOUR_FIRST, HOT_PARTS, DRUM_MOVES),
    )  # fmt: skip


def _ohms(
    id_: str, title: str, nodes: tuple[str, str], apart: tuple[str, ...], *steps: str, command: str = "off",
    minutes: float = 2.5,
) -> Test:  # fmt: skip
    return Test(
        id_, title, "resistance", (ISOLATED,), "heat_source", from_memory(minutes), (Between("heat", *nodes, apart),),
        unit="ohm", command=command, when=GAS, instrument="multimeter", steps=steps,
        cautions=("A coil that is right when cold may fail when hot: read it at once after it has failed, too.",),
    )  # fmt: skip


_PLUG = "Pull the plug of the coils and read across the {} coil, by the maker's sheet; let the valve cool first."
_COILS = (
    _ohms("valve_holding_resistance", "Resistance of the valve's holding coil, cold", ("heat_feed", "neutral"),
          ("igniter", "valve_booster_coil", "motor_heater_contact", "feed_stray"), _PLUG.format("holding")),
    _ohms("valve_booster_resistance", "Resistance of the valve's booster coil, cold", ("heat_feed", "sensed"),
          ("igniter", "flame_sensor", "valve_secondary_coil"), _PLUG.format("booster")),
    _ohms("valve_secondary_resistance", "Resistance of the valve's secondary coil, cold", ("sensed", "neutral"),
          ("igniter", "flame_sensor", "valve_booster_coil"), _PLUG.format("secondary")),
    _ohms("valve_secondary_resistance_hot", "Resistance of the valve's coils while still hot", ("sensed", "neutral"),
          ("igniter", "flame_sensor", "valve_booster_coil"),
          "This reading begins before the dryer is unplugged: it has run on heat for ten minutes or more, until the "
          "burner failed to light again; with the gas shut the coils get as hot.",
          "Then unplug it, pull the plug of the coils within a minute, and read across each.",
          "Give the secondary coil's ohms, or the worst.", command=STILL_HOT, minutes=14.0),
)  # fmt: skip


_COILS_OFF = ("valve_holding_coil", "valve_booster_coil", "valve_secondary_coil", "flame_sensor")


def _igniter() -> Test:
    return Test(
        "igniter_resistance", "Cold resistance of the igniter", "resistance", (ISOLATED,), "heat_source",
        from_memory(3.0), (Between("heat", "heat_feed", "sensed", _COILS_OFF),), unit="ohm", when=GAS,
        instrument="multimeter",
        steps=("Let the igniter cool, pull its plug and read between its two wires.",),
        cautions=(HOT_PARTS, "An igniter breaks at a knock and is spoilt by greasy fingers."),
    )  # fmt: skip


def _sensor() -> Test:
    return Test(
        "flame_sensor_continuity", "Continuity of the flame sensor, cold", "continuity", (ISOLATED,), "heat_source",
        from_memory(2.5), (Between("heat", "sensed", "neutral", ("igniter", "valve_booster_coil",
                                                                 "valve_secondary_coil")),),
        outcomes=("closed", "open"), when=GAS, instrument="multimeter",
        steps=("Let the burner cool and read across the sensor: cold, it is closed.",),
        cautions=("Closed when cold says nothing of whether it opens when hot.",),
    )  # fmt: skip


def _secondary_voltage() -> Test:
    return Test(
        "valve_secondary_voltage", "Voltage across the secondary coil once the igniter glows", "voltage", (POWERED,),
        "heat_source", from_memory(5.0), (Between("heat", "sensed", "neutral"),), unit="V", command=BURN,
        limits=(_LESS_THE_IGNITER,), when=GAS, instrument="multimeter",
        steps=("Clip across the secondary coil, start a heat cycle with the gas shut, and wait until the igniter has "
               "glowed for a minute and gone out.",
               "With the flame sensor open nearly the whole voltage is there; it stays at nothing with the sensor "
               "closed."),
        cautions=(LIVE_PARTS, DRUM_MOVES, HOT_PARTS),
    )  # fmt: skip


def _room_air() -> Test:
    by_fault: dict[str, Spread] = {
        **dict.fromkeys(VENT_BLOCKED, within_a_factor(12.0, 2.2)),
        "orifice_for_other_fuel": within_a_factor(14.0, 2.5), "burner_air_blocked": within_a_factor(14.0, 2.2),
        "gas_pressure_wrong": within_a_factor(6.0, 2.2), "drum_seal_worn": within_a_factor(4.0, 1.8),
        "blower_wheel_loose": within_a_factor(6.0, 2.2),
    }
    return Test(
        "carbon_monoxide_in_room", "Carbon monoxide in the air of the room while it burns", "concentration",
        (IN_USE,), "outside", from_memory(7.0), (Stated(decades(0.3, 4.0), by_fault),), unit="ppm", command=BURN,
        limits=(Limit(high=CO_ROOM_LIMIT),), when=GAS, instrument="gas_analyzer",
        steps=("Zero the analyser out of doors, and read the room before anything burns.",
               "Let a heat cycle run for five minutes with the vent connected and the room's door closed, and read at "
               "breathing height, an arm's length from the dryer."),
        cautions=("When it rises above the limit, switch the dryer off, leave and ventilate.", HEAT_WITHOUT_TURNING),
    )  # fmt: skip


def _odour() -> Test:
    outcomes = ("none", "present")
    leaks: dict[str, Outcomes] = {"gas_leak": row(outcomes, 0.7)}
    return gas_odour((ISOLATED, POWERED, IN_USE), leaks, GAS)


GAS_TESTS = (
    _odour(), leak_check(WORDS, IN_USE, "gas_line", GAS), gas_supply_valve((ISOLATED, POWERED), "gas_line", GAS),
    _clock(), _manifold(), _sequence(), _glow(), _flame(), _igniter(), _sensor(), *_COILS, _secondary_voltage(),
    _room_air(),
    seen(
        "orifice_marking", "Marking of the orifice against the fuel", ("matches", "differs"), (0.01,),
        {"orifice_for_other_fuel": (0.95,)}, state=ISOLATED, zone="heat_source", minutes=4.0, when=GAS,
        steps=("Compare the size stamped on the orifice, the cap of the regulator and the label of a conversion with "
               "the rating plate and the fuel that is supplied.",),
        cautions=(LICENCES,),
    ),
    seen(
        "burner_air", "Air openings of the burner", ("clear", "linty"), (0.045,), {"burner_air_blocked": (0.94,),
                                                                                 "lint_in_cabinet": (0.35,)},
        state=ISOLATED, zone="heat_source", minutes=2.0, when=GAS,
        steps=("Look at shutter, venturi and the way of the air to the burner for lint.",),
    ),
)  # fmt: skip
