"""A new pack is green as it is: its own tests, the linter, the types, and the review."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from probewright.packs.loader import load_packs

ROOT = Path(__file__).parents[2]


def run(*command, cwd, **environment):
    inherited = {key: value for key, value in os.environ.items() if not key.startswith("PYTEST")}
    return subprocess.run(
        [sys.executable, "-m", *command], cwd=cwd, env=inherited | environment, capture_output=True, text=True,
        check=False,
    )  # fmt: skip


def green(done):
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_its_own_tests_pass(generated):
    _, folder = generated
    told = green(run("pytest", "-q", "-p", "no:cacheprovider", cwd=folder))
    assert "passed" in told
    assert "failed" not in told


def test_it_is_lint_free_by_this_projects_rules(generated):
    _, folder = generated
    rules = ("--config", str(ROOT / "pyproject.toml"), "--config", 'src = ["."]')
    green(run("ruff", "check", "--no-cache", *rules, ".", cwd=folder))


def test_it_is_typed_strictly(generated):
    _, folder = generated
    ours = os.pathsep.join(str(ROOT / name) for name in ("schemas", "service"))
    green(run("mypy", "--strict", "--follow-imports=silent", ".", cwd=folder, MYPYPATH=ours))


@pytest.fixture
def imported(generated, monkeypatch):
    pack, folder = generated
    monkeypatch.syspath_prepend(folder)
    module = __import__(pack.name)
    yield pack, module
    for name in [name for name in sys.modules if name.partition(".")[0] == pack.name]:
        del sys.modules[name]


def test_it_is_a_demonstration_with_invented_numbers_alone(imported):
    pack, module = imported
    family = load_packs(strict=True, entry_points=(), extra=[(pack.name, module)]).packs[pack.name].family
    assert family.title == pack.title
    assert family.demo
    assert bool(family.circuits) == pack.circuit
    assert {fault.rate.basis for fault in family.faults} == {"invented"}
    assert family.interlocks
    assert family.notice


def test_the_review_has_nothing_to_mend(generated):
    pack, folder = generated
    told = green(run("probewright.cli", "pack", "check", "--module", pack.name, "--jobs", "25", cwd=folder))
    assert told.startswith(f"Review of {pack.title} ")
    assert "warning" not in told.splitlines()[1]
