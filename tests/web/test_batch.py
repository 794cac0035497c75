"""The two operations that answer line by line, through the application alone."""

from __future__ import annotations

import json
import logging
from types import SimpleNamespace

import jsonschema
import pytest

from probewright.errors import EngineError, PackModelError
from probewright.settings import Settings
from probewright.web import create_app
from probewright.web.example import EXAMPLE_CASE, EXAMPLE_CASES, EXAMPLE_JOBS
from probewright.web.problems import KINDS
from probewright.web.replies import LINES, NDJSON
from probewright_schemas.batch_records import Held, Reevaluation
from probewright_schemas.records import PackIdentity

DIAGNOSES, REEVALUATIONS = "/v1/diagnoses/batch", "/v1/re-evaluations"
CASE = {"family": "gas_range", "reference": "job"}


def body(*lines):
    return b"".join((line if isinstance(line, bytes) else json.dumps(line).encode()) + b"\n" for line in lines)


@pytest.fixture
def lines_of(published):
    """The lines of an answer, each of them checked against what the contract says of one."""

    def check(response, path):
        assert (response.status_code, response.mimetype) == (200, NDJSON)
        schema = published["paths"][path]["post"]["responses"]["200"]["content"][NDJSON]["schema"]
        validator = jsonschema.Draft202012Validator({**schema, "components": published["components"]})
        lines = [json.loads(line) for line in response.data.splitlines()]
        assert response.data.endswith(b"\n")
        for line in lines:
            validator.validate(line)
            assert set(line) in ({"summary"}, {"line", "answer"}, {"line", "result"}, {"line", "problem"})
        assert [line for line in lines if "summary" in line] == lines[-1:]
        return lines

    return check


def send(client, path, *lines, content_type=NDJSON, **options):
    return client.post(path, data=body(*lines), content_type=content_type, **options)


def test_each_line_gets_the_answer_that_it_would_get_alone(client, lines_of):
    cases = [*EXAMPLE_CASES, {"family": "clothes_dryer", "complaints": ["no_heat"], "effort": "none"}]
    replies = [client.post("/v1/diagnoses", json=case) for case in cases]
    alone = [reply.get_json() for reply in replies]
    response = send(client, DIAGNOSES, *cases)
    assert all(b'"answer":' + reply.data + b"}\n" in response.data for reply in replies)
    *lines, last = lines_of(response, DIAGNOSES)
    assert lines == [{"line": number, "answer": answer} for number, answer in enumerate(alone, 1)]
    packs = {answer["pack"]["family"]: answer["pack"] for answer in alone}
    assert last["summary"] == {
        "lines": 3, "answered": 3, "refused": 0, "packs": [packs[family] for family in sorted(packs)],
    }  # fmt: skip


@pytest.mark.parametrize(
    "line",
    [
        b"{oops",
        b'{"family": "\xff"}',
        b"[" * 1500,
        b'{"family": "gas_range", "costs": {"callback": NaN}}',
        b"[]",
        b'{"family": "gas_rnage"}',
        b'{"family": "gas_range", "complaints": ["bake_does_not_lite"], "colour": 1}',
        b'{"family": "gas_range", "readings": [{"test": "outlet_voltage", "value": 1, "unit": "A"}]}',
    ],
    ids=range(8),
)
def test_a_bad_line_gets_the_problem_that_it_would_get_alone(client, lines_of, line):
    alone = client.post("/v1/diagnoses", data=line, content_type="application/json")
    assert alone.status_code in {400, 422}
    first, second, third, last = lines_of(send(client, DIAGNOSES, CASE, line, b"", CASE), DIAGNOSES)
    assert second == {"line": 2, "problem": alone.get_json()}
    assert (first["line"], third["line"]) == (1, 4)
    assert first["answer"] == third["answer"]
    assert (last["summary"]["answered"], last["summary"]["refused"]) == (2, 1)


def test_a_line_that_is_too_long_gets_a_problem(thin, lines_of):
    """The limit of a body is that of a line, and the stream may be longer."""
    long = json.dumps(CASE).encode().ljust(2001)
    lines = lines_of(send(thin, DIAGNOSES, *[CASE] * 100, long, long[:2000]), DIAGNOSES)
    problem = lines[100]["problem"]
    assert (problem["code"], problem["status"]) == ("line_too_long", KINDS["line_too_long"].status)
    assert problem["status"] == 413
    assert "more than 2000 bytes" in problem["detail"]
    assert lines[101]["answer"]["reference"] == "job"


@pytest.mark.parametrize(
    ("error", "code"), [(ValueError("secret"), "internal_error"), (PackModelError("secret"), "bad_pack")]
)
def test_a_failure_is_that_of_its_line_and_the_log_has_it(registry, double, lines_of, caplog, error, code):
    answer = double.diagnose

    def diagnose(case, pack, settings):
        if case.reference == "bad":
            raise error
        return answer(case, pack, settings)

    double.diagnose = diagnose
    client = create_app(registry, Settings(), double.engine()).test_client()
    with caplog.at_level(logging.ERROR):
        first, second, third, _ = lines_of(send(client, DIAGNOSES, CASE, {**CASE, "reference": "bad"}, CASE), DIAGNOSES)
    assert (second["line"], second["problem"]["code"], second["problem"]["status"]) == (2, code, 500)
    assert "secret" not in json.dumps(second)
    (record,) = [r for r in caplog.records if second["problem"]["instance"] in r.getMessage()]
    assert record.exc_info[1] is error
    assert first["answer"] == third["answer"]


@pytest.mark.parametrize("content_type", [*sorted(LINES), f"{NDJSON}; charset=utf-8"])
def test_lines_go_by_several_names(thin, lines_of, content_type):
    assert len(lines_of(send(thin, DIAGNOSES, CASE, content_type=content_type), DIAGNOSES)) == 2


@pytest.mark.parametrize("path", [DIAGNOSES, REEVALUATIONS])
@pytest.mark.parametrize(
    ("headers", "said"),
    [
        ({"content_type": "application/json"}, "application/json; send application/x-ndjson"),
        ({"content_type": None}, "of no stated type"),
        ({"content_type": "text/plain"}, "text/plain"),
        ({"content_type": NDJSON, "headers": {"Content-Encoding": "gzip"}}, "compressed"),
    ],
)
def test_anything_else_is_refused(thin, valid, path, headers, said):
    response = thin.post(path, data=body(CASE), **headers)
    assert response.status_code == 415
    assert said in valid(response, path)["detail"]


@pytest.mark.parametrize("path", [DIAGNOSES, REEVALUATIONS])
@pytest.mark.parametrize("method", ["get", "head", "put", "delete"])
def test_other_methods_are_refused(thin, path, method):
    response = getattr(thin, method)(path)
    assert response.status_code == 405
    assert "POST" in response.headers["Allow"]


def test_the_reply_is_neither_stored_nor_held_back(thin):
    response = send(thin, DIAGNOSES, CASE)
    assert response.headers["X-Accel-Buffering"] == "no"
    assert response.headers["Cache-Control"] == "no-store"
    assert response.headers["X-Content-Type-Options"] == "nosniff"
    assert response.headers["Content-Security-Policy"] == "default-src 'none'; frame-ancestors 'none'"
    assert "Content-Length" not in response.headers


@pytest.mark.parametrize("sent", [b"", b"\n", b" \r\n\n"])
def test_nothing_gets_just_the_summary(thin, lines_of, sent):
    (only,) = lines_of(thin.post(DIAGNOSES, data=sent, content_type=NDJSON), DIAGNOSES)
    assert only == {"summary": {"lines": 0, "answered": 0, "refused": 0, "packs": []}}


# Stored jobs


def test_a_stored_job_is_asked_again(client, lines_of):
    """The example: a clamp meter that read low, and an igniter that is weak all the same."""
    first, last = lines_of(send(client, REEVALUATIONS, *EXAMPLE_JOBS), REEVALUATIONS)
    assert (first["line"], first["result"]["reference"], first["result"]["family"]) == (2, "job-1042", "gas_range")
    (corrected,) = first["result"]["corrected"]
    assert (corrected["as_read"], corrected["value"]) == (2.45, pytest.approx(2.45 * 1.064))
    assert sum(last["summary"]["by_status"].values()) == last["summary"]["answered"] == 1


def test_an_answer_of_today_is_the_same(client, lines_of):
    answer = client.post("/v1/diagnoses", json=EXAMPLE_CASE).get_json()
    jobs = [{"case": EXAMPLE_CASE, "answer": answer}, {"case": EXAMPLE_CASE}]
    first, second, last = lines_of(send(client, REEVALUATIONS, {}, *jobs), REEVALUATIONS)
    assert (first["result"]["status"], second["result"]["status"]) == ("same", "new")
    assert last["summary"]["by_status"] == {"same": 1, "new": 1}


def test_bad_jobs_get_problems_in_their_places(client, lines_of):
    lines = lines_of(
        send(client, REEVALUATIONS, b"", {}, b"nope", {"case": {"family": "kettle"}}, {"case": CASE}, {"answer": 1}),
        REEVALUATIONS,
    )
    *_, last = lines
    assert [(line["line"], line.get("problem", {}).get("code")) for line in lines[:-1]] == [
        (3, "malformed_json"), (4, "invalid_case"), (5, None), (6, "invalid_case"),
    ]  # fmt: skip
    assert {fault["pointer"] for fault in lines[3]["problem"]["errors"]} == {"/answer", "/case"}
    assert (last["summary"]["lines"], last["summary"]["refused"]) == (4, 3)


@pytest.mark.parametrize(
    ("first", "status", "code", "pointer"),
    [
        (b"{oops", 400, "malformed_json", None),
        (b"", 400, "bad_request", None),
        (b" " * 2001 + b"{}", 413, "line_too_long", None),
        (b"[]", 422, "invalid_case", ""),
        (b'{"corections": []}', 422, "invalid_case", "/corections"),
        (b'{"corrections": [{"kind": "current", "correction": {}}]}', 422, "invalid_case", "/corrections/0/meter"),
        (b'{"limits": [{"family": "kettle", "test": "x", "limits": {"low": 1, "unit": "A"}}]}', 422, "invalid_case",
         "/limits/0/family"),
    ],
    ids=range(7),
)  # fmt: skip
def test_changes_that_cannot_be_are_refused_before_the_stream_begins(thin, valid, first, status, code, pointer):
    response = send(thin, REEVALUATIONS, first)
    document = valid(response, REEVALUATIONS)
    assert (response.status_code, response.mimetype) == (status, "application/problem+json")
    assert document["code"] == code
    assert [fault["pointer"] for fault in document["errors"]] == ([] if pointer is None else [pointer])


PACK = PackIdentity("gas_range", "1", "sha256:0")


def test_jobs_are_asked_again_with_the_changes(registry, double, lines_of):
    asked = []

    def reevaluator(changes, given, settings):
        assert given is registry
        asked.append(changes.corrections[0].meter)

        def results(jobs):
            asked.extend(job.case.reference for job in jobs)
            found = Reevaluation("gas_range", "same", "It is so.", PACK, Held("pilot_out", 0.5), "sha256:1")
            return [EngineError("secret") if job.case.reference == "bad" else found for job in jobs]

        return SimpleNamespace(results=results)

    app = create_app(registry, Settings(), double.engine(reevaluator=reevaluator))
    changes = {"corrections": [{"meter": "clamp-07", "kind": "current", "correction": {"gain": 1.1}}]}
    jobs = [{"case": {**CASE, "reference": reference}} for reference in ("a", "bad", "b")]
    lines = lines_of(send(app.test_client(), REEVALUATIONS, changes, *jobs), REEVALUATIONS)
    assert asked == ["clamp-07", "a", "bad", "b"]
    assert [line["line"] for line in lines[:-1]] == [2, 3, 4]
    assert lines[1]["problem"]["code"] == "internal_error"
    assert "secret" not in json.dumps(lines)
