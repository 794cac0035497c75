from __future__ import annotations

import json
from datetime import date, timedelta

import pytest

from probewright.inference.store import ModelStore
from probewright.learning.jobs import Job
from probewright.learning.simulated import close, proven_of
from probewright.settings import Settings
from probewright.simulation.draw import MENTIONED, Omissions, draw
from probewright.simulation.policies import one_step
from probewright.simulation.world import World
from support.families import pack_of, warmer

SETTINGS = Settings()
FIRST = date(2026, 1, 5)


@pytest.fixture(scope="session")
def pack():
    return pack_of(warmer())


@pytest.fixture(scope="session")
def store():
    return ModelStore(warmer())


@pytest.fixture(scope="session")
def make_job():
    """A job as counting sees it."""

    def make(*proven, complaint="cold", day=0, seen=(), options=(("lamp", "yes"), ("style", "small")), line=b""):
        return Job(FIRST + timedelta(days=day), tuple(options), complaint, tuple(sorted(proven)), tuple(seen), line)

    return make


@pytest.fixture(scope="session")
def called():
    """Jobs of a world as counting sees them, with nothing read: quickly drawn."""

    def make(family, count, seed=1, start=0):
        world = World(family, SETTINGS.misread_rate)
        drawn = [draw(world, seed, number, Omissions()) for number in range(start, start + count)]
        return [
            Job(FIRST, tuple(sorted(j.case.options.items())), j.case.complaints[0], proven_of(j.wrong), (), b"")
            for j in drawn
        ]

    return make


@pytest.fixture(scope="session")
def closed():
    """Closed jobs of a world, played to their ends, three a day."""

    def make(family, count, seed=4):
        pack = pack_of(warmer())
        telling = Omissions(unasked=float(MENTIONED))
        world, policy = World(family, SETTINGS.misread_rate), one_step(pack, SETTINGS)
        jobs = [draw(world, seed, number, telling) for number in range(count)]
        return [close(world, job, policy, FIRST + timedelta(days=i // 3)) for i, job in enumerate(jobs)]

    return make


@pytest.fixture
def line():
    """A line of a file, with some members replaced or (None) left out."""

    def make(**changes):
        document = {
            "case": {"family": "warmer", "complaints": ["cold"], "readings": [{"test": "door", "seen": "ajar"}]},
            "proven": ["door_loose"], "closed": "2026-08-30",
        } | changes  # fmt: skip
        return json.dumps({name: value for name, value in document.items() if value is not None}).encode()

    return make
