"""Cautions and steps that several families use, in one wording."""

from __future__ import annotations

LICENCES = "Local codes come first: in many places gas pipes, conversions and house wiring belong to licensed people."

PROVE_DEAD = (
    "Unplug the cord, or switch the breaker off and secure it against being switched on.",
    "Try the meter on a known live point, prove the appliance dead, then try the meter on the live point again.",
)

CLIP_FIRST = (
    "For a reading inside the appliance, clip the probes or the clamp in place first, with the power off, "
    "and keep the leads clear of moving and hot parts.",
    "Switch on with hands clear; touch neither probes nor wiring while it is on, and switch off before moving them.",
)

LIVE_PARTS = (
    "Mains is on bare terminals during this test: meter and leads made for mains, eyes protected, one hand, dry floor, "
    "insulated probes, nobody near."
)
HOT_PARTS = "Parts stay hot enough to burn for a long time after they are switched off."
SHARP_EDGES = "Sheet-metal edges are sharp: wear gloves when panels come off."
NO_FLAME = "Never look for a gas leak with a flame; shut the gas at once when there is one."
ODOUR_FIRST = "Light nothing while it smells of gas: no flame, no switch, no spark."
HIGH_VOLTAGE = "A spark is high voltage: keep hands and tools away from electrodes and their leads."
LEFT_CHARGE = "A spark module can hold a charge for a while: let it stand unplugged, and do not touch its outputs."
