from __future__ import annotations

import copy

import pytest

FULL = {
    "family": "gas_range",
    "reference": "job-1042",
    "options": {"fuel": "natural_gas", "oven_ignition": "hot_surface"},
    "complaints": ["bake_does_not_light"],
    "working": ["surface_burners_light", "display_on"],
    "conditions": {
        "ambient": {"value": 70, "unit": "degF"},
        "supply_voltage": {"value": 121, "unit": "V"},
        "set_point": {"value": 350, "unit": "degF"},
    },
    "meters": {
        "dmm": {
            "kind": "multimeter", "percent_of_reading": 0.5, "counts": 2, "resolution": {"value": 0.1, "unit": "ohm"},
            "lead_resistance": {"value": 0.3, "unit": "ohm"}, "leads_zeroed": False, "input": "high_impedance",
            "input_impedance": {"value": 10, "unit": "Mohm"}, "sensing": "true_rms",
            "beeper_threshold": {"value": 40, "unit": "ohm"}, "maximum_resistance": {"value": 40, "unit": "Mohm"},
            "id": "meter-12",
        }
    },
    "readings": [
        {
            "test": "bake_igniter_current", "value": 2.6, "unit": "A", "meter": "dmm", "state": "live_gas_off",
            "day": "2026-08-29",
            "correction": {
                "gain": 1.06, "gain_uncertainty": 0.004, "offset": {"value": 0.1, "unit": "A"},
                "offset_uncertainty": {"value": 0.01, "unit": "A"}, "at": {"value": 2, "unit": "A"},
                "correlation": -0.5,
            },
        },
        {"test": "bake_igniter_resistance", "over_range": True, "state": "isolated"},
        {"test": "bake_valve_resistance", "under_range": True, "unit": "ohm", "over_range": False},
        {"test": "bake_igniter_glow", "seen": "dim_orange", "after_repair": "clean_burner_ports"},
        {"test": "oven_sensor_resistance", "values": [1080, 1081.5], "unit": "ohm",
         "conditions": {"ambient": {"value": 21, "unit": "degC"}}},
    ],
    "tech_sheet": {"bake_igniter_current": {"low": 3.2, "high": 3.6, "unit": "A"}, "x": {"high": 3, "unit": "V"}},
    "repairs_done": [{"repair": "clean_burner_ports", "complaint_remains": True}],
    "costs": {"labour_per_hour": 95, "callback": 120, "return_visit": 110, "parts": {"bake_igniter": 48}},
    "visit": {"tools": ["multimeter"], "skills": [], "parts_on_hand": ["bake_igniter"]},
    "effort": "none",
    "day": "2026-08-28",
}  # fmt: skip


@pytest.fixture
def full():
    """A case that uses every field; the job is invented."""
    return copy.deepcopy(FULL)
