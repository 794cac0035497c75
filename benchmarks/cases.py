"""Invented gas-range cases with eight readings each, no two alike, so that no answer can come from a cache.

Values are rounded as a meter's display and a technician round them; supply and temperature differ from case to case, as
they do from kitchen to kitchen.
"""

from __future__ import annotations

import random
from typing import Any

SEED = 20_251
N_CASES = 2000


def case(chance: random.Random, number: int) -> dict[str, Any]:
    """A sound or a weak igniter, a sensor near its curve, a supply that wanders."""
    weak = chance.random() < 0.5
    volts = round(chance.uniform(114.0, 126.0), 1)
    amperes = round(chance.uniform(2.4, 2.9) if weak else chance.uniform(3.2, 3.6), 2)
    return {
        "family": "gas_range",
        "reference": f"invented-{number}",
        "options": {"fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat",
                    "cooktop_ignition": "spark", "oven_control": "electronic"},
        "complaints": ["bake_does_not_light"],
        "working": ["surface_burners_light", "display_on"],
        "conditions": {"ambient": {"value": chance.randint(60, 85), "unit": "degF"}},
        "meters": {"dmm": {"kind": "multimeter", "percent_of_reading": 0.5, "counts": 2}},
        "readings": [
            {"test": "outlet_voltage", "value": volts, "unit": "V", "meter": "dmm", "state": "live_gas_off"},
            {"test": "bake_igniter_glow", "seen": "dim_orange" if weak else "white", "state": "live_gas_off"},
            {"test": "bake_igniter_current", "value": amperes, "unit": "A", "state": "live_gas_off"},
            {"test": "bake_circuit_voltage", "value": round(volts - chance.uniform(0.2, 1.0), 1), "unit": "V",
             "state": "live_gas_off"},
            {"test": "bake_igniter_resistance", "value": chance.randint(60, 250), "unit": "ohm", "meter": "dmm",
             "state": "isolated"},
            {"test": "bake_igniter_mounting", "seen": "firm", "state": "isolated"},
            {"test": "oven_sensor_resistance", "value": chance.randint(1060, 1110), "unit": "ohm", "meter": "dmm",
             "state": "isolated"},
            {"test": "burner_ports", "seen": "clear", "state": "isolated"},
        ],
    }  # fmt: skip


def cases(effort: str) -> list[dict[str, Any]]:
    """All of them, asking for that much of a next step."""
    chance = random.Random(SEED)
    return [{**case(chance, number), "effort": effort} for number in range(N_CASES)]
