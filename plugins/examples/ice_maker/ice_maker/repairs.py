"""What can be done, and what shows that it helped."""

from __future__ import annotations

from ice_maker.made_up import chances
from ice_maker.places import ISOLATED, LIVE
from probewright.packs import Closing, Repair, invented

#: In the order in which they are best shown.
CLOSINGS = (
    Closing("wiring_dry", "Wiring and plugs are dry and sound.", "wiring_condition", guarded=True),
    Closing("mould_insulated", "The mould heater passes its insulation test.", "mould_insulation", guarded=True),
    Closing("mould_warms", "The mould warms up during a harvest.", "mould_warmth"),
    Closing("ejector_turns", "The ejector goes round during a harvest.", "ejector_motion"),
    Closing("water_fills", "A fill gives the usual cup of water.", "fill_stream"),
    Closing("nothing_drips", "Nothing drips when no fill is on.", "fill_tube_drip"),
    Closing("arm_free", "The shut-off arm is down and moves freely.", "arm_position"),
)

_HARVESTS = ("mould_warms", "ejector_turns")
_FILLS = ("water_fills", "nothing_drips")
_FASTEN = "Lead every wire as it ran, clear of the ejector, of edges and of what becomes wet."

_ELECTRICAL = (
    Repair("restore_supply", "Restore the supply of the outlet", chances(no_supply=0.85), invented(6.0), ISOLATED,
           ("behind",), closing_checks=(*_HARVESTS, *_FILLS),
           steps=("Look for a tripped breaker or ground-fault device, and find out why it opened; close it once.",
                  "When it opens again or nothing is found, hand over to a licensed electrician."),
           cautions=("House wiring is licensed work under most codes: do not open the outlet.",)),
    Repair("replace_harness", "Replace the harness of the ice maker", chances(harness_open=0.97), invented(15.0),
           ISOLATED, ("module",), "harness", steps=(_FASTEN,), closing_checks=("wiring_dry", *_HARVESTS, *_FILLS)),
    Repair("replace_control", "Replace the control", chances(harvest_relay_open=0.97, fill_relay_open=0.97),
           invented(20.0), ISOLATED, ("module",), "control", steps=("Move the plugs one by one.", _FASTEN),
           closing_checks=("wiring_dry", *_HARVESTS, *_FILLS)),
    Repair("replace_cutout", "Replace the thermal cut-out", chances(cutout_open=0.95), invented(12.0), ISOLATED,
           ("module",), "cutout", steps=("Fit one of the same rating, flat against the mould.", _FASTEN),
           cautions=("Never bridge a cut-out, and find out what made it too hot.",),
           closing_checks=("wiring_dry", "mould_insulated", *_HARVESTS)),
    Repair("replace_mould", "Replace the mould with its heater", chances(heater_open=0.98, heater_leaks=0.98),
           invented(25.0), ISOLATED, ("module",), "heater", steps=(_FASTEN, "Refit the ground wire first."),
           closing_checks=("wiring_dry", "mould_insulated", *_HARVESTS)),
    Repair("replace_drive", "Replace the motor with its gear", chances(motor_open=0.97, gear_stripped=0.97),
           invented(15.0), ISOLATED, ("module",), "drive", steps=("Turn the ejector to where the old one stood.",),
           cautions=("A spring may push the ejector round: keep fingers out of the mould.",),
           closing_checks=("wiring_dry", *_HARVESTS)),
)  # fmt: skip

_WATER = (
    Repair("replace_valve", "Replace the water valve",
           chances(valve_open=0.98, valve_leaks=0.96, strainer_blocked=0.97), invented(20.0), ISOLATED, ("behind",),
           "valve", steps=("Shut the water and catch what runs out.", "Dry everything before the plug goes in."),
           closing_checks=("wiring_dry", *_FILLS)),
    Repair("clean_strainer", "Clean the strainer of the water valve", chances(strainer_blocked=0.85), invented(12.0),
           ISOLATED, ("behind",), steps=("Shut the water, undo the line, and rinse the strainer without piercing it.",
                                         "Dry everything before the plug goes in."), closing_checks=_FILLS),
    Repair("open_water", "Open the water", chances(water_shut_off=0.95), invented(4.0), ISOLATED, ("behind",),
           steps=("Follow the line to its valve, ask why it was shut, and open it slowly.",), closing_checks=_FILLS),
    Repair("thaw_fill_tube", "Thaw the fill tube", chances(fill_tube_frozen=0.9), invented(15.0), ISOLATED,
           ("compartment",), steps=("Thaw it with warm water and a syringe, and soak up what runs out.",),
           cautions=("No flame and no heat gun: plastic melts, and water runs towards live parts.",),
           closing_checks=_FILLS),
    Repair("lower_arm", "Lower the shut-off arm", chances(arm_up=0.97), invented(1.0), LIVE, ("compartment",),
           steps=("Level the ice in the bin, lower the arm, and show the customer how.",),
           closing_checks=("arm_free", "ejector_turns")),
)  # fmt: skip

REPAIRS = (*_ELECTRICAL, *_WATER)
