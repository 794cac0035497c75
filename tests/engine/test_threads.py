"""Answers that several threads work out at once, from models that nobody has compiled yet."""

from __future__ import annotations

import json
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from threading import Barrier

import orjson
import pytest

from probewright import engine
from probewright.errors import InvalidCase
from probewright.inference.configurations import configurations
from probewright.inference.store import ModelStore
from probewright.intake import load_case
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright_schemas.dump import to_document

THREADS = 8
CASES = sorted((Path(__file__).parents[2] / "demo" / "cases").glob("*.json"))


@pytest.fixture
def hectic():
    """Threads take turns as often as they can."""
    usual = sys.getswitchinterval()
    sys.setswitchinterval(1e-6)
    yield
    sys.setswitchinterval(usual)


def at_once(work):
    """What each of the threads gives for ``work(number)``; all of them begin together."""
    barrier = Barrier(THREADS)

    def wait_and_work(number):
        barrier.wait(timeout=60)
        return work(number)

    with ThreadPoolExecutor(THREADS) as pool:
        return list(pool.map(wait_and_work, range(THREADS)))


def answers(registry, order):
    found = {}
    for index in order:
        case = load_case(json.loads(CASES[index].read_bytes()))
        try:
            answer = engine.diagnose(case, registry.get(case.family), Settings())
            found[index] = orjson.dumps(to_document(answer))
        except InvalidCase as error:  # one of them is mistyped on purpose
            found[index] = str(error).encode()
    return found


@pytest.mark.usefixtures("hectic")
def test_threads_give_the_bytes_that_one_gives():
    alone = answers(load_packs(), range(len(CASES)))
    fresh = load_packs()  # a pack of its own has models of its own, which nobody has compiled

    def work(number):
        # Half of the threads begin with the same case, the others each with another.
        first = number * (number % 2)
        return answers(fresh, [(first + step) % len(CASES) for step in range(len(CASES))])

    for found in at_once(work):
        assert found == alone


@pytest.mark.usefixtures("hectic")
def test_threads_are_given_the_same_predictors():
    """Readings are told apart by them: a second one for a test would be taken for another test's."""
    family = load_packs().get("gas_range").family
    configuration = configurations(family, {})[0]
    for _ in range(3):
        compiled = ModelStore(family).compiled(configuration)
        numeric = [t.id for t in compiled.tests.values() if not t.outcomes]
        found = at_once(lambda _, tests=numeric, of=compiled: [of.numeric(test) for test in tests])
        assert len(found) == THREADS
        for others in found[1:]:
            assert [id(one) for one in others] == [id(one) for one in found[0]]
