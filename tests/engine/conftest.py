"""The gas range as it is installed, and cases of it."""

from __future__ import annotations

from collections.abc import Callable
from types import MappingProxyType
from typing import Any

import pytest

from probewright.packs.loader import load_packs
from probewright.packs.registry import LoadedPack
from probewright_schemas.records import Case

BUILD = MappingProxyType({
    "fuel": "natural_gas", "oven_ignition": "hot_surface", "igniter_style": "flat", "cooktop_ignition": "spark",
    "oven_control": "electronic", "sensor_curve": "iec_60751",
})  # fmt: skip


@pytest.fixture(scope="session")
def gas_range() -> LoadedPack:
    """The pack."""
    return load_packs().get("gas_range")


@pytest.fixture(scope="session")
def job() -> Callable[..., Case]:
    """Make a case of a gas range whose options are all known, unless ``options`` says otherwise."""

    def make(*readings: Any, **fields: Any) -> Case:
        return Case("gas_range", readings=readings, **({"options": dict(BUILD)} | fields))

    return make
