"""The cases, the visit to plan and the stored job that the contract shows.  All of it is invented."""

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

#: The lines of a batch.
EXAMPLE_CASES: tuple[dict[str, Any], ...] = (
    EXAMPLE_CASE,
    {"family": "gas_range", "complaints": ["bake_does_not_light"], "effort": "none"},
)

#: The lines of a re-evaluation: a clamp meter that read six per cent low, and a job that it was used in.
EXAMPLE_JOBS: tuple[dict[str, Any], ...] = (
    {
        "corrections": [
            {"meter": "clamp-07", "kind": "current", "correction": {"gain": 1.064, "gain_uncertainty": 0.004},
             "from": "2026-03-01"}
        ]
    },
    {
        "case": {
            "family": "gas_range",
            "reference": "job-1042",
            "day": "2026-03-12",
            "options": {"fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat"},
            "complaints": ["bake_does_not_light"],
            "meters": {"clamp": {"kind": "clamp_meter", "id": "clamp-07"}},
            "readings": [{"test": "bake_igniter_current", "value": 2.45, "unit": "A", "meter": "clamp"}],
        },
        "answer": {
            "pack": {"family": "gas_range", "version": "1.0.0", "digest": "sha256:9f2c..."},
            "readings": [{"test": "bake_igniter_current", "verdict": "outside", "probability_within": 0.02}],
            "faults": [{"fault": "bake_igniter_weak", "probability": 0.93}],
            "next": {"kind": "repair", "id": "replace_bake_igniter"},
        },
    },
)  # fmt: skip
