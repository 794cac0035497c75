"""What must be shown, with power back on, before a job is left."""

from __future__ import annotations

from probewright.packs import Closing
from probewright_packs.common.two_legs_repairs import leg_closings
from probewright_packs.electric_range.heaters import current_limit
from probewright_packs.electric_range.tests_oven import REACHED
from probewright_packs.electric_range.wiring import ELEMENTS

#: That wiring was left as it must be.
WIRED = ("wiring_sound", "ground_continuous")
#: That an oven misses its temperature no more.
SETTLED = ("oven_temperature_settled",)
#: That the surface unit heats, and follows its knob.
UNIT = ("unit_glows", "unit_regulates")
#: That the control lets bake and broil heat.
OVEN_HEATS = ("bake_glows", "oven_floor_hot", "broil_glows")


def element(name: str) -> tuple[str, ...]:
    """That an element heats as it should, leads nowhere else, and rests at off."""
    insulated = ("bake_insulated", "hidden_bake_insulated") if name == "bake" else (f"{name}_insulated",)
    glows = ("bake_glows", "oven_floor_hot") if name == "bake" else (f"{name}_glows",)
    return (*insulated, *glows, "cold_at_off")


CLOSINGS = (
    *leg_closings(),
    *(Closing(f"{prefix.removesuffix('_element')}_insulated",
              f"The {prefix.replace('_', ' ')} does not lead to the chassis.", f"{prefix}_to_chassis", guarded=True)
      for prefix, *_ in REACHED),
    Closing("coil_insulated", "The coil does not lead to the chassis.", "coil_to_chassis", guarded=True),
    Closing("radiant_element_insulated", "The radiant element does not lead to the chassis.",
            "radiant_element_to_chassis", guarded=True),
    Closing("sensor_reads_right", "At the board's plug the sensor reads what its temperature asks for.",
            "oven_sensor_resistance_at_board"),
    Closing("sensor_insulated", "Neither wire of the sensor leads to the chassis.", "oven_sensor_to_chassis"),
    Closing("wiring_sound", "Wiring and terminals are sound and dry, and keep clear of edges and of what gets hot.",
            "wiring_condition"),
    Closing("ground_continuous", "With the range unplugged, next to no resistance is read from the cord's ground to "
            "bare metal of the chassis.", "chassis_ground_resistance", guarded=True),
    *(Closing(f"{name}_current_right", f"The current of the {name} element suits its plate at the supply voltage "
              "that was measured.", f"{name}_element_current", (current_limit(name),)) for name in ELEMENTS),
    *(Closing(f"{name}_glows", f"The {name} element glows evenly.", f"{name}_glow") for name in ELEMENTS),
    Closing("oven_floor_hot", "The floor of the oven gets hot on bake.", "oven_floor_warmth"),
    Closing("cold_at_off", "Both elements of the oven stay cold with everything off.", "cold_at_off", guarded=True),
    Closing("unit_glows", "The surface unit heats evenly at high.", "surface_unit_glow"),
    Closing("unit_regulates", "The surface unit goes off and on by turns at its lowest setting.", "unit_at_low"),
    Closing("hot_light_out", "The light for a hot surface goes out when the glass is cool, and comes on when it is "
            "hot.", "hot_light_contact"),
    Closing("glass_whole", "The glass of the cooktop is whole, and sealed all around.", "cooktop_glass"),
    Closing("oven_temperature_settled", "The oven, settled and averaged over cycles, is near its set point.",
            "oven_temperature"),
    Closing("door_locks", "The door locks and unlocks by itself.", "door_lock_cycle"),
    Closing("no_error_shown", "The display shows no error while bake is called for.", "display_error"),
    Closing("display_and_controls_work", "Display, keys and lock work.", "display_and_controls"),
    Closing("board_options_set", "The options of the board (temperature unit, offset, clock) are set by the maker's "
            "sheet.", "board_options"),
    Closing("control_unlocked", "The control is unlocked, and the customer knows how it was locked.", "control_lock"),
    Closing("everything_works", "Display, every surface unit, bake and broil work.", "trial_of_everything"),
    Closing("covers_on", "Every cover is back, and the range stands in its place, hooked into its anti-tip bracket.",
            "covers_and_anti_tip"),
)  # fmt: skip
