"""The example packs are complete, safe and invented, and know their faults."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path

import pytest

import ice_maker
import range_hood
from probewright.cli import main
from probewright.testing import assert_leads, assert_next, check_conformance, client, sample_cases

EXAMPLES = Path(__file__).parents[2] / "plugins" / "examples"
PACKS = {"ice_maker": ice_maker, "range_hood": range_hood}
FAULTS = [(name, fault.id) for name, pack in PACKS.items() for fault in pack.FAMILY.faults]


@pytest.fixture(scope="module", params=PACKS)
def name(request):
    return request.param


@pytest.fixture(scope="module")
def described(name):
    return client(PACKS[name]).family()


def sources(name):
    return [path for path in (EXAMPLES / name).rglob("*.py") if "tests" not in path.relative_to(EXAMPLES / name).parts]


def numbers(document):
    """Every number with a basis in a description, but the position of a leg in the supply, which is by definition."""
    if isinstance(document, dict):
        if "basis" in document:
            yield document
        for key, inner in document.items():
            if key != "phase":
                yield from numbers(inner)
    elif isinstance(document, list):
        for inner in document:
            yield from numbers(inner)


def test_they_keep_the_contract_and_tell_all_their_faults_apart(name):
    found = check_conformance(PACKS[name])
    assert (found.family, found.ambiguous) == (name, ())


def test_their_own_tests_pass(name):
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider"]
    environment = {key: value for key, value in os.environ.items() if not key.startswith("PYTEST")}
    run = subprocess.run(command, cwd=EXAMPLES / name, env=environment, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout + run.stderr


def test_the_review_finds_no_error_and_warns_of_nothing(name, capsys):
    assert main(["pack", "check", "--module", name, "--jobs", "25"]) == 0
    review = capsys.readouterr().out
    assert review.startswith(f"Review of {PACKS[name].FAMILY.title} ")
    assert "25 simulated jobs of its own model" in review


def test_every_number_is_invented(described):
    bases = [number["basis"] for number in numbers(described)]
    assert len(bases) > 50
    assert set(bases) == {"invented"}
    assert described["demo"] is True


def test_they_import_nothing_of_the_service_but_the_contract(name):
    imported = set()
    for path in sources(name):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom):
                imported.add(node.module)
            elif isinstance(node, ast.Import):
                imported |= {alias.name for alias in node.names}
    assert {module for module in imported if module.startswith("probewright")} == {"probewright.packs"}


def test_hazards_cautions_and_proofs_are_there(described):
    assert described["hazards"]
    assert described["cautions"]
    assert any(check["guarded"] for check in described["closing_checks"])
    assert all(repair["closing_checks"] for repair in described["repairs"])
    assert all(test["cautions"] for test in described["tests"] if test["kind"] == "voltage")


def test_one_has_a_circuit_and_the_other_none_in_under_a_hundred_lines():
    assert [len(pack.FAMILY.circuits) for pack in (ice_maker, range_hood)] == [1, 0]
    [module] = sources("range_hood")
    assert len(module.read_text(encoding="utf-8").splitlines()) < 100
    longest = max(len(path.read_text(encoding="utf-8").splitlines()) for path in sources("ice_maker"))
    assert longest <= 100


@pytest.mark.parametrize(("name", "fault"), FAULTS, indirect=["name"])
def test_a_case_drawn_from_a_fault_is_told_to_be_it(name, fault):
    answer = client(PACKS[name]).diagnose(sample_cases(PACKS[name])[fault])
    assert_leads(answer, fault, at_least=0.5)


@pytest.mark.parametrize(
    ("complaint", "reading", "repair"),
    [
        ("ice_stays", {"test": "heater_resistance", "over_range": True}, "replace_mould"),
        ("ice_stays", {"test": "cutout_continuity", "seen": "open"}, "replace_cutout"),
        ("mould_dry", {"test": "fill_tube", "seen": "ice"}, "thaw_fill_tube"),
        ("no_ice", {"test": "arm_position", "seen": "up"}, "lower_arm"),
        ("overflows", {"test": "fill_tube_drip", "seen": "drips"}, "replace_valve"),
    ],
)
def test_a_telling_reading_leads_to_its_repair(complaint, reading, repair):
    assert_next(client(ice_maker).diagnose({"complaints": [complaint], "readings": [reading]}), "repair", repair)


def test_a_proven_repair_may_stand_beside_the_test_that_costs_least():
    """The planner asked what would follow the repair as if it were a test, of which there are fewer."""
    answer = client(ice_maker).diagnose({
        "family": "ice_maker",
        "complaints": ["small_cubes"],
        "working": ["harvests", "makes_ice"],
        "conditions": {"ambient": {"value": -15.0, "unit": "degC"}, "supply_voltage": {"value": 119.0, "unit": "V"}},
        "meters": {"loading": {"kind": "multimeter", "input": "low_impedance"}},
        "readings": [{"test": "fill_stream", "seen": "thin", "state": "live"}],
    })
    assert_leads(answer, "strainer_blocked")
    assert answer["next"]["outcomes"]
