from __future__ import annotations

import json
from types import SimpleNamespace

import pytest

from probewright.batch.files import FilesError, open_jobs

FULL = {
    "invented": True,
    "case": {
        "family": "gas_range", "reference": "invented job 1", "day": "2026-03-01", "effort": "none",
        "options": {"fuel": "natural_gas", "igniter_style": "flat"},
        "complaints": ["bake_does_not_light", "oven_slow_to_light"], "working": ["display_on"],
        "conditions": {"ambient": {"value": 70, "unit": "degF"}, "supply_voltage": {"value": 121.5, "unit": "V"}},
        "meters": {"clamp": {"kind": "clamp_meter", "id": "clamp-07", "counts": 5, "leads_zeroed": False,
                             "resolution": {"value": 0.01, "unit": "A"}, "sensing": "average"}},
        "readings": [
            {"test": "bake_igniter_current", "value": 2.6, "unit": "A", "meter": "clamp", "day": "2026-03-02",
             "conditions": {"set_point": {"value": 350, "unit": "degF"}},
             "correction": {"gain": 1.064, "offset": {"value": 0.02, "unit": "A"}, "correlation": -0.93}},
            {"test": "bake_igniter_resistance", "values": [101.5, 102, 101.9], "unit": "ohm", "state": "isolated"},
            {"test": "bake_igniter_glow", "seen": "dim_orange", "after_repair": "replace_bake_igniter"},
            {"test": "bake_igniter_to_chassis", "over_range": True, "conditions": {}, "meter": "clamp"},
            {"test": "bake_igniter_current", "value": -0.0, "unit": "A", "correction": {}},
        ],
        "tech_sheet": {"bake_igniter_current": {"low": 3.2, "high": 3.6, "unit": "A"}},
        "repairs_done": [{"repair": "replace_bake_igniter", "complaint_remains": True}],
        "costs": {"labour_per_hour": 95, "callback": 120, "parts": {"bake_igniter": 48}},
        "visit": {"tools": ["multimeter", "clamp_meter"], "skills": []},
    },
    "truth": {"faults": ["bake_igniter_weak"], "misread": [0]},
    "answer": {
        "pack": {"family": "gas_range", "version": "1.0.0", "digest": "sha256:00"},
        "readings": [{"test": "bake_igniter_current", "verdict": "within", "probability_within": 0.97}],
        "faults": [{"fault": "bake_igniter_weak", "probability": 0.93}], "unexplained": 0.01, "no_fault": 0.001,
        "next": {"kind": "done", "id": ""}, "computation": "sha256:51",
    },
}  # fmt: skip


@pytest.fixture
def full():
    """A stored job with something of everything; it is invented."""
    return json.loads(json.dumps(FULL))


@pytest.fixture
def read(tmp_path, monkeypatch):
    """Writes bytes into files of these names, and reads them in that order."""
    monkeypatch.chdir(tmp_path)

    def call(asked=None, /, *, longest=1000, **files):
        names = []
        for name, content in files.items():
            path = name.replace("_", ".")
            (tmp_path / path).write_bytes(content)
            names.append(path)
        items = list(open_jobs(names, asked, longest_line=longest))
        return SimpleNamespace(
            items=items,
            lines=[item.line for item in items],
            jobs=[None if item.job is None else json.loads(item.job) for item in items],
            reasons=[item.reason for item in items],
            origins=[str(item.origin) for item in items],
        )

    return call


@pytest.fixture
def refusal():
    """Checks that something is refused in one line, and gives it."""

    def check(action):
        with pytest.raises(FilesError) as caught:
            action()
        said = str(caught.value)
        assert said
        assert "\n" not in said
        return said

    return check
