from __future__ import annotations

import json
import re

import pytest

from probewright.packs.describe import describe
from probewright.packs.registry import Refusal, Registry
from probewright.settings import Settings
from probewright.web import create_app
from probewright.web.contract import contract
from probewright.web.example import EXAMPLE_CASE
from probewright.web.problems import KINDS

CASE = {"family": "gas_range", "reference": "job"}


@pytest.mark.parametrize(
    ("path", "asked"),
    [
        ("/v1/diagnoses", "diagnose"),
        ("/v1/readings/check", "check_readings"),
        ("/v1/readings/score", "score_readings"),
        ("/v1/visit-plans", "plan_visit"),
    ],
)
def test_each_path_asks_its_function(thin, double, registry, valid, path, asked):
    response = thin.post(path, json=CASE)
    assert valid(response, path)["reference"] == "job"
    (call,) = double.asked
    assert (call.what, call.case.reference, call.settings.max_body_bytes) == (asked, "job", 2000)
    assert call.pack is registry.get("gas_range")


def test_families_are_listed(thin, registry, valid):
    pack = registry.get("gas_range")
    listed = valid(thin.get("/v1/families"), "/v1/families", "get")["families"]
    assert {"id": "gas_range", "title": pack.family.title, "version": pack.family.version, "digest": pack.digest,
            "demo": False, "layers": []} in listed  # fmt: skip


def test_a_family_is_described(thin, registry, valid):
    response = thin.get("/v1/families/gas_range")
    document = valid(response, "/v1/families/{family}", "get")
    assert document == json.loads(json.dumps(describe(registry.get("gas_range"))))
    assert thin.get("/v1/families/gas_range").data == response.data


def test_packs_are_listed_with_the_reasons_of_refusal(registry, double, valid):
    refused = Registry(registry.packs, (Refusal("kettle", "kettles", "2.0", "incompatible"),))
    app = create_app(refused, Settings(), double.engine())
    document = valid(app.test_client().get("/v1/packs"), "/v1/packs", "get")
    pack = registry.get("gas_range")
    loaded = next(p for p in document["loaded"] if p["family"] == "gas_range")
    assert loaded == {
        "family": "gas_range", "family_version": pack.family.version, "digest": pack.digest,
        "entry_point": "gas_range", "distribution": "probewright", "version": pack.version,
    }  # fmt: skip
    assert document["refused"] == [
        {"entry_point": "kettle", "distribution": "kettles", "version": "2.0", "reason": "incompatible"}
    ]


def test_health(thin, registry, double, valid):
    assert valid(thin.get("/health/live"), "/health/live", "get") == {"status": "live"}
    ready = valid(thin.get("/health/ready"), "/health/ready", "get")
    assert ready == {"status": "ready", "families": list(registry.packs)}
    engine = double.engine()
    empty = create_app(Registry({}), Settings(), engine).test_client()
    response = empty.get("/health/ready")
    assert response.status_code == KINDS["not_ready"].status == 503
    valid(response, "/health/ready", "get")
    assert empty.get("/health/live").status_code == 200


def test_the_contract_is_served(thin):
    assert thin.get("/openapi.json").get_json() == json.loads(json.dumps(contract()))


def test_every_reply_carries_the_headers(thin):
    for response in (thin.get("/v1/families"), thin.post("/v1/diagnoses", json=CASE), thin.get("/nowhere")):
        assert response.headers["X-Content-Type-Options"] == "nosniff"
        assert response.headers["Cache-Control"] == "no-store"
        assert response.headers["Content-Security-Policy"] == "default-src 'none'; frame-ancestors 'none'"
        assert "Set-Cookie" not in response.headers


# The whole service


@pytest.mark.parametrize("effort", ["none", "quick"])
def test_a_case_is_diagnosed(client, valid, effort):
    response = client.post("/v1/diagnoses", json={**EXAMPLE_CASE, "effort": effort})
    answer = valid(response, "/v1/diagnoses")
    assert answer["reference"] == EXAMPLE_CASE["reference"]
    assert answer["faults"][0]["fault"] == "bake_igniter_weak"
    assert [r["test"] for r in answer["readings"]] == [r["test"] for r in EXAMPLE_CASE["readings"]]
    assert ("next" in answer) == (effort == "quick")


def test_readings_are_checked_and_scored(client, valid):
    checked = valid(client.post("/v1/readings/check", json=EXAMPLE_CASE), "/v1/readings/check")
    assert [r["verdict"] for r in checked["readings"]] == ["outside", "outside"]
    scored = valid(client.post("/v1/readings/score", json=EXAMPLE_CASE), "/v1/readings/score")
    assert (scored["hypotheses"][0], scored["hypotheses"][-1]) == ("no_fault", "unknown")
    place = scored["hypotheses"].index("bake_igniter_weak")
    current = next(r for r in scored["readings"] if r["test"] == "bake_igniter_current")
    assert len(current["log_likelihoods"]) == len(scored["hypotheses"])
    assert current["log_likelihoods"][place] > current["log_likelihoods"][0]


def test_the_same_case_gives_the_same_bytes(client):
    first, second = (client.post("/v1/diagnoses", json=EXAMPLE_CASE).data for _ in range(2))
    assert first == second


@pytest.mark.parametrize(
    ("change", "pointer", "said"),
    [
        ({"options": {"feul": "propane"}}, "/options/feul", "fuel"),
        ({"options": {"fuel": "propan"}}, "/options/fuel", "propane"),
        ({"complaints": ["bake_does_not_lite"]}, "/complaints/0", "bake_does_not_light"),
        ({"working": ["display_onn"]}, "/working/0", "display_on"),
        ({"readings": [{"test": "outlet_volts", "value": 120, "unit": "V"}]}, "/readings/0/test", "outlet_voltage"),
        ({"readings": [{"test": "outlet_voltage", "value": 120, "unit": "vlt"}]}, "/readings/0/unit", "V"),
        ({"readings": [{"test": "outlet_voltage", "value": 120, "unit": "A"}]}, "/readings/0/unit", "V"),
        ({"readings": [{"test": "bake_igniter_glow", "seen": "wite"}]}, "/readings/0/seen", "white"),
        ({"readings": [{"test": "outlet_voltage", "value": 1, "unit": "V", "state": "liv"}]}, "/readings/0/state",
         "live"),
        ({"repairs_done": [{"repair": "replace_bake_ignitr", "complaint_remains": True}]}, "/repairs_done/0/repair",
         "replace_bake_igniter"),
        ({"tech_sheet": {"bake_current": {"low": 1, "unit": "A"}}}, "/tech_sheet/bake_current", ""),
        ({"conditions": {"ambient": {"value": 20, "unit": "V"}}}, "/conditions/ambient", "degC"),
    ],
    ids=lambda value: value if isinstance(value, str) and value.startswith("/") else "",
)  # fmt: skip
def test_what_the_family_does_not_know_is_named_with_its_place(client, valid, change, pointer, said):
    response = client.post("/v1/diagnoses", json={"family": "gas_range", **change})
    document = valid(response, "/v1/diagnoses")
    assert response.status_code == 422
    assert len(document["errors"]) == 1
    assert document["errors"][0]["pointer"].startswith(pointer)
    assert said in document["errors"][0]["message"]


def test_path_parameters_are_not_markup(client):
    response = client.get("/v1/families/<script>")
    assert response.mimetype == "application/problem+json"
    assert re.search(r"no pack for family", response.get_json()["detail"])
