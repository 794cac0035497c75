"""The bench of the gas range."""

from __future__ import annotations

import pytest

from probewright.packs.loader import load_packs
from support.trap_bench import Bench

USUAL = {
    "fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat", "cooktop_ignition": "spark",
    "oven_control": "electronic", "sensor_curve": "iec_60751",
}  # fmt: skip


@pytest.fixture(scope="session")
def bench() -> Bench:
    return Bench(load_packs().packs["gas_range"], USUAL)
