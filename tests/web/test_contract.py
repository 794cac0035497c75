from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from openapi_spec_validator import validate

from probewright.web.contract import DEFAULT_PATH, contract, main, text
from probewright.web.example import EXAMPLE_CASE
from probewright.web.routes import ROUTES
from probewright_schemas.load import case_loader

ROOT = Path(__file__).parents[2]


def operations(published):
    return [operation for path in published["paths"].values() for operation in path.values()]


def properties(published):
    for name, schema in published["components"]["schemas"].items():
        for field, described in schema["properties"].items():
            yield f"{name}.{field}", described


def resolved(published, described):
    if "$ref" in described:
        return published["components"]["schemas"][described["$ref"].rpartition("/")[2]]
    return described


def test_it_is_openapi_3_1(published):
    assert published["openapi"] == "3.1.0"
    validate(published)


def test_the_published_file_is_what_the_code_says():
    assert (ROOT / DEFAULT_PATH).read_text(encoding="utf-8") == text(), "run: make contract"


def test_it_is_the_same_every_time():
    assert text() == text()
    assert json.loads(text()) == contract()


def test_operation_ids_read_well(published):
    assert [o["operationId"] for o in operations(published)] == [
        "diagnose", "check_readings", "score_readings", "list_families", "get_family", "list_packs",
        "get_problem_kind", "get_contract", "check_live", "check_ready",
    ]  # fmt: skip


def test_every_served_route_is_published_and_the_other_way_round(client, published):
    served = {
        (rule.rule.replace("<", "{").replace(">", "}"), method.lower())
        for rule in client.application.url_map.iter_rules()
        for method in rule.methods - {"HEAD", "OPTIONS"}
    }
    assert served == {(path, method) for path, item in published["paths"].items() for method in item}
    assert len(served) == len(ROUTES)


def test_every_operation_says_what_it_does_and_how_it_fails(published):
    for operation in operations(published):
        assert operation["summary"]
        assert operation["description"]
        assert {"200", "500", "default"} <= set(operation["responses"])
        if "requestBody" in operation:
            assert {"400", "413", "415", "422"} <= set(operation["responses"])


def test_every_field_is_described_with_an_example_and_its_unit(published):
    for where, described in properties(published):
        assert described.get("description"), where
        target = resolved(published, described)
        if target is described:
            assert described["examples"], where
            assert described["type"] in {"string", "number", "boolean", "array", "object"}, where
        if described.get("type") == "number":
            assert described["x-unit"], where


def test_every_example_fits_its_own_schema(published):
    for where, described in properties(published):
        root = {**described, "components": published["components"]}
        validator = jsonschema.Draft202012Validator(root)
        for example in described.get("examples", ()):
            assert not list(validator.iter_errors(example)), where


def test_every_schema_is_described(published):
    for name, schema in published["components"]["schemas"].items():
        assert schema["description"].endswith((".", "`.")), name


def test_requests_are_closed_and_answers_may_grow(published):
    closed = {name for name, schema in published["components"]["schemas"].items() if "additionalProperties" in schema}
    assert closed == {
        "Case", "CaseCosts", "Conditions", "Limits", "Meter", "Quantity", "Reading", "RepairDone",
    }  # fmt: skip
    assert all(published["components"]["schemas"][name]["additionalProperties"] is False for name in closed)


def test_the_example_case_is_one(published):
    body = published["paths"]["/v1/diagnoses"]["post"]["requestBody"]["content"]["application/json"]
    assert body["example"] == EXAMPLE_CASE
    root = {**body["schema"], "components": published["components"]}
    jsonschema.Draft202012Validator(root).validate(EXAMPLE_CASE)
    assert case_loader()(EXAMPLE_CASE).reference == "job-1042"


@pytest.mark.parametrize(
    "case",
    [
        {}, {"family": 3}, {"family": "x", "more": 1}, {"family": "x", "readings": [{"test": "t", "value": "3"}]},
        {"family": "x", "readings": [{"test": "t", "more": 1}]}, {"family": "x", "complaints": ["a", "a"]},
        {"family": "x", "effort": "some"}, {"family": "x", "costs": {"callback": -1}},
        {"family": "x", "meters": {str(i): {"kind": "m"} for i in range(21)}}, {"family": "a\nb"}, {"family": ""},
    ],
)  # fmt: skip
def test_what_the_service_refuses_the_contract_refuses(published, case):
    root = {"$ref": "#/components/schemas/Case", "components": published["components"]}
    assert list(jsonschema.Draft202012Validator(root).iter_errors(case))


def test_the_command_writes_and_checks(tmp_path, capsys):
    path = tmp_path / "deep" / "contract.json"
    assert main(["--check", str(path)]) == 1
    assert "is not what the code says" in capsys.readouterr().err
    assert main([str(path)]) == 0
    assert path.read_text(encoding="utf-8") == text()
    assert main(["--check", str(path)]) == 0
    path.write_text(text().replace("3.1.0", "3.1.1"), encoding="utf-8")
    assert main(["--check", str(path)]) == 1
