from __future__ import annotations

import json
import logging
import re
from dataclasses import replace

import pytest
from werkzeug.exceptions import BadGateway, Conflict
from werkzeug.test import create_environ, run_wsgi_app

from probewright.errors import (
    EngineError,
    Fault,
    InvalidCase,
    PackError,
    PackModelError,
    ProbewrightError,
    RequestError,
)
from probewright.packs.hookspecs import hookimpl
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.web import create_app
from probewright.web.handlers import Engine
from probewright.web.problems import KINDS, TYPE_PREFIX, on_http_error
from probewright_schemas.problem import ProblemSchema
from probewright_schemas.records import Diagnosis
from support.families import warmer

CASE = {"family": "gas_range"}
CASE_PATHS = ["/v1/diagnoses", "/v1/readings/check", "/v1/readings/score"]


def problem(response, code):
    """The problem of a response, after checking all that is the same in every one."""
    document = response.get_json()
    kind = KINDS[code]
    ProblemSchema().load(document)
    assert response.content_type == "application/problem+json"
    assert (response.status_code, document["status"], document["code"]) == (kind.status, kind.status, code)
    assert (document["title"], document["type"]) == (kind.title, TYPE_PREFIX + code)
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert response.headers["Cache-Control"] == "no-store"
    return document


@pytest.mark.parametrize("path", CASE_PATHS)
@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"", "line 1, column 1: "),
        (b"{", "line 1, column 2: "),
        (b'{"family":\n "x",}', "line 2, column 5: "),
        (b'{"family": NaN}', "line 1, column 12: "),
        (b'{"family": 1e999}', "infinity"),
        (b"\xff", "line 1, column 1: "),
        (b"[" * 1500, "nests deeper than 1000 levels"),
        (b"[" * 2000, "nests deeper than 1000 levels"),
    ],
)
def test_what_is_not_json_is_refused_with_its_place(thin, valid, path, body, said):
    response = thin.post(path, data=body, content_type="application/json")
    assert said in problem(response, "malformed_json")["detail"]
    valid(response, path)


@pytest.mark.parametrize("path", CASE_PATHS)
def test_an_invalid_case_names_every_place(thin, double, valid, path):
    case = {"family": "gas_range", "redings": [], "readings": [{"test": "x", "value": "3"}]}
    response = thin.post(path, json=case)
    document = problem(response, "invalid_case")
    assert [(e["pointer"], e["code"]) for e in document["errors"]] == [
        ("/readings/0/unit", "missing"), ("/readings/0/value", "type"), ("/redings", "unknown_field"),
    ]  # fmt: skip
    assert document["detail"].startswith("3 faults: /readings/0/unit: is required")
    assert double.asked == []
    valid(response, path)


def test_an_unknown_family_in_a_case_is_a_fault_of_the_case(thin):
    document = problem(thin.post("/v1/diagnoses", json={"family": "gas_rnge"}), "invalid_case")
    assert document["errors"] == [{
        "pointer": "/family", "code": "unknown_family",
        "message": "no loaded pack has this family; did you mean 'gas_range'?",
    }]  # fmt: skip
    document = problem(thin.post("/v1/diagnoses", json={"family": "toaster"}), "invalid_case")
    assert document["errors"][0]["message"].endswith("; loaded: clothes_dryer, electric_range, gas_range")


def test_an_unknown_family_in_a_path_is_not_found(thin, valid):
    response = thin.get("/v1/families/gas_rnge")
    detail = problem(response, "unknown_family")["detail"]
    assert "no pack for family 'gas_rnge'; loaded: clothes_dryer, electric_range, gas_range" in detail
    valid(response, "/v1/families/{family}", "get")


@pytest.mark.parametrize("path", ["/", "/v1", "/v1/diagnoses/", "/v2/diagnoses", "/v1/families/", "/static/x"])
def test_unknown_paths_are_not_found(thin, path):
    problem(thin.get(path), "not_found")


def test_double_slashes_are_not_redirected(thin):
    problem(thin.get("/v1//families"), "not_found")


@pytest.mark.parametrize(
    ("method", "path", "allow"),
    [
        ("GET", "/v1/diagnoses", {"POST", "OPTIONS"}),
        ("DELETE", "/v1/readings/check", {"POST", "OPTIONS"}),
        ("PUT", "/v1/families", {"GET", "HEAD", "OPTIONS"}),
        ("POST", "/v1/packs", {"GET", "HEAD", "OPTIONS"}),
        ("PATCH", "/health/live", {"GET", "HEAD", "OPTIONS"}),
    ],
)
def test_wrong_methods_name_the_right_ones(thin, method, path, allow):
    response = thin.open(path, method=method)
    problem(response, "method_not_allowed")
    assert set(re.split(r",\s*", response.headers["Allow"])) == allow


def test_options_and_head_are_answered(thin):
    response = thin.options("/v1/diagnoses")
    assert response.status_code == 200
    assert set(response.allow) == {"POST", "OPTIONS"}
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    response = thin.head("/v1/families")
    assert (response.status_code, response.data) == (200, b"")
    assert response.content_length == thin.get("/v1/families").content_length


@pytest.mark.parametrize("path", CASE_PATHS)
@pytest.mark.parametrize("content_type", ["text/plain", "application/x-www-form-urlencoded", "text/json", "", None])
def test_other_types_of_body_are_refused(thin, valid, path, content_type):
    response = thin.post(path, data=json.dumps(CASE), content_type=content_type)
    assert "send application/json" in problem(response, "unsupported_media_type")["detail"]
    valid(response, path)


def test_a_compressed_body_is_refused(thin):
    response = thin.post("/v1/diagnoses", json=CASE, headers={"Content-Encoding": "gzip"})
    assert "compressed" in problem(response, "unsupported_media_type")["detail"]


@pytest.mark.parametrize(
    "content_type", ["application/json", "application/json; charset=utf-8", "Application/JSON", "application/case+json"]
)
def test_types_that_are_json_are_taken(thin, content_type):
    response = thin.post("/v1/diagnoses", data=json.dumps(CASE), content_type=content_type)
    assert response.status_code == 200


@pytest.mark.parametrize("path", CASE_PATHS)
def test_a_body_is_bounded_in_size(thin, valid, path):
    """The limit in these tests is 2000 bytes."""
    fits = json.dumps(CASE).ljust(2000)
    assert thin.post(path, data=fits, content_type="application/json").status_code == 200
    response = thin.post(path, data=fits + " ", content_type="application/json")
    assert problem(response, "body_too_large")["detail"] == "The body has more than 2000 bytes."
    valid(response, path)
    assert thin.post(path, data=" " * 100_000, content_type="application/json").status_code == 413


@pytest.mark.parametrize("size", [2001, 2002, 100_000])
def test_a_body_without_a_stated_length_is_bounded_too(thin, size):
    """As it comes chunked: gunicorn says that the input ends by itself."""
    environ = create_environ("/v1/diagnoses", method="POST", content_type="application/json")
    environ.pop("CONTENT_LENGTH", None)
    body, status, _ = run_wsgi_app(
        thin.application, {**environ, "wsgi.input": Endless(size), "wsgi.input_terminated": True}
    )
    assert status.startswith("413 ")
    assert json.loads(b"".join(body))["code"] == "body_too_large"


class Endless:
    """A stream of so many spaces."""

    def __init__(self, size):
        self.left = size

    def read(self, size=-1):
        give = self.left if size < 0 else min(size, self.left)
        self.left -= give
        return b" " * give

    def readinto(self, buffer):
        data = self.read(len(buffer))
        buffer[: len(data)] = data
        return len(data)


def test_a_body_is_bounded_in_depth(thin):
    body = b'{"family": ' + b"[" * 100 + b"]" * 100 + b"}"
    document = problem(thin.post("/v1/diagnoses", data=body, content_type="application/json"), "invalid_case")
    assert document["errors"] == [{"pointer": "", "message": "nests deeper than 16 levels", "code": "too_deep"}]


def test_of_members_of_one_name_the_last_counts(thin, double):
    body = b'{"family": "toaster", "family": "gas_range", "reference": "a", "reference": "b"}'
    assert thin.post("/v1/diagnoses", data=body, content_type="application/json").status_code == 200
    assert double.asked[0].case.reference == "b"


def test_faults_that_the_engine_finds(thin, double, valid):
    double.error = InvalidCase([Fault("/options/fuel", "no such value", "unknown_value"), Fault("/working/0", "no")])
    response = thin.post("/v1/diagnoses", json=CASE)
    document = problem(response, "invalid_case")
    assert document["errors"] == [
        {"pointer": "/options/fuel", "message": "no such value", "code": "unknown_value"},
        {"pointer": "/working/0", "message": "no", "code": "invalid"},
    ]
    assert document["detail"] == "2 faults: /options/fuel: no such value; /working/0: no"
    valid(response, "/v1/diagnoses")


def test_other_request_errors_are_faults_of_the_whole_case(thin, double):
    class OddError(RequestError):
        code = "odd"

    double.error = OddError("this is odd")
    document = problem(thin.post("/v1/diagnoses", json=CASE), "invalid_case")
    assert document["errors"] == [{"pointer": "", "message": "this is odd", "code": "odd"}]


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (ValueError("secret /etc/passwd"), "internal_error"),
        (ZeroDivisionError("secret"), "internal_error"),
        (EngineError("secret"), "internal_error"),
        (ProbewrightError("secret"), "internal_error"),
        (PackError("secret of a pack"), "bad_pack"),
        (PackModelError("secret of a pack"), "bad_pack"),
        (RecursionError("secret"), "internal_error"),
    ],
)
def test_failures_tell_nothing_but_an_id_that_the_log_has(thin, double, valid, caplog, error, code):
    double.error = error
    with caplog.at_level(logging.ERROR):
        response = thin.post("/v1/diagnoses", json=CASE)
    document = problem(response, code)
    assert re.fullmatch(r"urn:uuid:[0-9a-f-]{36}", document["instance"])
    assert document["detail"] == f"{KINDS[code].title}; the log has it as {document['instance']}"
    assert "secret" not in response.text
    assert "Traceback" not in response.text
    (record,) = [r for r in caplog.records if document["instance"] in r.getMessage()]
    assert record.exc_info[1] is error
    valid(response, "/v1/diagnoses")


class Quitter:
    """A pack whose hooks leave the program."""

    CONTRACT = "1.0"

    @hookimpl
    def probewright_family(self):
        return warmer()

    @hookimpl
    def probewright_validate(self, context):
        if context.test.id == "glow":
            raise SystemExit("secret of a pack")
        return ()

    @hookimpl
    def probewright_score(self, context):
        raise SystemExit("secret of a pack")


@pytest.mark.parametrize(
    ("path", "reading"),
    [(path, {"test": "glow", "seen": "bright"}) for path in CASE_PATHS]
    + [(path, {"test": "door", "seen": "shut"}) for path in CASE_PATHS if path != "/v1/readings/check"],
    ids=lambda value: value["test"] if isinstance(value, dict) else value,
)
def test_a_hook_that_leaves_the_program_is_a_failure_of_its_pack(caplog, path, reading):
    client = create_app(load_packs(entry_points=(), extra=[("warmer", Quitter())]), Settings()).test_client()
    with caplog.at_level(logging.ERROR):
        response = client.post(path, json={"family": "warmer", "readings": [reading]})
    document = problem(response, "bad_pack")
    assert "secret" not in response.text
    assert "raised SystemExit: secret of a pack" in caplog.text
    assert document["instance"] in caplog.text
    assert client.get("/health/ready").status_code == 200


def test_an_answer_that_json_cannot_say_is_a_failure(registry):
    def not_a_number(case, pack, settings):
        return replace(Diagnosis(pack.identity, (), (), 0.0, 1.0, "n"), unexplained=float("nan"))

    app = create_app(registry, Settings(), Engine(*[not_a_number] * 4))
    problem(app.test_client().post("/v1/diagnoses", json=CASE), "internal_error")


def test_every_kind_of_problem_can_be_fetched(thin, valid):
    for code, kind in KINDS.items():
        response = thin.get(TYPE_PREFIX + code)
        assert valid(response, "/v1/problems/{code}", "get") == {
            "code": code, "title": kind.title, "status": kind.status, "remedy": kind.remedy,
        }  # fmt: skip
    problem(thin.get(TYPE_PREFIX + "no_such"), "not_found")


def test_other_http_errors_keep_the_shape(thin):
    """A request that Werkzeug itself cannot read."""
    with thin.application.test_request_context("/"):
        response = on_http_error(Conflict("odd"))
    assert (response.status_code, response.get_json()["code"]) == (400, "bad_request")


def test_http_errors_of_ours_are_failures(thin, caplog):
    with thin.application.test_request_context("/"):
        response = on_http_error(BadGateway("secret"))
    assert response.status_code == 500
    assert b"secret" not in response.data
