"""The case, and the visit to plan, that the contract shows.  The job is invented."""

from __future__ import annotations

from typing import Any

EXAMPLE_CASE: dict[str, Any] = {
    "family": "gas_range",
    "reference": "job-1042",
    "options": {"fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat"},
    "complaints": ["bake_does_not_light"],
    "working": ["surface_burners_light", "display_on"],
    "conditions": {"ambient": {"value": 70, "unit": "degF"}, "supply_voltage": {"value": 121, "unit": "V"}},
    "meters": {
        "dmm": {
            "kind": "multimeter",
            "percent_of_reading": 0.5,
            "counts": 2,
            "lead_resistance": {"value": 0.3, "unit": "ohm"},
        }
    },
    "readings": [
        {"test": "bake_igniter_current", "value": 2.6, "unit": "A", "meter": "dmm", "state": "live_gas_off"},
        {"test": "bake_igniter_glow", "seen": "dim_orange"},
    ],
    "costs": {"labour_per_hour": 95, "callback": 120, "parts": {"bake_igniter": 48}},
}

EXAMPLE_VISIT: dict[str, Any] = {
    "family": "gas_range",
    "reference": "job-1042",
    "options": {"fuel": "natural_gas"},
    "complaints": ["bake_does_not_light"],
    "working": ["surface_burners_light"],
    "readings": [{"test": "control_lock", "seen": "off", "state": "live"}],
    "costs": {"labour_per_hour": 95, "callback": 120, "parts": {"bake_igniter": 48}},
    "visit": {"tools": ["multimeter", "clamp_meter"]},
    "budget": 120,
    "most_parts": 4,
    "asked": ["gas_smell_now"],
}
