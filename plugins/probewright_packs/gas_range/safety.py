"""Hazards that come before everything else, and what every answer says."""

from __future__ import annotations

from probewright.packs import Interlock
from probewright_packs.common.cautions import LICENCES, NO_FLAME
from probewright_packs.common.supply_repairs import overvoltage_interlock, wiring_interlock
from probewright_packs.gas_range.tests_closing import CO_IN_ROOM_TO_LEAVE
from probewright_packs.gas_range.tests_gas import CO_ACTION_LIMIT

INTERLOCKS = (
    Interlock(
        "gas_escape", "Gas may be escaping", "stop",
        why="It smells of gas, or a joint leaks: nothing else is done until the gas is shown to be tight.",
        complaints=("gas_smell",),
        seen={"gas_odour": ("present",), "leak_check_solution": ("bubbles",)},
        cleared_by={"leak_check_solution": ("no_bubbles",), "gas_odour": ("none",)},
        steps=("Touch no electric switch, plug or telephone indoors and light nothing; put out open flames.",
               "Shut the gas at the appliance valve or the meter if that is safe, open windows, and get everybody out.",
               "From outside, call the gas utility or the emergency number.",
               "Once they have said that the air is clear, a person allowed to work on gas checks every joint "
               "with leak solution and smells again."),
        cautions=(NO_FLAME, "Propane sinks and gathers in cellars and drains; natural gas rises.", LICENCES),
    ),
    Interlock(
        "carbon_monoxide", "Carbon monoxide over the action limit", "stop",
        why="Burners give off more carbon monoxide than may be left in use.",
        above={"carbon_monoxide_air_free": CO_ACTION_LIMIT, "carbon_monoxide_in_room": CO_IN_ROOM_TO_LEAVE},
        steps=("Turn the burners off, open windows, and get everybody into fresh air.",
               "Anybody with headache, dizziness or nausea needs medical help now: call the emergency number.",
               "Shut the gas, mark the range out of use, and tell the customer in writing.",
               "Clear covered passages; have air, orifices and pressure set by a person allowed to work on gas, "
               "then measure again from cold."),
        cautions=("Do not leave the range in use because the reading falls when it is warm.", LICENCES),
    ),
    overvoltage_interlock(),
    wiring_interlock(),
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
