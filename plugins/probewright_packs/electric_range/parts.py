"""Parts that can be carried.  Prices are from memory, in US dollars to a shop: a case's own costs replace them."""

from __future__ import annotations

from probewright.packs import ReplaceablePart, from_memory
from probewright_packs.common.two_legs_tests import leg_parts


def _part(id_: str, title: str, price: float) -> ReplaceablePart:
    return ReplaceablePart(id_, title, from_memory(price))


PARTS = (
    *leg_parts(),
    _part("bake_element", "Bake element", 45.0),
    _part("broil_element", "Broil element", 50.0),
    _part("bake_harness", "Wire and terminals of the bake element", 15.0),
    _part("broil_harness", "Wire and terminals of the broil element", 15.0),
    _part("oven_limit", "Thermal limit of the oven", 35.0),
    _part("oven_sensor", "Oven temperature sensor", 35.0),
    _part("sensor_harness", "Harness of the oven sensor", 20.0),
    _part("control_board", "Control board", 230.0),
    _part("board_wiring", "Wire and terminals for the control board", 10.0),
    _part("door_latch", "Door latch with its motor and switches", 90.0),
    _part("door_gasket", "Gasket of the oven door", 40.0),
    _part("surface_element", "Surface element", 60.0),
    _part("surface_receptacle", "Receptacle with its leads", 25.0),
    _part("surface_switch", "Infinite switch", 45.0),
    _part("surface_harness", "Wire and terminals of a surface unit", 15.0),
    _part("cooktop_glass", "Glass of the cooktop", 260.0),
)
