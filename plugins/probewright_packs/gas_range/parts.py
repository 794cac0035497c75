"""Parts that can be carried.  Prices are from memory, in US dollars to a shop: a case's own costs replace them."""

from __future__ import annotations

from probewright.packs import ReplaceablePart, from_memory
from probewright_packs.common.supply import supply_parts
from probewright_packs.gas_range.burner_wiring import BURNERS


def _part(id_: str, title: str, price: float) -> ReplaceablePart:
    return ReplaceablePart(id_, title, from_memory(price))


def _burner(burner: str) -> tuple[ReplaceablePart, ...]:
    name = burner.capitalize()
    return (
        _part(f"{burner}_igniter", f"{name} igniter", 50.0),
        _part(f"{burner}_valve", f"{name} gas valve", 140.0),
        _part(f"{burner}_harness", f"{name} harness (high-temperature wire and terminals)", 15.0),
        _part(f"{burner}_spark_electrode", f"{name} spark electrode", 35.0),
    )


PARTS = (
    *supply_parts(),
    *(part for burner in BURNERS for part in _burner(burner)),
    _part("oven_spark_module", "Spark module of the oven", 90.0),
    _part("oven_pilot_safety", "Pilot safety device of the oven", 110.0),
    _part("oven_sensor", "Oven temperature sensor", 35.0),
    _part("sensor_harness", "Harness of the oven sensor", 20.0),
    _part("control_board", "Control board", 230.0),
    _part("board_wiring", "Wire and terminals for the control board", 10.0),
    _part("thermostat", "Oven thermostat", 130.0),
    _part("door_gasket", "Gasket of the oven door", 40.0),
    _part("spark_module", "Spark module of the cooktop", 85.0),
    _part("ignition_switch", "Ignition switch, or harness of switches", 45.0),
    _part("ignition_harness", "Ignition wiring", 25.0),
    _part("spark_electrode", "Spark electrode with its lead", 25.0),
    _part("regulator", "Gas pressure regulator", 60.0),
    _part("orifices", "Set of orifices for the fuel", 40.0),
    _part("gas_connector", "Gas connector or joint", 35.0),
)
