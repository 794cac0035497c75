from __future__ import annotations

import io
import json
from types import SimpleNamespace

import pytest

from probewright.cli import main

WEAK = {
    "family": "gas_range", "reference": "job-1042",
    "options": {"fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat",
                "cooktop_ignition": "spark", "oven_control": "electronic"},
    "complaints": ["bake_does_not_light"], "working": ["surface_burners_light"],
    "conditions": {"supply_voltage": {"value": 121, "unit": "V"}},
    "readings": [{"test": "bake_igniter_current", "value": 2.6, "unit": "A"},
                 {"test": "bake_igniter_glow", "seen": "dim_orange"}],
}  # fmt: skip


@pytest.fixture
def weak():
    """A weak igniter; the job is invented."""
    return json.loads(json.dumps(WEAK))


@pytest.fixture
def run(capsys, monkeypatch, tmp_path):
    """Runs the command line; a dictionary among the arguments becomes a file, ``stdin`` what comes in."""

    def filed(index, content):
        path = tmp_path / f"case{index}.json"
        path.write_bytes(content if isinstance(content, bytes) else json.dumps(content).encode())
        return str(path)

    def call(*arguments, stdin=None):
        given = [filed(index, a) if isinstance(a, dict | bytes) else a for index, a in enumerate(arguments)]
        if stdin is not None:
            monkeypatch.setattr("sys.stdin", SimpleNamespace(buffer=io.BytesIO(stdin)))
        try:
            code = main(given)
        except SystemExit as left:
            code = left.code
        out, err = capsys.readouterr()
        return SimpleNamespace(code=int(code), out=out, err=err)

    return call


@pytest.fixture
def one_line():
    """Checks that a mistake got one clear line, and gives it."""

    def check(result):
        assert result.err.startswith("probewright: ")
        assert result.err.count("\n") == 1
        assert "Traceback" not in result.err
        assert result.out == ""
        return result.err.strip()

    return check
