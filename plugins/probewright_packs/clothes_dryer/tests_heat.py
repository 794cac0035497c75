"""Tests of the heat that electric and gas dryers share, and of the element."""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import (
    Between,
    Limit,
    Model,
    Shows,
    Spread,
    Stated,
    Test,
    Through,
    When,
    common_practice,
    from_memory,
    normal,
)
from probewright_packs.clothes_dryer.burner_wiring import BURNER_LIGHTS
from probewright_packs.clothes_dryer.commands import AIR, DOOR_OPEN, HEAT, START
from probewright_packs.clothes_dryer.functions import NO_FLAME_COMES
from probewright_packs.clothes_dryer.motor_wiring import MOTOR_STANDS
from probewright_packs.clothes_dryer.options_and_states import (
    DRUM_MOVES,
    ELECTRIC,
    GAS,
    HEAT_WITHOUT_TURNING,
    ISOLATED,
    POWERED,
    TIMER,
)
from probewright_packs.clothes_dryer.options_and_states import RUNNING as IN_USE
from probewright_packs.clothes_dryer.wiring import CUTOFF_BLOWN, SOME_HEAT, WARM_AIR, heat_is_off
from probewright_packs.common.cautions import HOT_PARTS, LIVE_PARTS
from probewright_packs.common.numbers import around
from probewright_packs.common.supply import LINE_VOLTAGE
from probewright_packs.common.tables import alike, seen, table
from probewright_packs.common.two_legs import LEG_VOLTAGE

_ONE_LEAD = "Take one lead off the part, so that nothing else is read in parallel."
_CUTOFF_ASKS = "Never bridge a thermostat or a cut-off; one that has blown asks what made it too hot: look at the vent."
_UNDER_POWER = (LIVE_PARTS, DRUM_MOVES, HOT_PARTS)
_NEXT_TO_NOTHING = Limit(high=common_practice(3.0))

#: Faults under which the drum turns and the air stays as cold as the room.
COLD = (
    "element_open", *CUTOFF_BLOWN, "high_limit_open", "cycling_thermostat_open", "timer_heat_contact_open",
    "heat_relay_open", "heat_harness_open", "motor_heater_contact_open", "leg_two_dead", "outlet_sensor_open",
    "outlet_sensor_shorted", "outlet_sensor_harness_open", "igniter_open", "flame_sensor_open",
    "flame_sensor_stuck_closed", "valve_holding_open", "valve_booster_open", "valve_secondary_open",
    "gas_valve_stuck", "gas_shut_off",
)  # fmt: skip


def _warm_air() -> Test:
    outcomes = ("warm", "lukewarm", "cold")
    bands = Shows("heat", "element_end", "voltage", (SOME_HEAT, WARM_AIR), ("cold", "lukewarm", "warm"),
                  ELECTRIC)  # fmt: skip
    flame = table(
        outcomes, (0.02, 0.005),
        {**{fault: (0.01, chance) for fault, chance in NO_FLAME_COMES.items()},
         "orifice_for_other_fuel": (0.35, 0.1), "gas_pressure_wrong": (0.3, 0.15), "burner_air_blocked": (0.15, 0.02)},
        without=tuple((replace(needed, circuit="heat"), "cold") for needed in BURNER_LIGHTS),
    )  # fmt: skip
    return Test(
        "warm_air", "Warmth of the air in the first minutes", "seen", (IN_USE,), "outside", from_memory(4.0),
        (bands, replace(flame, when=GAS)), command=HEAT, outcomes=outcomes,
        steps=("Set a heat cycle with the drum empty, and start it.",
               "After three minutes open the door and feel the air in the drum with the hand."),
        cautions=(HEAT_WITHOUT_TURNING, HOT_PARTS),
    )  # fmt: skip


def _at_rest() -> Test:
    without = tuple((needed, "warm") for command in ("off", DOOR_OPEN) for needed in heat_is_off(command))
    return seen(
        "heat_at_rest", "Heat with the drum standing", ("cold", "warm"), (0.001,),
        {"belt_broken_switch_bridged": (0.9,)}, state=IN_USE, zone="outside", minutes=4.0, command=DOOR_OPEN,
        without=without, closing=True,  # never to find out: what heats a drum that stands is found with it dead
        steps=("When it has run a minute on heat, open the door, leave the control as it is, and feel into the drum "
               "after two minutes; then set the control to off and feel again.",
               "Switch the breaker off, or pull the plug, at the first sign of heat."),
        cautions=(HEAT_WITHOUT_TURNING, HOT_PARTS),
    )  # fmt: skip


def _at_air() -> Test:
    return seen(
        "heat_at_air", "Heat on a setting without heat", ("cold", "warm"), (0.005,), {}, state=IN_USE, zone="outside",
        minutes=4.0, command=AIR, without=tuple((needed, "warm") for needed in heat_is_off(AIR)),
        steps=("Start a cycle without heat from cold, and feel the air in the drum after three minutes.",),
        cautions=(HEAT_WITHOUT_TURNING, HOT_PARTS),
    )  # fmt: skip


def _outlet_temperature() -> Test:
    by_fault: dict[str, Spread] = {
        **dict.fromkeys((*COLD, *MOTOR_STANDS), around(24.0, 4.0)),
        "cycling_thermostat_stuck_closed": around(88.0, 6.0), "heat_relay_welded": around(88.0, 6.0),
        "cycling_thermostat_opens_early": around(46.0, 4.0), "outlet_sensor_drifted": around(49.0, 4.0),
        "vent_blocked": around(50.0, 8.0), "vent_too_long": around(57.0, 5.0), "blower_wheel_loose": around(46.0, 9.0),
        "lint_screen_clogged": around(53.0, 6.0), "drum_seal_worn": around(58.0, 5.0),
        "element_touches_case": around(76.0, 10.0), "leg_two_on_neutral": around(38.0, 4.0),
        "block_leg_one_burnt": around(40.0, 8.0), "block_leg_two_burnt": around(40.0, 8.0),
        "valve_coils_fail_hot": around(42.0, 9.0), "orifice_for_other_fuel": around(62.0, 14.0),
        "gas_pressure_wrong": around(62.0, 9.0), "burner_air_blocked": around(57.0, 7.0),
        "belt_broken_switch_bridged": around(75.0, 12.0), "lint_in_cabinet": around(64.0, 5.0),
    }
    return Test(
        "outlet_temperature", "Highest temperature of the air that leaves the dryer", "temperature", (IN_USE,),
        "behind", from_memory(14.0), (Stated(normal(from_memory(63.0), from_memory(3.5)), by_fault),), unit="degC",
        command=HEAT, limits=(Limit(common_practice(54.0), common_practice(72.0)),), instrument="thermometer",
        steps=("Put the probe into the air at the dryer's outlet, with the vent on, and run a full heat cycle with "
               "damp towels until the heat has gone out and come back.",
               "Give the highest reading; one minute of heat says nothing."),
        cautions=(HEAT_WITHOUT_TURNING, HOT_PARTS),
    )  # fmt: skip


_HEAT_SHARED = (_warm_air(), _at_rest(), _at_air(), _outlet_temperature())


def _across(
    id_: str, title: str, nodes: tuple[str, str], *, zone: str, step: str, cautions: tuple[str, ...] = ()
) -> Test:
    return Test(
        id_, title, "voltage", (POWERED,), zone, from_memory(4.0), (Between("heat", *nodes),), unit="V", command=HEAT,
        limits=(_NEXT_TO_NOTHING,), instrument="multimeter",
        steps=(step, "Set a heat cycle, start it and read: a closed contact has next to nothing across it, and the "
               "whole supply stands across the one that is open."),
        cautions=(*_UNDER_POWER, *cautions),
    )  # fmt: skip


def _fed(id_: str, title: str, node: str, *, zone: str, step: str) -> Test:
    models: tuple[Model, ...] = (Between("heat", node, "leg_two", when=ELECTRIC),
                                 Between("heat", node, "neutral", when=GAS))  # fmt: skip
    limits = (replace(LEG_VOLTAGE, when=ELECTRIC), replace(LINE_VOLTAGE, when=GAS))
    return Test(
        id_, title, "voltage", (POWERED,), zone, from_memory(4.0), models, unit="V", command=HEAT, limits=limits,
        instrument="multimeter",
        steps=(step, "Set a heat cycle, start it and read, with everything still connected.",
               "A few tens of volts on a high-impedance input say nothing: repeat with a low-impedance input."),
        cautions=_UNDER_POWER,
    )  # fmt: skip


_VOLTAGES = (
    _across("heat_contact_voltage", "Voltage across the control's contact of the heat", ("leg_one", "heat_out"),
            zone="console", step="Clip across the contact: read to neutral, an element feeds back 120 V and hides an "
            "open contact."),
    _across("heater_contact_voltage", "Voltage across the heater contact of the motor", ("contact_in", "heat_feed"),
            zone="cabinet", step="Clip across the two heater terminals of the motor's switch."),
    _across("cutoff_voltage", "Voltage across the thermal cut-off", ("cutoff_in", "contact_in"), zone="heat_source",
            step="Clip across the cut-off.", cautions=(_CUTOFF_ASKS,)),
    _across("high_limit_voltage", "Voltage across the high-limit thermostat", ("limit_in", "cutoff_in"),
            zone="heat_source", step="Clip across the high limit.", cautions=(_CUTOFF_ASKS,)),
    _fed("heat_feed_voltage", "Voltage that reaches the thermostats at the heat", "limit_in", zone="heat_source",
         step="Clip to the feed of the high limit, and to the far end of the element, or to neutral of a burner."),
    _fed("heat_load_voltage", "Voltage across the element, or at the burner", "heat_feed", zone="heat_source",
         step="Clip across the whole element, or to the burner's feed and neutral."),
)  # fmt: skip


def _closed(
    id_: str, title: str, nodes: tuple[str, str], apart: str, *, zone: str = "heat_source", command: str = "off",
    when: When | None = None, cautions: tuple[str, ...] = (), outcomes: tuple[str, str] = ("closed", "open"),
    step: str = "Let it cool to the temperature of the room, and read across it.",
) -> Test:  # fmt: skip
    return Test(
        id_, title, "continuity", (ISOLATED,), zone, from_memory(3.0), (Between("heat", *nodes, (apart,)),),
        command=command, outcomes=outcomes, instrument="multimeter", steps=(step, _ONE_LEAD), cautions=cautions,
        when=when or {},
    )  # fmt: skip


_CONTINUITY = (
    _closed("cutoff_continuity", "Continuity of the thermal cut-off", ("cutoff_in", "contact_in"), "high_limit",
            cautions=(_CUTOFF_ASKS,)),
    _closed("high_limit_continuity", "Continuity of the high-limit thermostat", ("limit_in", "cutoff_in"),
            "thermal_cutoff", cautions=(_CUTOFF_ASKS,)),
    _closed("cycling_thermostat_continuity", "Continuity of the cycling thermostat", ("heat_out", "harness_in"),
            "heat_harness", zone="cabinet", when=TIMER),
    _closed("timer_heat_contact_continuity", "Continuity of the timer's contact of the heat, set to heat",
            ("leg_one", "heat_out"), "cycling_thermostat", zone="console", command=START, when=TIMER,
            step="Set the timer to heat and read across its contact of the heat."),
    _closed("heater_contact_at_rest", "Heater contact of the motor's switch at rest", ("contact_in", "heat_feed"),
            "thermal_cutoff", zone="cabinet", outcomes=("open", "closed"),
            step="Read across the heater contact with the motor at rest: it is open there."),
)  # fmt: skip

_TAKEN_OFF = ("cord_two", "motor_heater_contact")

_ELEMENT = (
    Test(
        "element_current", "Current of the element", "current", (POWERED,), "behind", from_memory(5.0),
        (Through("heat", "element_end"),), unit="A", command=HEAT, when=ELECTRIC, instrument="clamp_meter",
        steps=("Put the clamp around the wire of the leg that feeds the element alone (here called leg two), behind "
               "the terminal block, set a heat cycle and start it.",
               "Read within a minute, together with the voltage from leg to leg."),
        cautions=_UNDER_POWER,
    ),
    Test(
        "leg_two_current_at_off", "Current of leg two with the control at off", "current", (POWERED,), "behind",
        from_memory(3.0), (Through("heat", "element_end"),), unit="A", when=ELECTRIC, instrument="clamp_meter",
        limits=(Limit(high=common_practice(0.5)),),
        steps=("Put the clamp around the wire of the leg that leads straight to the element (here called leg two), "
               "behind the terminal block; leave the control at off, restore power and read at once.",
               "Anything that flows goes through the element to its case: switch the breaker off."),
        cautions=_UNDER_POWER,
    ),
    Test(
        "element_resistance", "Resistance of the heating element", "resistance", (ISOLATED,), "heat_source",
        from_memory(4.0), (Between("heat", "heat_feed", "leg_two", _TAKEN_OFF),), unit="ohm", when=ELECTRIC,
        instrument="multimeter", steps=("Take both leads off the element and read across it.",),
        cautions=("The right resistance says nothing of the coil's distance from its case: read to the case, too.",),
    ),
    Test(
        "element_to_case", "Resistance from the element to its case", "resistance", (ISOLATED,), "heat_source",
        from_memory(3.0), (Between("heat", "heat_feed", "chassis", _TAKEN_OFF),), unit="ohm", when=ELECTRIC,
        limits=(Limit(low=common_practice(1e6)),), instrument="multimeter",
        steps=("Take both leads off the element and read from either terminal to bare metal of its case.",
               "Tap the case while you read: a sagging coil may touch it only then, or only when hot."),
    ),
)  # fmt: skip


def _breaker() -> Test:
    outcomes = ("on", "tripped_or_off")
    rows = {**alike(("both_legs_dead", "no_supply"), 0.6), **alike(("leg_one_dead", "leg_two_dead"), 0.45),
            "element_touches_case": (0.12,)}  # fmt: skip
    return Test(
        "breaker_position", "Position of the breaker, or state of the fuses", "seen", (IN_USE, POWERED, ISOLATED),
        "outside", from_memory(3.0), (table(outcomes, (0.003,), rows),), outcomes=outcomes,
        steps=("At the panel, look how the dryer's breaker stands, each pole of it, before anything is switched.",
               "Two single breakers, or two fuses, may feed the two legs apart."),
        cautions=("A breaker that has tripped had a reason: find it before it is switched on again.",),
    )  # fmt: skip


def _block() -> Test:
    burnt = alike(("block_leg_one_burnt", "block_leg_two_burnt", "block_neutral_burnt"), 0.88)
    return seen(
        "terminal_block_condition", "Condition of the terminal block and the cord's ends", ("sound", "scorched"),
        (0.01,), burnt, state=ISOLATED, zone="behind", minutes=2.0, when=ELECTRIC,
        steps=("Look at block, screws and the ends of the cord for browning, melted plastic and looseness.",),
        cautions=("Scorched terminals stay switched off until they are replaced.",),
    )  # fmt: skip


HEAT_TESTS = (*_HEAT_SHARED, *_VOLTAGES, *_CONTINUITY, *_ELEMENT, _breaker(), _block())
