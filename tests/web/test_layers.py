"""Over HTTP: which layer each number came from, and what was laid over what."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest

from probewright.figures import shop
from probewright.packs import Overlay, ShopMinutes, hookimpl
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.web import create_app

DEMO = Path(__file__).parents[2] / "demo" / "shop.toml"
MINUTES = Overlay("quick_hands", "gas_range", minutes=ShopMinutes(tests={"outlet_voltage": shop(1.0)}),
                  fault_rates={"bake_igniter_weak": shop(0.05), "pilot_out": shop(0.06)})  # fmt: skip


@pytest.fixture(scope="module")
def laid():
    pack = SimpleNamespace(CONTRACT="1.1", probewright_overlays=hookimpl(lambda: [MINUTES]))
    return load_packs(extra=[("z_hands", pack)], shop_files=[DEMO])


@pytest.fixture(scope="module")
def client(laid):
    return create_app(laid, Settings()).test_client()


def by_id(records):
    return {record["id"]: record for record in records}


def test_a_family_shows_which_layer_each_number_came_from(client, valid):
    family = valid(client.get("/v1/families/gas_range"), "/v1/families/{family}", "get")
    faults, tests = by_id(family["faults"]), by_id(family["tests"])
    assert faults["bake_igniter_weak"]["rate"] == {"value": 0.06, "basis": "shop", "layer": "north_street"}
    assert faults["bake_igniter_open"]["rate"] == {
        "value": 0.031, "basis": "shop", "layer": "north_street", "source": "invented: 14 of 452 closed jobs",
    }  # fmt: skip
    assert faults["pilot_out"]["rate"]["layer"] == "quick_hands"
    assert "layer" not in faults["gas_leak"]["rate"]
    assert tests["outlet_voltage"]["minutes"] == {"value": 1.0, "basis": "shop", "layer": "quick_hands"}
    low = tests["bake_igniter_current"]["limits"][0]["low"]
    assert (low["value"], low["layer"]) == (3.1, "north_street")
    assert family["supply"]["unmeasured"]["first"]["layer"] == "north_street"
    assert family["van"] == ["bake_igniter", "broil_igniter", "oven_sensor", "spark_electrode"]
    assert faults["nest_in_flue"]["rate"]["layer"] == "north_street"
    assert family["layers"] == [
        {"layer": "quick_hands", "from": "overlay_pack", "entry_point": "z_hands", "distribution": "(given)",
         "version": "(given)"},
        {"layer": "north_street", "from": "shop_file"},
    ]  # fmt: skip


def test_packs_and_families_list_the_layers(client, laid, valid):
    packs = valid(client.get("/v1/packs"), "/v1/packs", "get")
    assert [(layer["layer"], layer["from"], layer["families"]) for layer in packs["layers"]] == [
        ("quick_hands", "overlay_pack", ["gas_range"]), ("north_street", "shop_file", ["gas_range"]),
    ]  # fmt: skip
    (family,) = [f for f in valid(client.get("/v1/families"), "/v1/families", "get")["families"] if f["layers"]]
    assert [layer["layer"] for layer in family["layers"]] == ["quick_hands", "north_street"]
    assert family["digest"] == laid.get("gas_range").digest
    assert family["digest"] != load_packs().get("gas_range").digest


def test_no_path_of_a_file_is_told(client):
    for path in ("/v1/packs", "/v1/families", "/v1/families/gas_range"):
        assert str(DEMO.parent) not in client.get(path).get_data(as_text=True)
        assert ".toml" not in client.get(path).get_data(as_text=True)


def test_without_layers_nothing_is_shown(thin, valid):
    assert valid(thin.get("/v1/packs"), "/v1/packs", "get")["layers"] == []
    text = thin.get("/v1/families/gas_range").get_data(as_text=True)
    assert '"layers":[]' in text
    assert '"layer":' not in text


def test_an_answer_is_by_the_laid_family(client, laid, valid):
    case = {"family": "gas_range", "complaints": ["soot_or_yellow_flame"], "effort": "none",
            "readings": [{"test": "flue_view", "seen": "nest"}]}  # fmt: skip
    answer = valid(client.post("/v1/diagnoses", json=case), "/v1/diagnoses")
    assert answer["faults"][0]["fault"] == "nest_in_flue"
    assert answer["readings"][0]["expected"]["basis"] == "shop"
    assert answer["pack"]["digest"] == laid.get("gas_range").digest


def test_what_the_shop_does_not_have_is_still_refused(client, valid):
    case = {"family": "gas_range", "readings": [{"test": "flue_vue", "seen": "nest"}]}
    response = client.post("/v1/diagnoses", json=case)
    assert response.status_code == 422
    assert "did you mean 'flue_view'?" in valid(response, "/v1/diagnoses")["errors"][0]["message"]
