"""Hazards that come before everything else, what must be shown at the end, and what every answer says."""

from __future__ import annotations

from probewright.packs.model import Closing, Interlock
from probewright_packs.common.cautions import LICENCES, NO_FLAME
from probewright_packs.common.supply import wiring_interlock
from probewright_packs.gas_range.burner_wiring import BURNERS
from probewright_packs.gas_range.tests_gas import CO_ACTION_LIMIT

INTERLOCKS = (
    Interlock(
        "gas_escape", "Gas may be escaping", "stop",
        why="It smells of gas, or a joint leaks: nothing else is done until the gas is shown to be tight.",
        complaints=("gas_smell",),
        seen={"gas_odour": ("present",), "leak_check_solution": ("bubbles",)},
        cleared_by={"leak_check_solution": ("no_bubbles",), "gas_odour": ("none",)},
        steps=("Touch no electric switch and light nothing; put out open flames.",
               "Shut the gas at the appliance valve or the meter if that is safe, open windows, and get everybody out.",
               "From outside, call the gas utility or the emergency number.",
               "Once the air is clear, a person allowed to work on gas checks every joint "
               "with leak solution and smells again."),
        cautions=(NO_FLAME, LICENCES),
    ),
    Interlock(
        "carbon_monoxide", "Carbon monoxide over the action limit", "stop",
        why="The burner gives off more carbon monoxide than may be left in use.",
        above={"carbon_monoxide_air_free": CO_ACTION_LIMIT},
        steps=("Turn the burners off, open windows, and get everybody into fresh air.",
               "Anybody with headache, dizziness or nausea needs medical help now.",
               "Shut the gas, mark the range out of use, and tell the customer in writing.",
               "Clear covered passages; have air, orifices and pressure set by a person allowed to work on gas, "
               "then measure again from cold."),
        cautions=("Do not leave the range in use because the reading falls when it is warm.", LICENCES),
    ),
    wiring_interlock(),
)  # fmt: skip


def _burner_closings(burner: str) -> tuple[Closing, ...]:
    return (
        Closing(f"{burner}_lights_from_cold", f"From cold, the {burner} burner lights in time, three times."),
        Closing(f"{burner}_current_in_band", f"The current of the {burner} igniter, scaled to the supply, is right.",
                f"{burner}_igniter_current"),
    )  # fmt: skip


CLOSINGS = (
    *(closing for burner in BURNERS for closing in _burner_closings(burner)),
    Closing("joints_tight", "Every gas joint that was touched stays free of bubbles under leak solution.",
            "leak_check_solution"),
    Closing("no_gas_odour", "It does not smell of gas.", "gas_odour"),
    Closing("flames_blue", "All flames are blue and steady, without yellow tips, and do not lift."),
    Closing("carbon_monoxide_low", "Carbon monoxide, air-free, is under the shop's action limit.",
            "carbon_monoxide_air_free"),
    Closing("manifold_pressure_right", "The manifold pressure is right for the fuel, with one burner lit and with all.",
            "manifold_pressure"),
    Closing("pilots_steady", "Each pilot burns steady and blue, and stays lit when doors are closed."),
    Closing("surface_burners_light", "Every surface burner lights from its knob."),
    Closing("spark_stops", "The spark stops when a burner is lit, and with every knob off.", "ignition_switch_at_off"),
    Closing("oven_temperature_settled", "The oven, settled and averaged over cycles, is near its set point.",
            "oven_temperature"),
    Closing("sensor_reads_right", "At the board's plug the sensor reads what its temperature asks for.",
            "oven_sensor_resistance_at_board"),
    Closing("display_and_controls_work", "Display, keys, bake and broil work."),
    Closing("control_unlocked", "The control is unlocked, and the customer knows how it was locked.", "control_lock"),
    Closing("supply_voltage_in_range", "The outlet's voltage is in range with the range in use.", "outlet_voltage"),
    Closing("outlet_wired_correctly", "Hot to ground reads as hot to neutral, and neutral to ground next to nothing.",
            "outlet_hot_to_ground"),
    Closing("ground_continuous", "The chassis is connected to the outlet's ground."),
    Closing("wiring_sound", "Wiring and terminals are sound and dry.", "wiring_condition"),
)  # fmt: skip

CAUTIONS = (
    "If you smell gas: touch no switch, light nothing, leave, and call the gas utility from outside.",
    "Shut the gas and prove the range dead before parts are touched; clip probes before power is restored.",
    "Refit the anti-tip bracket, every guard and every ground wire before the range is used.",
    LICENCES,
)

NOTICE = (
    "This answer weighs evidence. The maker's technical sheet, local codes and the judgement of a qualified person "
    "come first wherever they differ. Work on gas and on house wiring is for licensed people wherever the law says so."
)
