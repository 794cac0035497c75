"""Every first-party family as the loader gives it, one after the other."""

from __future__ import annotations

import pytest

from probewright.inference.configurations import configurations
from probewright.packs.loader import load_packs
from probewright.packs.model import Family
from probewright.packs.registry import LoadedPack

PACKS = {name: pack for name, pack in load_packs(strict=True).packs.items() if pack.distribution == "probewright"}


@pytest.fixture(scope="session", params=sorted(PACKS))
def pack(request: pytest.FixtureRequest) -> LoadedPack:
    return PACKS[request.param]


@pytest.fixture(scope="session")
def family(pack: LoadedPack) -> Family:
    return pack.family


@pytest.fixture(scope="session")
def builds(family: Family) -> list[dict[str, str]]:
    """Every build that the options allow, but for the curve of a sensor, which changes no wiring."""
    found = [dict(c.options) for c in configurations(family, {})]
    return [build for build in found if build.get("sensor_curve") != "trade_3750"]
