"""Each refusal is an error of its kind, as the real service and others on the way tell it."""

from __future__ import annotations

import json
import pickle

import pytest

from probewright import client as public
from probewright.client import errors
from probewright.errors import Fault
from probewright.web.problems import KINDS

PROBLEM = "application/problem+json"


def test_each_error_has_a_base_by_what_to_do():
    bases = (errors.BadRequestError, errors.TryLaterError, errors.ServiceError, errors.UnreachableError,
             errors.BadAnswerError)  # fmt: skip
    kinds = [kind for kind in vars(errors).values() if isinstance(kind, type) and issubclass(kind, errors.ClientError)]
    assert len(kinds) > 15
    for kind in kinds:
        assert kind is errors.ClientError or sum(issubclass(kind, base) for base in bases) == 1
        assert kind.__name__ in public.__all__
        assert kind.__name__ in errors.__doc__
    assert len({kind.code for kind in kinds}) == len(kinds)


def test_what_is_public_is_sorted_and_there():
    assert public.__all__ == sorted(public.__all__)
    assert all(hasattr(public, name) for name in public.__all__)


@pytest.mark.parametrize(("code", "kind"), [
    ("bad_request", errors.BadRequestError), ("malformed_json", errors.BadRequestError),
    ("not_found", errors.BadRequestError), ("unknown_family", errors.UnknownFamilyError),
    ("method_not_allowed", errors.BadRequestError), ("body_too_large", errors.TooLargeError),
    ("unsupported_media_type", errors.BadRequestError), ("invalid_case", errors.InvalidCaseError),
    ("internal_error", errors.ServiceError), ("bad_pack", errors.ServiceError),
    ("not_ready", errors.UnavailableError),
])  # fmt: skip
def test_each_problem_of_the_service_has_its_error(server, asking, code, kind):
    problem = {"code": code, "status": KINDS[code].status, "title": KINDS[code].title, "detail": "so it is",
               "instance": "urn:uuid:0"}  # fmt: skip
    body = json.dumps(problem).encode()
    server.scripts = [lambda h, _: h.reply(KINDS[code].status, body, PROBLEM + "; charset=utf-8")]
    with pytest.raises(errors.ClientError) as caught:
        asking(server.url, most=0).diagnose({})
    assert type(caught.value) is kind
    assert (caught.value.code, caught.value.status, caught.value.problem) == (code, KINDS[code].status, problem)
    assert f"{code}: so it is" in str(caught.value)
    if kind is errors.ServiceError:
        assert caught.value.instance == "urn:uuid:0"


@pytest.mark.parametrize(("status", "kind"), [
    (201, errors.BadAnswerError), (400, errors.BadRequestError), (401, errors.NotAllowedError),
    (403, errors.NotAllowedError), (404, errors.BadRequestError), (413, errors.TooLargeError),
    (418, errors.BadRequestError), (429, errors.TooManyRequestsError), (500, errors.ServiceError),
    (502, errors.UnavailableError), (503, errors.UnavailableError), (504, errors.UnavailableError),
    (599, errors.ServiceError),
])  # fmt: skip
def test_a_status_without_a_problem_has_its_error_too(server, asking, status, kind):
    server.scripts = [lambda h, _: h.reply(status, b"<h1>No</h1>", "text/html")]
    with pytest.raises(errors.ClientError) as caught:
        asking(server.url, most=0).packs()
    assert type(caught.value) is kind
    assert (caught.value.code, caught.value.status, caught.value.problem) == (kind.code, status, None)


@pytest.mark.parametrize("body", [b"", b"{", b"[]", b'{"errors": 7}', b'{"errors": [3, {}]}', b'{"code": 5}',
                                  b'{"code": "", "detail": {"a": 1}}', b'{"instance": []}'])  # fmt: skip
@pytest.mark.parametrize("status", [422, 500])
def test_a_problem_that_is_malformed_is_borne(server, asking, body, status):
    server.scripts = [lambda h, _: h.reply(status, body, PROBLEM)]
    with pytest.raises(errors.ClientError) as caught:
        asking(server.url).diagnose({})
    assert isinstance(caught.value.code, str)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("told", [None, 7, [], [3, None]])
def test_faults_that_are_malformed_are_none(told):
    assert errors.InvalidCaseError("x", problem={"errors": told}).faults == ()
    assert errors.InvalidCaseError("x").faults == ()


def test_the_real_service_tells_every_place_to_mend(service, asking):
    with pytest.raises(errors.InvalidCaseError) as caught:
        asking(service).diagnose({"family": "gas_range", "readings": [{"test": "bake_igniter_current", "value": 2}],
                                  "complaint": []})  # fmt: skip
    faults = {fault.pointer: fault for fault in caught.value.faults}
    assert set(faults) == {"/readings/0/unit", "/complaint"}
    assert faults["/readings/0/unit"].code == "missing"
    assert isinstance(faults["/complaint"], Fault)
    assert (caught.value.status, caught.value.code) == (422, "invalid_case")


@pytest.mark.parametrize("ask", [
    lambda c: c.diagnose({"family": "toaster"}), lambda c: c.check({"family": "toaster"}),
    lambda c: c.score({"family": "toaster"}), lambda c: c.family("toaster"),
    lambda c: c.plan({"family": "toaster", "complaints": ["x"]}),
])  # fmt: skip
def test_the_real_service_tells_a_family_that_it_does_not_know(service, asking, ask):
    with pytest.raises(errors.UnknownFamilyError) as caught:
        ask(asking(service))
    assert [fault.pointer for fault in caught.value.faults] in ([], ["/family"])


def test_errors_travel_between_processes():
    fault = {"pointer": "/a", "message": "m", "code": "c"}
    error = errors.refusal(422, {"code": "invalid_case", "errors": [fault]}, "x")
    copy = pickle.loads(pickle.dumps(error))
    assert type(copy) is errors.InvalidCaseError
    assert (str(copy), copy.faults, copy.status, copy.code) == (str(error), error.faults, 422, "invalid_case")


def test_a_message_is_one_line_of_bounded_length():
    error = errors.refusal(500, {"code": "internal_error", "detail": "a\r\nb " + "x" * 100_000}, "POST /")
    assert "a b xxx" in str(error)
    assert len(str(error)) <= 2000
