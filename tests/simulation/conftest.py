from __future__ import annotations

from dataclasses import replace

import pytest

from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.simulation.draw import Omissions, draw
from probewright.simulation.policies import Move
from probewright.simulation.world import World, Wrong
from support.families import pack_of, warmer

SETTINGS = Settings()


@pytest.fixture(scope="session")
def gas_range():
    return load_packs().packs["gas_range"]


@pytest.fixture(scope="session")
def range_world(gas_range):
    return World(gas_range.family, SETTINGS.misread_rate)


@pytest.fixture(scope="session")
def toy():
    """The warmer, with tests in some usual order."""
    return pack_of(warmer(checklist=("door", "supply_volts", "glow", "heater_ohms")))


@pytest.fixture(scope="session")
def toy_world(toy):
    return World(toy.family, SETTINGS.misread_rate)


@pytest.fixture
def sound_world(toy):
    """The warmer, never misread."""
    return World(toy.family, 0.0)


def label(name):
    return tuple(int(word) if word.isdigit() else word for word in name.split("/"))


@pytest.fixture
def job_with():
    """A small warmer, or another appliance, with these faults; what its owner says stands."""

    def make(world, *faults, options=None, number=0, complaints=("cold",), seed=5, **fixed):
        drawn = draw(world, seed, number, Omissions())
        chosen = tuple(sorted((options or {"style": "small", "lamp": "yes"}).items()))
        luck = replace(drawn.luck, fixed={label(name): u for name, u in fixed.items()})
        case = replace(drawn.case, options=dict(chosen), complaints=complaints, working=())
        return replace(drawn, options=chosen, wrong=Wrong(tuple(faults)), luck=luck, case=case)

    return make


@pytest.fixture
def script():
    """A policy that makes these moves, and then this one for ever."""

    def make(*moves, last=("done", "")):
        left = iter(moves)

        def policy(scene):
            policy.scenes.append(scene)
            return Move(*next(left, last))

        policy.scenes = []
        return policy

    return make
