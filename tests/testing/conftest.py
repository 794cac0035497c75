"""Packs made from the range hood, sound or broken in one place."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

import range_hood
from probewright.packs import hookimpl


def made(family=None, contract="1.1", **hooks):
    """A pack object with a family, or a function that makes one, and whatever hooks are given, all marked."""
    given = range_hood.FAMILY if family is None else family
    marked = {"probewright_family": given if callable(given) else lambda: given, **hooks}
    return SimpleNamespace(CONTRACT=contract, **{name: hookimpl(hook) for name, hook in marked.items()})


@pytest.fixture
def make_pack():
    return made


@pytest.fixture
def hood():
    """The range hood's family, with fields replaced."""

    def make(**changes):
        return replace(range_hood.FAMILY, **changes)

    return make


@pytest.fixture
def with_test():
    """The range hood's family with one of its tests replaced by what a function makes of it."""

    def make(name, change):
        tests = tuple(change(test) if test.id == name else test for test in range_hood.FAMILY.tests)
        return replace(range_hood.FAMILY, tests=tests)

    return make
