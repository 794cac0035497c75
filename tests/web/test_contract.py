from __future__ import annotations

import json
import re
from pathlib import Path

import jsonschema
import pytest
from openapi_spec_validator import validate

from probewright.packs.describe import describe
from probewright.web.contract import DEFAULT_PATH, contract, main, text
from probewright.web.example import EXAMPLE_CASE, EXAMPLE_VISIT
from probewright.web.routes import ROUTES
from probewright_schemas.load import case_loader, visit_loader

ROOT = Path(__file__).parents[2]


def operations(published):
    return [operation for path in published["paths"].values() for operation in path.values()]


def properties(published):
    for name, schema in published["components"]["schemas"].items():
        for field, described in schema["properties"].items():
            yield f"{name}.{field}", described


def example(published, where):
    schema, field = where.split(".")
    return published["components"]["schemas"][schema]["properties"][field]["examples"][0]


def words(document):
    """Everything in a document that is written as an id: values and names of members."""
    if isinstance(document, dict):
        for key, inner in document.items():
            yield from words(key)
            yield from words(inner)
    elif isinstance(document, list):
        for inner in document:
            yield from words(inner)
    elif isinstance(document, str) and re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", document):
        yield document


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
        "diagnose", "diagnose_batch", "re_evaluate", "check_readings", "score_readings", "plan_visit", "list_families",
        "get_family", "list_packs", "get_problem_kind", "get_contract", "check_live", "check_ready",
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
        assert described["examples"], where
        if "$ref" not in described:
            assert described["type"] in {"string", "number", "boolean", "array", "object"}, where
        if described.get("type") == "number":
            assert described["x-unit"], where


def test_every_example_fits_its_own_schema(published):
    for where, described in properties(published):
        root = {**described, "components": published["components"]}
        validator = jsonschema.Draft202012Validator(root)
        for example in described.get("examples", ()):
            assert not list(validator.iter_errors(example)), where


#: Ids that no pack gives: a hypothesis, where a condition is from, codes, and names that others choose.
OUR_WORDS = {"unknown", "case", "condition_missing", "missing", "invalid_case", "dmm", "probewright", "gas_rnage",
             "north_street"}


def test_every_id_in_an_example_is_the_gas_ranges(published, registry):
    pack = describe(registry.get("gas_range"))
    known = OUR_WORDS | set(words(json.loads(json.dumps(pack))))
    for schema in published["components"]["schemas"].values():
        known |= set(schema["properties"])
        known |= {word for field in schema["properties"].values() for word in field.get("enum", ())}
    for where, described in properties(published):
        assert set(words(described["examples"])) <= known, where
    assert set(words(EXAMPLE_CASE)) | set(words(EXAMPLE_VISIT)) <= known


IDS = {
    "tests": ["Reading.test", "CheckedReading.test", "ScoredReading.test", "Step.id", "Test.id", "ClosingCheck.test",
              "Closing.test", "Evidence.from", "Clash.sources", "Case.tech_sheet", "Hazard.seen", "Hazard.cleared_by",
              "Hazard.above", "SeenReading.test", "WorkItem.id", "Answer.seen"],
    "faults": ["RankedFault.fault", "FaultChance.fault", "Fault.id", "Fault.excludes", "Function.fails_with",
               "Complaint.shown_by", "Repair.cures", "Circuit.changes", "TestModel.spread_by_fault",
               "TestModel.chances_by_fault"],
    "parts": ["RankedFault.part", "PartChance.part", "PlannedPart.part", "Fault.part", "Repair.part", "Part.id",
              "CaseCosts.parts", "Family.van"],
    "repairs": ["RepairDone.repair", "Repair.id"],
    "states": ["Reading.state", "Step.state", "State.id", "Requirement.state", "Repair.state", "Test.states"],
    "zones": ["Step.zone", "Zone.id", "Test.zone", "Repair.zones"],
    "options": ["Case.options", "Configuration.options", "Option.id", "Option.when", "Test.when"],
    "complaints": ["Case.complaints", "Complaint.id", "Hazard.complaints"],
    "functions": ["Case.working", "Function.id", "Complaint.function"],
    "circuits": ["Circuit.id", "Requirement.circuit", "TestModel.circuit"],
    "hazards": ["Hazard.id", "Answer.stop"],
    "questions": ["CustomerQuestion.id", "Question.id", "VisitRequest.asked"],
    "closing_checks": ["ClosingCheck.id", "Closing.id", "Repair.closing_checks"],
}  # fmt: skip


@pytest.mark.parametrize("kind", IDS)
def test_ids_in_examples_are_of_their_kind(published, registry, kind):
    known = {record["id"] for record in describe(registry.get("gas_range"))[kind]}
    for where in IDS[kind]:
        shown = example(published, where)
        assert {shown} if isinstance(shown, str) else set(shown), where
        assert ({shown} if isinstance(shown, str) else set(shown)) <= known, where


def test_options_in_examples_have_the_values_shown(published, registry):
    values = {o["id"]: {v["id"] for v in o["values"]} for o in describe(registry.get("gas_range"))["options"]}
    for where, described in properties(published):
        if where.endswith((".options", ".when")) and "Family" not in where:
            for option, value in described["examples"][0].items():
                assert set(value if isinstance(value, list) else [value]) <= values[option], where


def test_the_finding_in_the_example_is_one_that_the_service_gives(client, published):
    """A sensor's resistance without its temperature."""
    case = {"family": "gas_range", "readings": [{"test": "oven_sensor_resistance", "value": 1150, "unit": "ohm"}]}
    (reading,) = client.post("/v1/readings/check", json=case).get_json()["readings"]
    assert example(published, "Finding.code") in [finding["code"] for finding in reading["findings"]]


def test_every_schema_is_described(published):
    for name, schema in published["components"]["schemas"].items():
        assert schema["description"].endswith((".", "`.")), name


def test_requests_are_closed_and_answers_may_grow(published):
    closed = {name for name, schema in published["components"]["schemas"].items() if "additionalProperties" in schema}
    assert closed == {
        "Case", "CaseCosts", "Changes", "Conditions", "Correction", "Limits", "Meter", "MeterCorrection", "Quantity",
        "Reading", "RepairDone", "ReplacedLimits", "SeenReading", "Visit", "VisitRequest",
    }  # fmt: skip
    assert all(published["components"]["schemas"][name]["additionalProperties"] is False for name in closed)


def test_the_example_case_is_one(published):
    body = published["paths"]["/v1/diagnoses"]["post"]["requestBody"]["content"]["application/json"]
    assert body["example"] == EXAMPLE_CASE
    root = {**body["schema"], "components": published["components"]}
    jsonschema.Draft202012Validator(root).validate(EXAMPLE_CASE)
    assert case_loader()(EXAMPLE_CASE).reference == "job-1042"


def test_the_example_visit_is_one(published, client, valid):
    body = published["paths"]["/v1/visit-plans"]["post"]["requestBody"]["content"]["application/json"]
    assert body["example"] == EXAMPLE_VISIT
    root = {**body["schema"], "components": published["components"]}
    jsonschema.Draft202012Validator(root).validate(EXAMPLE_VISIT)
    assert visit_loader()(EXAMPLE_VISIT).most_parts == EXAMPLE_VISIT["most_parts"]
    planned = valid(client.post("/v1/visit-plans", json=EXAMPLE_VISIT), "/v1/visit-plans")
    assert planned["reference"] == "job-1042"


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
