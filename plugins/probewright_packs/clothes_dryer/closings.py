"""What must be shown, with gas and power back on, before a job is left."""

from __future__ import annotations

from probewright.packs import Closing, Limit, from_memory
from probewright_packs.clothes_dryer.tests_air import BACK_PRESSURE
from probewright_packs.common.gas import tight_closings
from probewright_packs.common.supply_repairs import supply_closings
from probewright_packs.common.two_legs_repairs import leg_closings

#: That it turns as it should, stands when its door is opened, and heats.
TURNS = ("drum_stops_with_door", "runs_quietly", "gets_warm")
#: That the vent lets the air out: after whatever got too hot, and whatever dried too slowly.
VENTED = ("vent_free",)
#: That it heats as it should, stops heating at its temperature, and not at all while the drum stands.
HEATS = ("element_current_right", "burner_lights_again", "cold_at_rest", "outlet_temperature_right")
#: How a gas burner burns.
BURNS = ("burner_flame_blue", "room_air_clean")
#: That wiring was left as it must be.
WIRED = ("wiring_sound", "ground_continuous", "no_leak_to_chassis")

#: Too little back pressure is another matter than a vent that holds back: other checks show it.
_CLEAR = (Limit(high=BACK_PRESSURE.high),)
#: Amperes of an element of 5.4 kW, a tenth either way, and somewhat less behind a long branch.
_HEATS = (Limit(from_memory(15.0), from_memory(25.6), scales_with_supply=True),)
#: Amperes of a motor that runs free, at any supply in range.
_RUNS = (Limit(from_memory(3.5), from_memory(7.5)),)

CLOSINGS = (
    *supply_closings(),
    *leg_closings(),
    Closing("no_leak_to_chassis", "Nothing live leads to the chassis, by an insulation tester.",
            "insulation_to_chassis", guarded=True),
    Closing("wiring_sound", "Wiring and terminals are sound and dry, free of lint, and keep clear of edges and heat.",
            "wiring_condition"),
    Closing("lint_cleared", "Motor, wiring and heat are free of lint.", "lint_inside"),
    *tight_closings("with the burner off and after it has burnt"),
    Closing("motor_runs_free", "The motor's current is that of one that runs free.", "motor_current", _RUNS),
    Closing("vent_free", "The vent is clear: its back pressure is in range with the screen in and the door closed.",
            "vent_back_pressure", _CLEAR, guarded=True),
    Closing("element_current_right", "The element's current is right at the supply voltage that was measured.",
            "element_current", _HEATS),
    Closing("drum_stops_with_door", "The drum turns, and stops when the door is opened.", "door_stops_drum"),
    Closing("gets_warm", "The air in the drum is warm after some minutes.", "warm_air"),
    Closing("burner_lights_again", "The burner lights at three calls for heat, one after the other.",
            "burner_sequence"),
    Closing("cold_at_rest", "It does not heat while the drum stands, nor at off.", "heat_at_rest", guarded=True),
    Closing("no_heat_at_air", "It does not heat on a setting without heat.", "heat_at_air"),
    Closing("gas_pressure_right", "The pressure at the burner is right for the fuel.", "manifold_pressure"),
    Closing("input_right", "By the gas meter the burner takes what its rating plate says.", "meter_clocking"),
    Closing("burner_flame_blue", "The flame is blue and steady, without yellow tips.", "burner_flame"),
    Closing("outlet_temperature_right", "Over cycles of the heat the air that leaves gets as warm as it should, and "
            "no warmer.", "outlet_temperature"),
    Closing("room_air_clean", "Carbon monoxide in the room stays under its limit while the burner burns.",
            "carbon_monoxide_in_room", guarded=True),
    Closing("outlet_sensor_reads_right", "At the board's plug the outlet sensor reads what its temperature asks for.",
            "outlet_sensor_resistance_at_board"),
    Closing("no_error_shown", "The display shows no error while it heats.", "display_error"),
    Closing("bars_sense_wet", "The moisture bars lead with a wet cloth across them.", "moisture_bars_wet"),
    Closing("bars_dry_apart", "The moisture bars do not lead when dry.", "moisture_bars_dry"),
    Closing("control_unlocked", "The control is unlocked, and the customer knows how it was locked.", "control_lock"),
    Closing("timer_advances", "The timer advances.", "timer_advance"),
    Closing("runs_quietly", "Empty and with a towel in it, it makes no noise that it should not.", "running_noise"),
    Closing("everything_works", "Start, door, every setting, heat and the end of a cycle work.",
            "trial_of_everything"),
    Closing("covers_on", "Covers and lint screen are back, and the vent is connected with smooth metal duct to the "
            "outdoors.", "covers_and_vent"),
)  # fmt: skip
