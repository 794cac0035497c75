"""Hazards that come before everything else, and what every answer says."""

from __future__ import annotations

from probewright.packs import Interlock

INTERLOCKS = (
    Interlock(
        "shock", "Metal of the ice maker may be live", "stop",
        why="Somebody felt a shock, or the heater's insulation fails: touching the mould can kill.",
        complaints=("felt_a_shock",), seen={"mould_insulation": ("fails",)},
        cleared_by={"mould_insulation": ("passes",)},
        steps=("Touch nothing of it. Switch the breaker off, and pull the plug.",
               "Prove the refrigerator dead, test the heater's insulation, and have the outlet's ground checked.",
               "Power returns only when the insulation test is passed."),
        cautions=("House wiring belongs to a licensed electrician.",),
    ),
    Interlock(
        "wet_wiring", "Wet or scorched wiring", "stop",
        why="Water or heat has reached wiring that carries mains: power could shock somebody or start a fire.",
        seen={"wiring_condition": ("wet", "scorched")}, cleared_by={"wiring_condition": ("dry",)},
        steps=("Leave it unplugged and the water shut.",
               "Find where the water or the heat came from; dry or replace what it has reached, and look again."),
        cautions=("Do not power it to try it.",),
    ),
)  # fmt: skip

CAUTIONS = (
    "Water and mains share this space: unplug before you reach in, and dry before you plug in.",
    "The ejector can crush a finger: it moves by itself whenever there is power.",
)

NOTICE = (
    "An invented appliance with invented numbers, for demonstration only. Follow local codes, and leave house wiring "
    "and plumbing to those licensed for it."
)
