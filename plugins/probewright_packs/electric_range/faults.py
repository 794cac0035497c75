"""What can be wrong.  Every rate is from memory: no open table gives failure rates of range parts.

The tables give shares of the calls that are made for each fault.  A rate is the chance that an appliance has the fault
before anybody says what is wrong with it: :data:`BESIDE_THE_CALL` of that share, so that a fault that nobody
complained of seldom stands beside the one that was.
"""

from __future__ import annotations

from probewright.packs import Fault, When, from_memory
from probewright_packs.common.supply import BESIDE_THE_CALL
from probewright_packs.common.two_legs_tests import leg_faults
from probewright_packs.electric_range.options_and_states import COIL, RADIANT
from probewright_packs.electric_range.wiring import ELEMENTS

#: How often an element's faults are met, against those of bake: broil is used far less.
_USE = {"bake": 1.0, "broil": 0.4}


def _fault(id_: str, title: str, share: float, part: str | None = None, when: When | None = None) -> Fault:
    return Fault(id_, title, from_memory(BESIDE_THE_CALL * share), part, when=when or {})


def _element(name: str) -> tuple[Fault, ...]:
    def fault(what: str, title: str, share: float, part: str) -> Fault:
        return _fault(f"{name}_{what}", f"{name.capitalize()} {title}", share * _USE[name], part)

    return (
        fault("element_open", "element open", 0.14, f"{name}_element"),
        fault("element_touches_case", "element's coil touches its sheath", 0.02, f"{name}_element"),
        fault("connection_burnt", "element's connection burnt", 0.025, f"{name}_harness"),
        fault("harness_open", "element's wire open", 0.012, f"{name}_harness"),
        fault("relay_open", "relay of the board does not close", 0.035, "control_board"),
        fault("relay_welded", "relay of the board welded", 0.012, "control_board"),
    )


_OVEN = (
    _fault("oven_limit_open", "Thermal limit of the oven open", 0.02, "oven_limit"),
    _fault("oven_sensor_open", "Oven sensor open", 0.03, "oven_sensor"),
    _fault("oven_sensor_shorted", "Oven sensor shorted", 0.006, "oven_sensor"),
    _fault("oven_sensor_drifted", "Oven sensor drifted", 0.025, "oven_sensor"),
    _fault("oven_sensor_harness_open", "Harness of the oven sensor open", 0.01, "sensor_harness"),
    _fault("oven_sensor_leaks_to_chassis", "Oven sensor or its harness leads to the chassis", 0.006, "oven_sensor"),
    _fault("board_sensor_input_failed", "Sensor input of the control board failed", 0.006, "control_board"),
    _fault("board_offset_wrong", "Temperature offset of the control wrong", 0.02),
    _fault("oven_door_leaks", "Oven door leaks heat", 0.025, "door_gasket"),
    _fault("oven_vent_covered", "Oven vent or floor covered with foil", 0.012),
)  # fmt: skip

_CONTROL = (
    _fault("board_dead", "Control board dead", 0.04, "control_board"),
    _fault("board_wire_open", "Wire that feeds the control board open", 0.01, "board_wiring"),
    _fault("control_locked", "Control locked or in a demonstration mode", 0.02),
    _fault("latch_switch_wrong", "Switch of the door latch tells a wrong position", 0.025, "door_latch"),
    _fault("latch_motor_open", "Motor of the door latch open", 0.01, "door_latch"),
    _fault("latch_jammed", "Door latch jammed", 0.015, "door_latch"),
    _fault("latch_relay_open", "Latch relay of the board does not close", 0.006, "control_board"),
)  # fmt: skip

_SURFACE = (
    _fault("surface_element_open", "Surface element open", 0.09, "surface_element"),
    _fault("surface_element_weak", "One of two rings of the surface element open", 0.02, "surface_element", RADIANT),
    _fault("surface_element_touches_case", "Surface element's coil touches its sheath", 0.008, "surface_element", COIL),
    _fault("surface_receptacle_burnt", "Receptacle of the surface unit burnt", 0.06, "surface_receptacle", COIL),
    _fault("surface_limiter_open", "Limiter of the radiant unit open", 0.03, "surface_element", RADIANT),
    _fault("hot_light_contact_stuck", "Hot-light contact of a limiter stuck", 0.025, "surface_element", RADIANT),
    _fault("surface_switch_open", "Infinite switch does not close", 0.05, "surface_switch"),
    _fault("surface_switch_welded", "Infinite switch stays on high", 0.035, "surface_switch"),
    _fault("surface_harness_open", "Wire of the surface unit open", 0.012, "surface_harness"),
    _fault("cooktop_glass_cracked", "Crack through the cooktop's glass", 0.025, "cooktop_glass", RADIANT),
)  # fmt: skip

FAULTS = (
    *leg_faults(),
    *(fault for name in ELEMENTS for fault in _element(name)),
    *_OVEN,
    *_CONTROL,
    *_SURFACE,
)
