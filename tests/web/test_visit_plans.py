"""``POST /v1/visit-plans`` from outside; every answer is held against the published contract."""

from __future__ import annotations

from typing import Any

import pytest

PATH = "/v1/visit-plans"
CALL = {"family": "gas_range", "reference": "job", "complaints": ["clicks_without_stopping"], "most_parts": 2}


def test_a_visit_is_planned(client, valid) -> None:
    planned = valid(client.post(PATH, json=CALL), PATH)
    assert planned["reference"] == "job"
    assert "stop" not in planned
    assert sum(part["carry"] for part in planned["parts"]) <= 2
    case = {"family": "gas_range", "complaints": CALL["complaints"], "visit": {
        "parts_on_hand": [part["part"] for part in planned["parts"] if part["carry"]]}}  # fmt: skip
    advised = client.post("/v1/diagnoses", json=case).get_json()
    first = planned["order"][0]["work"][0]
    assert (first["kind"], first["id"]) == (advised["next"]["kind"], advised["next"]["id"])
    assert planned["expected_cost"] == advised["outlook"]["expected_cost"]


def test_the_same_request_gets_the_same_bytes(client) -> None:
    assert client.post(PATH, json=CALL).data == client.post(PATH, json=CALL).data


def test_a_smell_of_gas_stops(client, valid) -> None:
    planned = valid(client.post(PATH, json=CALL | {"complaints": ["gas_smell"]}), PATH)
    assert planned["stop"]["kind"] == "stop"
    assert (planned["parts"], planned["order"], planned["questions"]) == ([], [], [])


def test_an_answer_goes_back_into_the_request(client, valid) -> None:
    """As dispatch software does it: what the answer adds is merged into the request, and the plan asked for anew."""
    planned = valid(client.post(PATH, json=CALL), PATH)
    question = next(q for q in planned["questions"] if "value" in q)
    answer = max((a for a in question["answers"] if a["adds"]), key=lambda a: a["probability"])
    request: dict[str, Any] = dict(CALL)
    for name, more in answer["adds"].items():
        given = request.get(name, {} if isinstance(more, dict) else [])
        request[name] = {**given, **more} if isinstance(more, dict) else [*given, *more]
    again = valid(client.post(PATH, json=request), PATH)
    assert question["id"] not in [q["id"] for q in again["questions"]]


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        ({"readings": [{"test": "bake_igniter_current", "value": 2.6, "unit": "A"}]}, "/readings/0/value",
         "unknown_field"),
        ({"readings": [{"test": "ignition_switch_at_off", "seen": "open"}]}, "/readings/0/test", "not_seen"),
        ({"meters": {}}, "/meters", "unknown_field"),
        ({"most_parts": 1.5}, "/most_parts", "whole"),
        ({"asked": ["gas_smel_now"]}, "/asked/0", "unknown_question"),
        ({"family": "gas_rnge"}, "/family", "unknown_family"),
    ],
)  # fmt: skip
def test_refusals_point_to_the_place(client, valid, change, pointer, code) -> None:
    response = client.post(PATH, json=CALL | change)
    assert response.status_code == 422
    problem = valid(response, PATH)
    assert (pointer, code) in [(error["pointer"], error["code"]) for error in problem["errors"]]
