"""The plugin in a pack author's own run of pytest: what passes, what fails and how, and what it costs others."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from probewright import testing
from probewright.testing import check_conformance, client, plugin  # noqa: F401  imported once for all inner runs

pytest_plugins = ["pytester"]

EXAMPLES = Path(__file__).parents[2] / "plugins" / "examples"


@pytest.fixture
def authored(pytester, monkeypatch):
    """Runs a test file of a pack author beside the range hood."""
    monkeypatch.syspath_prepend(EXAMPLES / "range_hood")

    def run(text, *arguments):
        pytester.makepyfile(test_authored="import range_hood\nfrom probewright.testing import *\n" + text)
        return pytester.runpytest_inprocess("-p", "no:cacheprovider", *arguments)

    return run


def test_a_sound_pack_passes(authored):
    result = authored("class TestHood(PackConformance):\n    pack = range_hood\n", "-rs")
    result.assert_outcomes(passed=10, skipped=1)
    result.stdout.fnmatch_lines(["SKIPPED*the pack has no validator and no scorer of its own"])


def test_a_broken_pack_fails_with_what_to_change(authored):
    result = authored("""
from dataclasses import replace
from probewright.packs import hookimpl

class Broken:
    CONTRACT = "1.1"

    @staticmethod
    @hookimpl
    def probewright_family():
        closings = tuple(replace(c, passes=("weak",)) if c.test == "fan" else c for c in range_hood.FAMILY.closings)
        return replace(range_hood.FAMILY, closings=closings)

class TestBroken(PackConformance):
    pack = Broken
""")
    result.assert_outcomes(passed=9, skipped=1, failed=1)
    result.stdout.fnmatch_lines(["*closing check air_moves: expected it to pass after *mend its limits*"])


def test_a_class_without_a_pack_is_told(authored):
    result = authored("class TestNothing(PackConformance):\n    seed = 1\n")
    result.assert_outcomes(errors=11)
    result.stdout.fnmatch_lines(["*say which pack TestNothing tests: class TestNothing(...): pack = my_pack*"])


def test_faults_that_no_test_tells_apart_are_warned_of(authored):
    result = authored("""
from dataclasses import replace
from probewright.packs import Fault, hookimpl, invented

def doubled(test):
    models = tuple(replace(m, by_fault=dict(m.by_fault) | {"fuse_blown": m.by_fault["no_supply"]})
                   if "no_supply" in m.by_fault else m for m in test.models)
    return replace(test, models=models)

class Twins:
    CONTRACT = "1.1"

    @staticmethod
    @hookimpl
    def probewright_family():
        twin = Fault("fuse_blown", "Fuse blown", invented(0.01))
        tests = tuple(map(doubled, range_hood.TESTS))
        return replace(range_hood.FAMILY, faults=(*range_hood.FAULTS, twin), tests=tests)

class TestTwins(PackConformance):
    pack = Twins
""")
    result.assert_outcomes(passed=10, skipped=1, warnings=1)
    result.stdout.fnmatch_lines(["*AmbiguityWarning: no test tells no_supply, fuse_blown apart*"])


def test_fixtures_give_a_client_and_cases(authored):
    result = authored("""
def test_samples(probewright_client, probewright_cases):
    client = probewright_client(range_hood)
    for fault, case in probewright_cases(range_hood).items():
        assert_leads(client.diagnose(case), fault)
""")
    result.assert_outcomes(passed=1)


def test_a_failing_scenario_shows_ranking_and_evidence(authored):
    result = authored("""
def test_scenario(probewright_client):
    case = {"complaints": ["no_air"], "readings": [{"test": "filter", "seen": "greasy"}]}
    assert_leads(probewright_client(range_hood).diagnose(case), "motor_open")
""")
    result.assert_outcomes(failed=1)
    result.stdout.fnmatch_lines([
        "*AssertionError: expected motor_open to lead, but filter_clogged does",
        "*filter_clogged  (*filter +*dB*",
        "*next: repair replace_filter*",
    ])  # fmt: skip


def test_a_refused_case_fails_with_its_places(authored):
    result = authored("""
def test_scenario(probewright_client):
    probewright_client(range_hood).diagnose({"complaints": ["noisy"]})
""")
    result.assert_outcomes(failed=1)
    result.stdout.fnmatch_lines(["*/complaints/0: unknown complaint 'noisy'*"])


def test_without_the_plugin_pytest_runs_and_has_no_fixtures(authored):
    result = authored("def test_nothing(probewright_client):\n    pass\n", "-p", "no:probewright")
    result.assert_outcomes(errors=1)
    result.stdout.fnmatch_lines(["*fixture 'probewright_client' not found*"])


def test_pytest_starts_without_anything_of_the_service(pytester):
    pytester.makepyfile(test_light="""
import sys

def test_light():
    heavy = {"numpy", "numba", "flask", "pint", "marshmallow", "probewright.packs", "probewright.engine"}
    assert "probewright.testing.plugin" in sys.modules
    assert heavy.isdisjoint(sys.modules)
""")
    result = pytester.runpytest_subprocess("-p", "no:cacheprovider")
    result.assert_outcomes(passed=1)


def test_public_names_are_sorted_documented_and_importable():
    capitals = [name for name in testing.__all__ if name[0].isupper()]
    assert testing.__all__ == sorted(capitals) + sorted(set(testing.__all__) - set(capitals))
    for name in testing.__all__:
        assert getattr(testing, name).__doc__, name
        assert name in dir(testing)
    with pytest.raises(AttributeError, match="has no attribute 'assert_lead'"):
        _ = testing.assert_lead


@pytest.mark.parametrize("name", [name for name in testing.__all__ if name not in ("AmbiguityWarning", "Conformance")])
def test_public_functions_show_an_example_or_their_arguments(name):
    documented = getattr(testing, name).__doc__
    assert ">>>" in documented or "Parameters" in documented


def test_import_of_the_package_is_light():
    code = ("import probewright.testing, sys; "
            "assert not {'numpy', 'flask', 'pytest'} & set(sys.modules), sorted(sys.modules)")  # fmt: skip
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stderr
