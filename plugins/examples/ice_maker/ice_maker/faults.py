"""What can be wrong, and the parts that are replaced for it."""

from __future__ import annotations

from probewright.packs import Fault, ReplaceablePart, invented

FAULTS = (
    Fault("no_supply", "No supply at the outlet", invented(0.01)),
    Fault("harness_open", "Harness of the ice maker open", invented(0.01), "harness"),
    Fault("harvest_relay_open", "Control does not switch the harvest on", invented(0.01), "control"),
    Fault("fill_relay_open", "Control does not switch the water valve on", invented(0.008), "control"),
    Fault("cutout_open", "Thermal cut-out of the mould heater open", invented(0.008), "cutout"),
    Fault("heater_open", "Mould heater open", invented(0.015), "heater"),
    Fault("heater_leaks", "Mould heater leaks to the mould", invented(0.004), "heater"),
    Fault("motor_open", "Winding of the motor open", invented(0.006), "drive"),
    Fault("gear_stripped", "Gear of the ejector stripped", invented(0.012), "drive"),
    Fault("valve_open", "Coil of the water valve open", invented(0.01), "valve"),
    Fault("valve_leaks", "Water valve does not shut", invented(0.008), "valve"),
    Fault("strainer_blocked", "Strainer of the water valve blocked", invented(0.015)),
    Fault("water_shut_off", "Water shut off", invented(0.02)),
    Fault("fill_tube_frozen", "Fill tube frozen", invented(0.02)),
    Fault("arm_up", "Shut-off arm raised", invented(0.02)),
)

PARTS = (
    ReplaceablePart("harness", "Harness of the ice maker", invented(18.0)),
    ReplaceablePart("control", "Control of the ice maker", invented(60.0)),
    ReplaceablePart("cutout", "Thermal cut-out", invented(9.0)),
    ReplaceablePart("heater", "Mould with its heater", invented(48.0)),
    ReplaceablePart("drive", "Motor with its gear", invented(32.0)),
    ReplaceablePart("valve", "Water valve", invented(35.0)),
)
