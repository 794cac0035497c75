"""The pack contract: what it lists, what its docstrings promise, and how it may change."""

from __future__ import annotations

import copy
import doctest
import importlib.util
import inspect
import json
import re
import warnings
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

import probewright
import probewright_packs
import probewright_schemas
from probewright import packs
from probewright.packs import CONTRACT_VERSION, ContractWarning, hookspecs
from probewright.packs.contract import refusal
from probewright.packs.loader import load_packs
from support.pack_surface import RECORDED, broken, surface

PUBLIC = {name: getattr(packs, name) for name in packs.__all__}
DOCUMENTED = sorted(name for name, value in PUBLIC.items() if inspect.isclass(value) or inspect.isfunction(value))
HOOKS = sorted(name for name in vars(hookspecs) if name.startswith("probewright_"))


# What is public


def test_the_public_names_are_sorted_and_each_is_there_once():
    """Constants first, then classes, then functions, as import lists have them."""
    kinds = [(0 if n.isupper() or n[:3].isupper() else 1 if n[0].isupper() else 2, n) for n in packs.__all__]
    assert kinds == sorted(set(kinds))


def test_nothing_public_is_missing_from_the_list():
    """A public name that is not listed would look like part of the contract and not be it."""
    found = {
        name for name, value in vars(packs).items()
        if not name.startswith("_") and not inspect.ismodule(value) and name not in packs.__all__
    }  # fmt: skip
    assert found == set()


@pytest.mark.parametrize("package", [probewright, probewright_schemas, probewright_packs], ids=lambda p: p.__name__)
def test_types_ship(package):
    folders = [Path(folder) for folder in package.__path__]
    assert [(folder / "py.typed").is_file() for folder in folders] == [True] * len(folders)


# What docstrings promise


def examples(function, name):
    """The examples of one docstring, with the public names at hand."""
    found = doctest.DocTestFinder(recurse=False).find(function, name, globs=PUBLIC | {"np": np, "FAMILY": None})
    return [test for test in found if test.examples]


@pytest.mark.parametrize("name", DOCUMENTED)
def test_every_public_record_and_function_has_an_example_that_runs(name):
    tests = examples(PUBLIC[name], name)
    assert tests, f"{name} has no example in its docstring"
    assert sum(doctest.DocTestRunner(verbose=False).run(test).failed for test in tests) == 0


@pytest.mark.parametrize("name", HOOKS)
def test_every_hook_says_what_it_is_given_returns_and_raises_and_has_an_example_that_runs(name):
    hook = getattr(hookspecs, name)
    tests = examples(hook, name)
    assert tests, f"{name} has no example in its docstring"
    assert sum(doctest.DocTestRunner(verbose=False).run(test).failed for test in tests) == 0
    doc = inspect.getdoc(hook)
    assert "\nReturns\n-------\n" in doc
    assert "alled" in doc, "says when it is called"
    for argument in inspect.signature(hook).parameters:
        assert re.search(rf"\nParameters\n----------\n{argument} : ", doc)


def test_arrays_give_their_shape_and_unit():
    for hook in ("probewright_score", "probewright_score_batch"):
        assert re.search(r"ndarray of shape \(.*n_hypotheses,?\) in nats", inspect.getdoc(getattr(hookspecs, hook)))


# How it may change


def test_the_contract_breaks_nothing_that_was_promised_within_its_major_version():
    assert broken(json.loads(RECORDED.read_text()), surface()) == []


def test_what_was_added_is_recorded_under_a_version_of_its_own():
    recorded = json.loads(RECORDED.read_text())
    assert recorded["version"] != CONTRACT_VERSION or recorded == surface(), (
        "the contract grew: raise its minor version, and record it with python tests/support/pack_surface.py"
    )


def changed(change) -> list[str]:
    old = surface()
    new = copy.deepcopy(old)
    change(new)
    return broken(old, new)


def test_additions_break_nothing():
    def grow(new):
        new["names"]["Brand_new"] = [["id", False]]
        new["names"]["Fault"].append(["colour", True])
        new["hooks"]["probewright_validate"].append(["history", False])
        new["hooks"]["probewright_more"] = []

    assert changed(grow) == []


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (lambda new: new["names"].pop("Fault"), "Fault is gone"),
        (lambda new: new["hooks"].pop("probewright_score"), "probewright_score is gone"),
        (lambda new: new["names"]["Leak"].pop(), "Leak: a, b, ohms became a, b"),
        (lambda new: new["names"]["Leak"].reverse(), "Leak: a, b, ohms became ohms, b, a"),
        (lambda new: new["names"]["Leak"].append(["when", False]), "Leak: when is new and must be given"),
        (lambda new: new["names"]["Fault"][3].__setitem__(1, False), "Fault: part must be given now"),
        (lambda new: new["hooks"]["probewright_validate"][0].__setitem__(0, "reading"),
         "probewright_validate: context became reading"),
    ],
)  # fmt: skip
def test_what_would_break_a_pack_is_named(change, told):
    assert changed(change) == [told]


# Warnings, one minor version ahead

OLD = '''"""A pack of the first days."""

TITLE = "Lamp"

CONTRACT = 1  # the line that the warning points to
'''


def imported(path: Path):
    spec = importlib.util.spec_from_file_location(path.stem, path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_what_the_next_contract_refuses_is_warned_of_at_the_authors_own_line(tmp_path):
    (tmp_path / "first_days.py").write_text(OLD)
    module = imported(tmp_path / "first_days.py")
    with pytest.warns(ContractWarning) as caught:
        assert refusal(module) is None
    (warning,) = caught
    assert (warning.filename, warning.lineno) == (str(tmp_path / "first_days.py"), 5)
    assert str(warning.message) == 'CONTRACT = 1 will be refused by contract 1.2: write CONTRACT = "1.0"'


def test_the_warning_is_shown_by_default_and_quotes_the_line(tmp_path):
    (tmp_path / "first_days.py").write_text(OLD)
    module = imported(tmp_path / "first_days.py")
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("default", FutureWarning)
        refusal(module)
    assert "CONTRACT = 1  # the line that the warning points to" in warnings.formatwarning(
        caught[0].message, caught[0].category, caught[0].filename, caught[0].lineno
    )


@pytest.mark.parametrize(
    ("text", "line"),
    [("CONTRACT: int = 1\n", 1), ("\n\nCONTRACT = 1\n", 3), ("globals()['CONTRACT'] = 1\n", 1)],
    ids=["annotated", "plain", "not to be found"],
)
def test_the_line_is_found_however_it_is_written(tmp_path, text, line):
    (tmp_path / "early.py").write_text(text)
    with pytest.warns(ContractWarning) as caught:
        refusal(imported(tmp_path / "early.py"))
    assert caught[0].lineno == line


def test_an_object_without_a_file_is_warned_of_all_the_same(make_pack):
    with pytest.warns(ContractWarning, match="will be refused by contract 1.2"):
        assert refusal(make_pack(contract=1)) is None


def test_a_pack_that_is_warned_of_still_loads(make_pack):
    with pytest.warns(ContractWarning):
        registry = load_packs(entry_points=(), extra=(("lamp", make_pack(contract=1)),))
    assert list(registry.packs) == ["lamp"]


def test_a_pack_as_it_should_be_is_not_warned_of():
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        assert refusal(SimpleNamespace(CONTRACT=CONTRACT_VERSION)) is None
