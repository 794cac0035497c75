"""The clothes dryer as the loader gives it, and a way to solve its circuits."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from probewright.inference.configurations import configurations
from probewright.packs.loader import load_packs
from probewright.packs.model import Family
from probewright.packs.registry import LoadedPack
from support.wiring import Wiring


@pytest.fixture(scope="session")
def pack() -> LoadedPack:
    return load_packs(strict=True).packs["clothes_dryer"]


@pytest.fixture(scope="session")
def family(pack: LoadedPack) -> Family:
    return pack.family


@pytest.fixture(scope="session")
def builds(family: Family) -> list[dict[str, str]]:
    """Every build that the options allow."""
    return [dict(found.options) for found in configurations(family, {})]


@pytest.fixture(scope="session")
def wired(family: Family) -> Callable[..., Wiring]:
    """Solves circuits of an electric dryer under a timer, or of another build, each once."""
    made: dict[tuple[tuple[str, str], ...], Wiring] = {}

    def build(**options: str) -> Wiring:
        chosen = {"heat": "electric", "control": "timer", **options}
        return made.setdefault(tuple(sorted(chosen.items())), Wiring(family, chosen))

    return build


@pytest.fixture(scope="session")
def gas(wired: Callable[..., Wiring]) -> Wiring:
    return wired(heat="gas", fuel="natural_gas")
