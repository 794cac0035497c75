"""The gas range as the loader gives it, and a way to solve its circuits."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from probewright.inference.configurations import configurations
from probewright.packs.loader import load_packs
from probewright.packs.model import Family
from probewright.packs.registry import LoadedPack
from support.wiring import Wiring

HOT_SURFACE = {
    "fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat",
    "cooktop_ignition": "spark_flame_sensing", "oven_control": "electronic", "sensor_curve": "iec_60751",
}  # fmt: skip


@pytest.fixture(scope="session")
def pack() -> LoadedPack:
    return load_packs(strict=True).packs["gas_range"]


@pytest.fixture(scope="session")
def family(pack: LoadedPack) -> Family:
    return pack.family


@pytest.fixture(scope="session")
def builds(family: Family) -> list[dict[str, str]]:
    """Every build that the options allow, but for the fuel and the sensor's curve, which change no wiring."""
    found = [dict(c.options) for c in configurations(family, {"fuel": "natural_gas"})]
    return [build for build in found if build.get("sensor_curve") != "trade_3750"]


@pytest.fixture(scope="session")
def wired(family: Family) -> Callable[..., Wiring]:
    def build(**options: str | None) -> Wiring:
        chosen = {**HOT_SURFACE, **options}
        return Wiring(family, {option: value for option, value in chosen.items() if value is not None})

    return build
