from __future__ import annotations

import builtins
import json

import pytest

from probewright.cli.common import Exit


def test_jobs_are_simulated_for_a_person(run):
    result = run("simulate-visits", "gas_range", "--jobs", "3", "--policies", "planner,likeliest")
    assert (result.code, result.err) == (Exit.OK, "")
    assert result.out.startswith("3 simulated jobs of gas_range 1.0.0 in the pack's own world, seed 0\n")
    assert "\nlikeliest part " in result.out


def test_jobs_are_simulated_for_a_script(run):
    arguments = ("simulate-visits", "gas_range", "--jobs", "3", "--seed", "7", "--perturb", "--policies", "likeliest")
    result = run(*arguments, "--json")
    answer = json.loads(result.out)
    assert (answer["family"], answer["jobs"], answer["seed"], answer["perturbed"]) == ("gas_range", 3, 7, True)
    assert list(answer["policies"]) == ["likeliest"]
    assert run(*arguments, "--json").out == result.out
    assert result.out.count("\n") == 1


def test_a_picture_is_written_beside_it(run, tmp_path):
    path = tmp_path / "jobs.png"
    result = run("simulate-visits", "gas_range", "--jobs", "2", "--policies", "likeliest", "--plot", str(path))
    assert result.code == Exit.OK
    assert path.read_bytes().startswith(b"\x89PNG")


def test_a_family_that_is_not_there_is_refused(run, one_line):
    result = run("simulate-visits", "gas_rnage", "--jobs", "2")
    assert result.code == Exit.INVALID_CASE
    assert "gas_range" in one_line(result)


def test_a_policy_that_is_not_there_is_refused(run, one_line):
    result = run("simulate-visits", "gas_range", "--jobs", "2", "--policies", "planer")
    assert result.code == Exit.USAGE
    assert "did you mean 'planner'" in one_line(result)


def test_a_part_that_is_not_there_is_refused(run, one_line):
    result = run("simulate-visits", "gas_range", "--jobs", "2", "--parts", "bake_ignitor")
    assert result.code == Exit.USAGE
    assert "did you mean 'bake_igniter'" in one_line(result)


@pytest.mark.parametrize(("option", "number"), [
    ("--jobs", "0"), ("--jobs", "-3"), ("--jobs", "1e3"), ("--jobs", "many"),
    ("--seed", "-1"), ("--seed", "4294967296"),
    ("--workers", "0"), ("--workers", "257"),
])  # fmt: skip
def test_bad_numbers_are_refused(run, option, number):
    result = run("simulate-visits", "gas_range", option, number)
    assert result.code == Exit.USAGE
    assert f"argument {option}" in result.err
    assert result.out == ""


def test_a_picture_without_its_library_is_refused_before_the_work(run, one_line, monkeypatch, tmp_path):
    real = builtins.__import__

    def without(name, *rest):
        if name.split(".")[0] == "matplotlib":
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    result = run("simulate-visits", "gas_range", "--jobs", "1000000", "--plot", str(tmp_path / "jobs.png"))
    assert result.code == Exit.USAGE
    assert "probewright[plots]" in one_line(result)


def test_a_picture_in_no_folder_is_refused_before_the_work(run, one_line, tmp_path):
    path = tmp_path / "nowhere" / "jobs.png"
    result = run("simulate-visits", "gas_range", "--jobs", "1000000", "--plot", str(path))
    assert result.code == Exit.USAGE
    assert "its folder does not exist" in one_line(result)


def test_the_van_is_loaded_by_the_plan_of_each_visit(run):
    command = ("simulate-visits", "gas_range", "--jobs", "20", "--policies", "likeliest", "--json", "--parts")
    planned, bare = (json.loads(run(*command, parts).out) for parts in ("planned", "supply_cord"))
    assert (planned["parts_on_hand"], bare["parts_on_hand"]) == (["planned"], ["supply_cord"])
    fixed = [d["policies"]["likeliest"]["fixed_at_first_visit"]["value"] for d in (planned, bare)]
    assert fixed[0] > fixed[1]


@pytest.mark.parametrize("policies", [",", "informed"])
def test_no_policy_that_can_play_is_refused(run, one_line, policies):
    result = run("simulate-visits", "gas_range", "--jobs", "2", "--policies", policies)
    assert result.code == Exit.USAGE
    assert "policy" in one_line(result)
