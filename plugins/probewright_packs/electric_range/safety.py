"""Hazards that come before everything else, and what every answer says."""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import Interlock
from probewright_packs.common.cautions import LICENCES
from probewright_packs.common.supply import HIGHEST_AT_OUTLET
from probewright_packs.common.supply_repairs import OPEN_NEUTRAL, UNPLUG_ALL, wiring_interlock
from probewright_packs.common.two_legs_repairs import leg_interlocks
from probewright_packs.electric_range.options_and_states import BROKEN_GLASS, TWO_LEGS_LIVE


def _wiring() -> Interlock:
    """Scorched or wet wiring, the terminal block among it: none of it carries power again before it is mended."""
    lock = wiring_interlock()
    seen = {**lock.seen, "terminal_block_condition": ("scorched",)}
    return replace(lock, seen=seen, cleared_by={}, steps=(
        "Switch both poles of the range's breaker off, and mark it so.",
        "Have the wiring dried or replaced, or the terminal block with its burnt ends, and whatever overheated or "
        "wetted it put right.",
        "Look at it again before power is restored."))  # fmt: skip


def _legs() -> tuple[Interlock, ...]:
    """A leg that is far too high shows against the chassis as well."""
    to_chassis = dict.fromkeys(("leg_one_to_chassis_under_load", "leg_two_to_chassis_under_load"), HIGHEST_AT_OUTLET)
    return tuple(replace(lock, above={**lock.above, **to_chassis}) if lock.above else lock for lock in leg_interlocks())


INTERLOCKS = (
    Interlock(
        "sparks_or_smoke", "It sparked or smoked", "stop",
        why="What sparks or smokes inside a range can set the kitchen on fire, and may have made it live.",
        complaints=("sparks_or_smoke",),
        cleared_by={"wiring_condition": ("sound",), "terminal_block_condition": ("sound",),
                    "oven_insulation_at_plug": ("within", "outside")},
        steps=("Switch both poles of the range's breaker off; the controls do not make it dead.",
               "When something burns: everybody out, close the door, and call the fire service.",
               "Cold and proven dead, look at elements, terminals, receptacles and wiring for what has burnt.",
               "Read the insulation of the oven's elements at the plug.",
               "Mend nothing under power, and look at the wiring again before power is restored."),
        cautions=("Do not switch it on to see where it sparks.", TWO_LEGS_LIVE),
    ),
    Interlock(
        "shock", "Shock felt at the range", "stop",
        why="Something live leads to the chassis, or its ground or neutral is gone.",
        complaints=("felt_a_shock",),
        cleared_by=dict.fromkeys(
            ("oven_insulation_at_plug", "coil_to_chassis", "radiant_element_to_chassis", "chassis_ground_resistance"),
            ("within",)),
        steps=("Touch neither the range nor anything beside it that is grounded; switch both poles of its breaker "
               "off.",
               "With it unplugged, measure from the pins of its plug to the chassis, each leg and the ground, and from "
               "each surface unit to the chassis: at off nothing leads to those.",
               "A neutral that is linked to the chassis and open in the wall makes the range live: read from the "
               "chassis to a known ground before it is touched under power.",
               "Have the receptacle's ground and neutral tested by a licensed electrician when all are right."),
        cautions=("Do not touch the range to try it.", LICENCES),
    ),
    Interlock(
        "cracked_glass", "Crack through the cooktop's glass", "refer",
        why="What boils over runs through cracked glass onto live parts, and hot glass that is cracked breaks.",
        complaints=("glass_cracked",), seen={"cooktop_glass": ("cracked",)}, cleared_by={"cooktop_glass": ("whole",)},
        steps=("Switch both poles of the range's breaker off, mark it so, and tell the customer that the oven is out "
               "of use with it.",
               "Have the glass replaced with the breaker off; then look at it again before power is restored."),
        cautions=(BROKEN_GLASS, TWO_LEGS_LIVE),
    ),
    Interlock(
        "neutral_in_doubt", "Lights that flicker, or are too bright", "refer",
        why="So a neutral shows that is coming loose: what runs on 120 V can get up to 240 V, and burn.",
        complaints=("lights_flicker",), seen={"reported_power_elsewhere": ("too_bright_or_dim",)},
        cleared_by=dict.fromkeys(("leg_one_to_neutral", "leg_two_to_neutral", "legs_neutral_to_ground"), ("within",)),
        steps=("Switch both poles of the range's breaker off, and mark it so.", *UNPLUG_ALL,
               "Where both legs read alike to neutral at the range, and neutral reads next to nothing to ground, give "
               "the readings: the work goes on."),
        cautions=("Do not power the range to try it.", OPEN_NEUTRAL),
    ),
    *_legs(),
    _wiring(),
)  # fmt: skip

CAUTIONS = (
    "Prove both legs dead before parts are touched; clip probes before power is restored.",
    TWO_LEGS_LIVE,
    "Never bridge a limit, a limiter or a latch switch to try the range.",
    "Aluminium or undersized wiring of the branch, and a burnt receptacle in the wall, are an electrician's work.",
    "The range must be hooked into its anti-tip bracket before it is used again.",
    LICENCES,
)

NOTICE = (
    "This answer weighs evidence. The maker's technical sheet, local codes and the judgement of a qualified person "
    "come first wherever they differ. Work on house wiring is for licensed people wherever the law says so."
)
