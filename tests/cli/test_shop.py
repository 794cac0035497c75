"""A shop's own numbers on the command line, from the environment, and in the service."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
import requests

from cli.test_serve import service
from probewright.cli.common import Exit
from probewright_schemas.family import FamilySchema
from probewright_schemas.packs import FamilyListSchema, PackListSchema

DEMO = str(Path(__file__).parents[2] / "demo" / "shop.toml")


@pytest.fixture
def shop(tmp_path):
    def write(text, name="quay.toml"):
        path = tmp_path / name
        path.write_text(f"[families.gas_range]\n{text}\n", encoding="utf-8")
        return str(path)

    return write


def chance_of_weak(run, weak, *arguments) -> float:
    """The probability of a weak igniter in an answer."""
    found = json.loads(run("diagnose", "--json", weak, *arguments).out)["faults"]
    return next(f["probability"] for f in found if f["fault"] == "bake_igniter_weak")


def test_answers_rest_on_the_shops_numbers_and_the_last_file_counts(run, weak, shop, monkeypatch):
    weak["readings"] = []
    seldom, often = shop("fault_rates.bake_igniter_weak = 0.002", "a.toml"), shop("fault_rates.bake_igniter_weak = 0.2")
    low, plain, high = (chance_of_weak(run, weak, *given) for given in (("--shop", seldom), (), ("--shop", often)))
    assert low < 0.1 < plain < 0.6 < high
    assert chance_of_weak(run, weak, "--shop", often, "--shop", seldom) == low
    monkeypatch.setenv("PROBEWRIGHT_SHOP_FILES", seldom)
    assert chance_of_weak(run, weak) == low
    assert chance_of_weak(run, weak, "--shop", often) == high
    monkeypatch.setenv("PROBEWRIGHT_SHOP_FILES", os.pathsep.join((seldom, often)))
    assert run("diagnose", weak).code == Exit.OK


def test_listings_show_what_lies_over_what(run):
    laid, plain = run("families", "--shop", DEMO).out.splitlines(), run("families").out.splitlines()
    assert laid[-1] == "gas_range       Gas range, version 1.0.0, under north_street"
    assert [*laid[:-1], laid[-1].removesuffix(", under north_street")] == plain
    told = run("packs", "--shop", DEMO)
    assert (told.code, told.out.splitlines()[-1]) == (Exit.OK, "laid     north_street over gas_range, from a shop file")
    document = json.loads(run("packs", "--json", "--shop", DEMO).out)
    PackListSchema().load(document)
    assert document["layers"] == [{"layer": "north_street", "from": "shop_file", "families": ["gas_range"]}]
    families = json.loads(run("families", "--json", "--shop", DEMO).out)
    FamilyListSchema().load(families)
    by_id = {family["id"]: family["layers"] for family in families["families"]}
    assert by_id.pop("gas_range") == [{"layer": "north_street", "from": "shop_file"}]
    assert not any(by_id.values())


WORK = {
    "diagnose": ["CASE"], "check": ["CASE"], "visit-plan": ["VISIT"], "families": [], "packs": [],
    "simulate-visits": ["gas_range", "--jobs", "1", "--policies", "likeliest"], "warm-up": [], "serve": ["--port", "0"],
}  # fmt: skip


@pytest.mark.parametrize("command", WORK)
def test_a_broken_file_stops_every_command_with_one_clear_line(run, weak, one_line, shop, command):
    path = shop("fault_rates.bake_ignitor_weak = 0.1\nvan = ['oven_senser']")
    case = {"CASE": weak, "VISIT": {"family": "gas_range", "complaints": ["bake_does_not_light"]}}
    result = run(command, *(case.get(a, a) for a in WORK[command]), "--shop", path)
    assert result.code == Exit.USAGE
    assert one_line(result) == (
        f"probewright: shop file {path}: 2 mistakes: families.gas_range.fault_rates: fault 'bake_ignitor_weak' does "
        "not exist; did you mean 'bake_igniter_weak'?; families.gas_range.van: part 'oven_senser' does not exist; "
        "did you mean 'oven_sensor'?"
    )


def test_a_file_that_is_not_there(run, one_line, tmp_path):
    result = run("families", "--shop", str(tmp_path / "absent.toml"))
    assert result.code == Exit.USAGE
    assert one_line(result).endswith("absent.toml: cannot be read: No such file or directory")


def test_parts_that_are_not_on_the_van_take_a_second_visit(run, weak, shop):
    result = run("diagnose", weak, "--shop", shop("van = ['oven_sensor']"))
    assert "The part is not at hand (bake igniter)" in " ".join(result.out.split())
    assert "parts at hand are not given: those on the van count (oven_sensor)" in " ".join(result.out.split())
    assert "not at hand" not in run("diagnose", weak, "--shop", shop("van = ['bake_igniter']")).out


def test_a_plan_tells_what_is_on_the_van(run, shop):
    call = {"family": "gas_range", "complaints": ["bake_does_not_light"], "most_parts": 0}
    told = run("visit-plan", call, "--shop", shop("van = ['bake_igniter']")).out
    assert told.index("CARRY\n  - no part") < told.index("ON THE VAN ANYWAY\n  - Bake igniter [bake_igniter]")


def test_workers_answer_by_the_shops_numbers(weak):
    with service("--workers", "2", "--shop", DEMO) as (_, url):
        family = requests.get(f"{url}/v1/families/gas_range", timeout=30).json()
        FamilySchema().load(family)
        for _ in range(4):  # whichever worker answers
            answer = requests.post(f"{url}/v1/diagnoses", json=weak, timeout=30).json()
            assert answer["pack"]["digest"] == family["digest"]
            assert "Wear the shop's arc-rated gloves at any open terminal." in answer["cautions"]
            assert answer["readings"][0]["expected"]["low"] < 3.15  # 3.1 A at the nominal supply
        assert DEMO not in requests.get(f"{url}/v1/packs", timeout=30).text


def test_the_service_does_not_start_on_a_broken_file(shop):
    command = [sys.executable, "-m", "probewright.cli", "serve", "--port", "0", "--shop", shop("nothing = 1")]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("probewright: shop file ")
    assert done.stderr.endswith("quay.toml: families.gas_range.nothing = 1: unknown field\n")
