"""What must be shown, with gas and power back on, before a job is left."""

from __future__ import annotations

from probewright.packs import Closing, Limit
from probewright_packs.common.gas import tight_closings
from probewright_packs.common.supply import AT_OUTLET
from probewright_packs.common.supply_repairs import supply_closings
from probewright_packs.gas_range.burner_wiring import BURNERS, PULL_IN, STYLES

#: How an oven burner burns: for every repair at a burner, its igniter, its gas or its air.
BURNS = ("flames_blue", "carbon_monoxide_low")
#: How a surface burner burns.
SURFACE_BURNS = ("surface_burners_light", "surface_flames_clean", "room_air_clean")
#: That the pilots burn, on ranges that have them.
PILOTS = ("pilots_steady", "oven_pilot_steady")
#: That wiring was left as it must be.
WIRED = ("wiring_sound", "ground_continuous")


def lights(*burners: str) -> tuple[str, ...]:
    """That oven burners light: all of them unless some are named."""
    return tuple(f"{burner}_lights_from_cold" for burner in burners or BURNERS)


#: A new igniter need not be in the band of sound ones to the last: what counts is that any valve opens.
_ENOUGH_CURRENT = tuple(Limit(PULL_IN[style].second, when={"igniter_style": style}) for style in STYLES)
#: What an outlet may show is enough for the load behind it.
_FED = (Limit(AT_OUTLET.low),)


def _burner(burner: str) -> tuple[Closing, ...]:
    return (
        Closing(f"{burner}_lights_from_cold", f"From cold, the {burner} burner lights in time, three times.",
                f"{burner}_burner_lighting"),
        Closing(f"{burner}_current_in_band", f"The current of the {burner} igniter is enough to open the valve.",
                f"{burner}_igniter_current", _ENOUGH_CURRENT),
        Closing(f"{burner}_load_fed", f"With the gas shut and {burner} called for, line voltage stands across the load "
                f"of the {burner} burner.", f"{burner}_circuit_voltage", _FED),
        Closing(f"{burner}_spark_strong", f"With the gas shut, the spark at the {burner} burner is strong.",
                f"{burner}_spark"),
    )  # fmt: skip


_TIGHT = (
    *tight_closings("with every burner off and after each has been lit"),
    Closing("air_purged", "After an empty pipe: its air has gone out at one surface burner, in an aired room, before "
            "anything else was lit.", "purge_of_air"),
    Closing("manifold_pressure_right", "The manifold pressure is right for the fuel, with one burner lit and with all.",
            "manifold_pressure"),
    Closing("pilots_steady", "Each pilot of the cooktop burns steady and blue, and stays lit when doors close.",
            "cooktop_pilot_flame"),
    Closing("oven_pilot_steady", "The pilot of the oven burns steady and blue, and stays lit when the door closes.",
            "oven_pilot_flame"),
)  # fmt: skip

_BURNS = (
    Closing("carbon_monoxide_low", "With the oven put together and warm, carbon monoxide in its flue gas, air-free, is "
            "under the shop's action limit.", "carbon_monoxide_air_free"),
    Closing("flames_blue", "The flames of the oven are blue and steady along the whole burner, without yellow tips, "
            "and do not lift.", "oven_flames"),
    Closing("room_air_clean", "Carbon monoxide in the room stays under its limit while the surface burners burn.",
            "carbon_monoxide_in_room"),
    Closing("surface_flames_clean", "The surface burners burn blue and steady without soot.", "surface_flames"),
)  # fmt: skip

_COOKTOP = (
    Closing("surface_burners_light", "Every surface burner lights from its knob, within seconds.",
            "surface_burners_lighting"),
    Closing("all_electrodes_spark", "With the gas shut, every electrode sparks from every knob.",
            "spark_at_electrodes"),
    Closing("spark_stops", "The spark stops when a burner is lit, and with every knob off.", "spark_stopping"),
    Closing("spark_module_fed", "With the gas shut and a knob at light, line voltage reaches the spark module.",
            "spark_module_supply_voltage"),
)  # fmt: skip

_OVEN = (
    Closing("oven_temperature_settled", "The oven, settled and averaged over cycles, is near its set point.",
            "oven_temperature"),
    Closing("sensor_reads_right", "At the board's plug the sensor reads what its temperature asks for.",
            "oven_sensor_resistance_at_board"),
    Closing("sensor_insulated", "Neither wire of the sensor leads to the chassis.", "oven_sensor_to_chassis"),
    Closing("no_error_shown", "The display shows no error while bake is called for.", "display_error"),
    Closing("display_and_controls_work", "Display, keys and lock work.", "display_and_controls"),
    Closing("board_options_set", "The new board's options (fuel, temperature unit, offset, clock) are set by the "
            "maker's sheet.", "board_options"),
    Closing("control_unlocked", "The control is unlocked, and the customer knows how it was locked.", "control_lock"),
    Closing("wiring_sound", "Wiring and terminals are sound and dry, and keep clear of edges and of what gets hot.",
            "wiring_condition"),
)  # fmt: skip

#: In the order in which they are best shown: a burner lights from cold before its flue gas is measured hot.
CLOSINGS = (
    *supply_closings(),
    *_TIGHT,
    *(closing for burner in BURNERS for closing in _burner(burner)),
    *_COOKTOP,
    *_OVEN,
    *_BURNS,
    Closing("everything_works", "Display, spark, every surface burner, bake and broil work, as far as the range has "
            "them.", "trial_of_everything"),
    Closing("covers_on", "Every cover and guard is back, and the range stands in its place, hooked into its anti-tip "
            "bracket.", "covers_and_anti_tip"),
)  # fmt: skip
