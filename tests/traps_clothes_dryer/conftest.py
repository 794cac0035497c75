"""The bench of the clothes dryer."""

from __future__ import annotations

import pytest

from probewright.packs.loader import load_packs
from support.trap_bench import Bench

USUAL = {"heat": "electric", "control": "timer"}


@pytest.fixture(scope="session")
def bench() -> Bench:
    return Bench(load_packs().packs["clothes_dryer"], USUAL)


@pytest.fixture(scope="session")
def board(bench: Bench) -> dict[str, str]:
    """An electric dryer with an electronic board."""
    return bench.build(control="electronic")


@pytest.fixture(scope="session")
def gas(bench: Bench) -> dict[str, str]:
    """A dryer for natural gas, under a timer."""
    return bench.build(heat="gas", fuel="natural_gas")
