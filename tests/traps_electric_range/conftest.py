"""The bench of the electric range."""

from __future__ import annotations

import pytest

from probewright.packs.loader import load_packs
from support.trap_bench import Bench

#: A range with plug-in coils, and its bake element in sight.
USUAL = {"cooktop": "coil", "bake_element": "visible", "sensor_curve": "iec_60751"}


@pytest.fixture(scope="session")
def bench() -> Bench:
    return Bench(load_packs().packs["electric_range"], USUAL)
