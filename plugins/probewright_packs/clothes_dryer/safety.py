"""Hazards that come before everything else, and what every answer says."""

from __future__ import annotations

from dataclasses import replace

from probewright.packs import Interlock
from probewright_packs.clothes_dryer.options_and_states import HEAT_WITHOUT_TURNING, LINT_BURNS, TWO_LEGS_LIVE
from probewright_packs.common.cautions import LICENCES
from probewright_packs.common.gas import CO_IN_ROOM_TO_LEAVE, CO_MEDICAL, CO_ROOM_LIMIT, gas_interlock
from probewright_packs.common.supply_repairs import overvoltage_interlock, wiring_interlock
from probewright_packs.common.two_legs_repairs import leg_interlocks


def _wiring() -> Interlock:
    """Scorched or wet wiring, the terminal block among it."""
    lock = wiring_interlock()
    return replace(lock, seen={**lock.seen, "terminal_block_condition": ("scorched",)}, cleared_by={})


INTERLOCKS = (
    gas_interlock(),
    Interlock(
        "carbon_monoxide", "Carbon monoxide in the room", "stop",
        why="The dryer's burnt gas gets into the room: its vent is blocked or off, or it burns badly.",
        complaints=("felt_ill_or_alarm",), above={"carbon_monoxide_in_room": CO_IN_ROOM_TO_LEAVE},
        cleared_by={"carbon_monoxide_in_room": ("within",)},
        steps=("Switch the dryer off, open windows, and get everybody into fresh air.", CO_MEDICAL,
               "Shut the gas, mark the dryer out of use, and tell the customer in writing.",
               "Clear and connect the vent; have burner, orifice and pressure set by a person allowed to work on gas, "
               "then measure the room again from the start of a cycle."),
        cautions=("Do not leave the dryer in use because a window is open.", LICENCES),
    ),
    Interlock(
        "burns_badly", "Carbon monoxide over its limit, or a yellow flame", "refer",
        why="The burner gives off carbon monoxide, or is about to, and the vent may not take it outdoors.",
        above={"carbon_monoxide_in_room": CO_ROOM_LIMIT}, seen={"burner_flame": ("yellow_or_sooty",)},
        steps=("Switch the dryer off, air the room, shut the gas, and mark the dryer out of use.",
               "Clear and connect the vent; have burner, orifice and pressure set by a person allowed to work on gas.",
               "It burns again only for that person's reading of the room and look at the flame."),
        cautions=("Do not leave the dryer in use because a window is open.", CO_MEDICAL, LICENCES),
    ),
    Interlock(
        "door_does_not_stop_it", "The drum goes on turning with the door open", "refer",
        why="A hand that reaches in is caught: the door switch is bridged, or does not open.",
        seen={"door_stops_drum": ("goes_on",)},
        steps=("Pull the plug or switch the breaker off, and mark the dryer out of use.",
               "Take off any bridge and replace the door switch; then see the drum stop as the door opens."),
        cautions=("A bridged switch is taken off, never left for the next one.",),
    ),
    Interlock(
        "smoulders", "Something inside smoulders or has burnt", "stop",
        why="Lint and clothes burn fast: what smells burnt may be on fire behind the panels.",
        complaints=("burnt_smell",), seen={"lint_inside": ("scorched",)},
        cleared_by={"lint_inside": ("little",), "wiring_condition": ("sound",)},
        steps=("Switch it off at the plug or the breaker, keep the door closed, and do not move the clothes.",
               "When it smokes or is hot to the touch: everybody out, and call the fire service.",
               "Cold and unplugged, look at lint, wiring, element and motor for what has burnt, and clear the lint.",
               "Find what made it hot: the vent first, then thermostats and element.",
               "Look at lint and wiring again before power is restored."),
        cautions=(LINT_BURNS, "Do not run it to find where the smell comes from."),
    ),
    Interlock(
        "heat_without_rotation", "It heats while the drum stands", "stop",
        why="Clothes and lint over a heater that nothing moves catch fire.",
        complaints=("heats_while_drum_stands",),
        seen={"heat_at_rest": ("warm",), "motor_response": ("drum_stands",),
              "belt_and_its_switch": ("switch_bridged",)},
        # Once all that can bring it about has been read with the dryer dead, whatever it read.
        cleared_by={"belt_and_its_switch": ("in_place",), "heater_contact_at_rest": ("open", "closed"),
                    "element_to_case": ("within", "outside")},
        steps=("Switch the breaker off, or pull the plug: the control at off does not make it dead.",
               "Leave it off, and take clothes and lint out once it is cold.",
               "With it dead, look at belt and belt switch. Take off any bridge, and fit belt and switch; then read "
               "element to case, and the motor's heater contact at rest.",
               "Power is restored only when belt and switch have been seen to be right, and what was found is mended."),
        cautions=(HEAT_WITHOUT_TURNING, TWO_LEGS_LIVE, "A bridged switch is taken off, never left for the next one."),
    ),
    Interlock(
        "shock", "Somebody felt a shock", "stop",
        why="Something live leads to the cabinet, or its ground is gone.",
        complaints=("felt_a_shock",),
        cleared_by={"insulation_to_chassis": ("within",), "chassis_ground_resistance": ("within",)},
        steps=("Touch neither dryer nor anything beside it that is grounded; switch the breaker off.",
               "With it unplugged, measure the insulation to the chassis, and the ground from pin to chassis.",
               "Have the outlet's ground and neutral tested by a licensed electrician when both are right."),
        cautions=("Do not touch the cabinet to try it.", LICENCES),
    ),
    overvoltage_interlock(),
    *leg_interlocks(),
    _wiring(),
)  # fmt: skip

CAUTIONS = (
    "Prove the dryer dead before parts are touched; clip probes before power is restored.",
    TWO_LEGS_LIVE,
    "Never run it without its lint screen, its vent or its guards, and never bridge a door switch, a belt switch, a "
    "thermostat, a fuse or a cut-off.",
    "If you smell gas: touch no switch, light nothing, leave, and call the gas utility from outside.",
    "Of a gas dryer: carry a carbon monoxide meter from the door on, and let nobody stay where it warns.",
    LICENCES,
)

NOTICE = (
    "This answer weighs evidence. The maker's technical sheet, local codes and the judgement of a qualified person "
    "come first wherever they differ. Work on gas and on house wiring is for licensed people wherever the law says so."
)
