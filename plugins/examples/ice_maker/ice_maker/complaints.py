"""What an ice maker must do, and what customers say when it does not.

Faults that act through the wiring are not listed: the circuit and the requirements say what they do.
"""

from __future__ import annotations

from ice_maker.made_up import between, chances
from ice_maker.places import LIVE
from probewright.packs import Complaint, Function, Requirement, invented

#: Amperes from which the heater loosens the ice, the motor turns, and the valve opens.
HEATS = Requirement("ice_maker", "heater", "current", "harvest", LIVE, between(1.0, 1.2))
TURNS = Requirement("ice_maker", "motor", "current", "harvest", LIVE, between(0.012, 0.018))
OPENS = Requirement("ice_maker", "valve", "current", "fill", LIVE, between(0.2, 0.25))

_HARVEST = chances(gear_stripped=0.97, arm_up=0.98)
_FILL = chances(water_shut_off=0.99, fill_tube_frozen=0.95, strainer_blocked=0.5)

FUNCTIONS = (
    Function("harvests", "Ice is pushed out of the mould", (HEATS, TURNS), _HARVEST, invented(0.002)),
    Function("fills", "Water runs into the mould", (OPENS,), _FILL, invented(0.002)),
    Function("makes_ice", "It makes ice", (HEATS, TURNS, OPENS), _HARVEST | _FILL, invented(0.004)),
)

COMPLAINTS = (
    Complaint("no_ice", "It makes no ice", invented(0.002), "makes_ice", invented(0.9)),
    Complaint("ice_stays", "Ice stays in the mould", invented(0.001), "harvests", invented(0.5)),
    Complaint("mould_dry", "The mould stays empty", invented(0.001), "fills", invented(0.5)),
    Complaint("small_cubes", "The cubes are small", invented(0.002),
              shown_by=chances(strainer_blocked=0.6, fill_tube_frozen=0.1)),
    Complaint("overflows", "Water or a sheet of ice in the bin", invented(0.001), shown_by=chances(valve_leaks=0.85),
              cautions=("Water may stand near mains: unplug the refrigerator before anything is touched.",)),
    Complaint("felt_a_shock", "Somebody felt a shock", invented(0.0005), shown_by=chances(heater_leaks=0.3)),
)  # fmt: skip
