from __future__ import annotations

import os
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[2]


@pytest.fixture
def started():
    """Starts processes that find the tests' support, and ends those that are left."""
    with starting() as start:
        yield start


@pytest.fixture(scope="module")
def started_once():
    """The same for all tests of a module."""
    with starting() as start:
        yield start


@contextmanager
def starting():
    processes = []

    def start(*arguments, **options):
        environment = {**os.environ, "PYTHONPATH": str(TESTS), **options.pop("environment", {})}
        process = subprocess.Popen([sys.executable, *arguments], env=environment, **options)
        processes.append(process)
        return process

    yield start
    for process in processes:
        process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout, process.stderr):
            if pipe is not None:
                pipe.close()
