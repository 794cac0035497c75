"""The electric range as the loader gives it, and a way to solve its circuits."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from probewright.inference.configurations import configurations
from probewright.packs.loader import load_packs
from probewright.packs.model import Family
from probewright.packs.registry import LoadedPack
from support.wiring import Wiring

COMMON = {"cooktop": "coil", "bake_element": "visible", "sensor_curve": "iec_60751"}


@pytest.fixture(scope="session")
def pack() -> LoadedPack:
    return load_packs(strict=True).packs["electric_range"]


@pytest.fixture(scope="session")
def family(pack: LoadedPack) -> Family:
    return pack.family


@pytest.fixture(scope="session")
def builds(family: Family) -> list[dict[str, str]]:
    """Every build that the options allow, but for the sensor's curve, which changes no wiring."""
    found = [dict(c.options) for c in configurations(family, {})]
    return [build for build in found if build["sensor_curve"] == "iec_60751"]


@pytest.fixture(scope="session")
def wired(family: Family) -> Callable[..., Wiring]:
    @cache
    def of(build: tuple[tuple[str, str], ...]) -> Wiring:
        return Wiring(family, dict(build))

    return lambda **options: of(tuple({**COMMON, **options}.items()))
