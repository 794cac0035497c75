"""Hazards that come before everything else, and what every answer says."""

from __future__ import annotations

from probewright.packs import Interlock
from probewright_packs.common.cautions import LICENCES
from probewright_packs.common.gas import CO_IN_ROOM_TO_LEAVE, CO_MEDICAL, gas_interlock
from probewright_packs.common.supply_repairs import overvoltage_interlock, wiring_interlock
from probewright_packs.gas_range.tests_gas import CO_ACTION_LIMIT

INTERLOCKS = (
    gas_interlock(),
    Interlock(
        "carbon_monoxide", "Carbon monoxide over the action limit", "stop",
        why="Burners give off more carbon monoxide than may be left in use.",
        above={"carbon_monoxide_air_free": CO_ACTION_LIMIT, "carbon_monoxide_in_room": CO_IN_ROOM_TO_LEAVE},
        steps=("Turn the burners off, open windows, and get everybody into fresh air.",
               CO_MEDICAL,
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
