"""What a pack author may import from the common parts: listed, sorted, documented, with examples that run."""

from __future__ import annotations

import ast
import doctest
import importlib
import inspect
import pkgutil
from pathlib import Path
from types import ModuleType

import pytest

from probewright_packs import common

MODULES = [importlib.import_module(f"{common.__name__}.{info.name}") for info in pkgutil.iter_modules(common.__path__)]
EACH = pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__.rpartition(".")[2])


def defined(module: ModuleType) -> list[str]:
    """Public names that a module defines at its top."""
    names: list[str] = []
    for statement in ast.parse(inspect.getsource(module)).body:
        if isinstance(statement, ast.FunctionDef | ast.ClassDef):
            names.append(statement.name)
        targets = statement.targets if isinstance(statement, ast.Assign) else []
        targets = [statement.target] if isinstance(statement, ast.AnnAssign) else targets
        names += [target.id for target in targets if isinstance(target, ast.Name)]
    return [name for name in names if not name.startswith("_")]


def functions(module: ModuleType) -> list[str]:
    return [name for name in defined(module) if inspect.isfunction(getattr(module, name))]


def test_the_list_is_sorted_and_names_nothing_twice() -> None:
    kinds = [(not name.isupper(), not name[0].isupper(), name) for name in common.__all__]
    assert kinds == sorted(set(kinds))


def test_the_list_is_complete() -> None:
    assert sorted(name for module in MODULES for name in defined(module)) == sorted(common.__all__)


@EACH
def test_what_is_listed_is_the_modules_own(module: ModuleType) -> None:
    for name in defined(module):
        assert getattr(common, name) is getattr(module, name)


@EACH
def test_every_module_and_function_says_what_it_offers(module: ModuleType) -> None:
    assert module.__doc__
    for name in functions(module):
        assert getattr(module, name).__doc__, name


@EACH
def test_examples_run(module: ModuleType) -> None:
    found = [test for test in doctest.DocTestFinder(exclude_empty=True).find(module) if test.examples]
    assert sum(doctest.DocTestRunner(verbose=False).run(test).failed for test in found) == 0


@pytest.mark.parametrize("name", [
    "changes", "motor", "relay_board", "thermistor", "thermostat", "two_legs", "two_legs_tests", "valve",
])  # fmt: skip
def test_every_function_that_makes_parts_has_an_example(name: str) -> None:
    module = importlib.import_module(f"{common.__name__}.{name}")
    without = [function for function in functions(module) if ">>>" not in (getattr(module, function).__doc__ or "")]
    assert without == []


@pytest.mark.parametrize("module", [common, *MODULES], ids=lambda module: module.__name__.rpartition(".")[2])
def test_modules_are_short(module: ModuleType) -> None:
    assert module.__file__
    assert len(Path(module.__file__).read_text(encoding="utf-8").splitlines()) <= 250
