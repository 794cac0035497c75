"""The client's single requests, its address, and its token."""

from __future__ import annotations

import json
import logging
import subprocess
import sys
import traceback
import warnings

import pytest
import requests

from probewright.client import (
    BadRequestError,
    Client,
    ClientError,
    ConnectionFailedError,
    InsecureTokenWarning,
    InvalidCaseError,
    RedirectedError,
    Retries,
    UnsendableError,
)
from probewright.web.example import EXAMPLE_CASE, EXAMPLE_VISIT

TOKEN = "s3cret-token_of.this~test+/="


@pytest.mark.parametrize(("method", "path", "document"), [
    ("diagnose", "/v1/diagnoses", EXAMPLE_CASE), ("check", "/v1/readings/check", EXAMPLE_CASE),
    ("score", "/v1/readings/score", EXAMPLE_CASE), ("plan", "/v1/visit-plans", EXAMPLE_VISIT),
])  # fmt: skip
def test_the_real_service_answers_as_it_does_when_asked_by_hand(service, asking, method, path, document):
    by_hand = requests.post(service + path, json=document, timeout=20)
    assert by_hand.status_code == 200
    assert getattr(asking(service), method)(document) == by_hand.json()


def test_the_real_service_tells_what_it_has(service, asking):
    client = asking(service + "/")
    assert client.ready() is True
    families = client.families()
    assert {"gas_range", "electric_range", "clothes_dryer"} <= {family["id"] for family in families}
    assert client.family("gas_range") == requests.get(f"{service}/v1/families/gas_range", timeout=20).json()
    assert [pack["family"] for pack in client.packs()["loaded"]] == [family["id"] for family in families]


@pytest.mark.parametrize("family", ["a/b", "a?b", "a#b", "ä b", "%2e"])
def test_a_family_stays_one_part_of_the_path(server, client, family):
    server.scripts = [lambda h, _: h.reply(200, b"{}")]
    client.family(family)
    assert server.requests[0].path == "/v1/families/" + requests.utils.quote(family, safe="")


@pytest.mark.parametrize("family", ["", ".", ".."])
def test_a_family_that_would_be_another_path_is_not_asked_for(server, client, family):
    with pytest.raises(UnsendableError):
        client.family(family)
    assert server.requests == []


def test_a_number_that_is_not_finite_is_not_sent(server, client):
    with pytest.raises(UnsendableError, match=r"^/readings/0/value: inf"):
        client.diagnose({"readings": [{"value": float("inf")}]})
    assert server.requests == []


def test_a_path_of_the_address_is_kept(server, asking):
    server.scripts = [lambda h, _: h.reply(200, b"{}")]
    asking(server.url + "/shop/probewright/").packs()
    assert server.requests[0].path == "/shop/probewright/v1/packs"


@pytest.mark.parametrize("address", [
    "", "diagnoses.example", "ftp://diagnoses.example", "http://", "http://h:port", "http://h:99999", "http://[::1",
    "http://h/?a=b", "http://h/#a", "https://user:hush@h", "https://hush@h",
])  # fmt: skip
def test_an_address_that_is_none_is_refused_without_what_may_be_secret(address):
    with pytest.raises(ValueError, match="base_url") as caught:
        Client(address)
    assert "hush" not in str(caught.value)


@pytest.mark.parametrize("token", ["", "a b", "a\r\nX-More: 1", "ä", "a\0"])
def test_a_token_that_cannot_stand_in_a_header_is_refused_without_telling_it(token):
    with pytest.raises(ValueError, match=r"^token must be of visible ASCII") as caught:
        Client("https://diagnoses.example", token)
    assert not token or token not in str(caught.value)


@pytest.mark.parametrize("timeout", [(0, 1), (1, -1), (1, float("inf")), (float("nan"), 1), (1,)])
def test_time_outs_are_finite(timeout):
    with pytest.raises(ValueError, match="timeout"):
        Client("https://diagnoses.example", timeout=timeout)


@pytest.mark.parametrize("host", ["diagnoses.example", "192.0.2.7", "[2001:db8::1]", "localhost.example"])
def test_a_token_in_clear_text_is_warned_of(host):
    with pytest.warns(InsecureTokenWarning, match="clear text") as caught:
        Client(f"http://{host}", TOKEN)
    assert caught[0].filename == __file__
    assert TOKEN not in str(caught[0].message)


@pytest.mark.parametrize("address", [
    "https://diagnoses.example", "http://127.0.0.1:8080", "http://127.9.9.9", "http://[::1]:8080", "http://localhost",
    "http://service.localhost",
])  # fmt: skip
def test_a_token_that_nobody_else_sees_is_not_warned_of(address):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        Client(address, TOKEN)


def test_without_a_token_nothing_is_warned_of():
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        Client("http://diagnoses.example")


def test_the_token_is_shown_to_the_service_and_comes_before_what_a_netrc_file_says(
    server, asking, tmp_path, monkeypatch
):
    (tmp_path / "netrc").write_text("machine 127.0.0.1 login somebody password other\n", encoding="utf-8")
    monkeypatch.setenv("NETRC", str(tmp_path / "netrc"))
    server.scripts = [lambda h, _: h.reply(200, b"{}")]
    asking(server.url, TOKEN).packs()
    assert server.requests[0].headers.get_all("Authorization") == [f"Bearer {TOKEN}"]


def reply_307(where):
    return lambda h, _: h.reply(307, b"", Location=where)


@pytest.mark.parametrize("status", [301, 302, 303, 307, 308])
def test_a_redirection_is_told_and_not_followed(server, another, asking, status):
    another.scripts = [lambda h, _: h.reply(200, b"{}")]
    where = another.url.replace("//", "//user:hush@") + "/v1/packs?hush=1"
    server.scripts = [lambda h, _: h.reply(status, b"", Location=where)]
    client = asking(server.url, TOKEN)
    for ask in (client.packs, lambda: client.diagnose({}), client.ready, lambda: list(client.diagnose_many([{}]))):
        with pytest.raises(RedirectedError) as caught:
            ask()
        assert f"{another.url}/v1/packs" in str(caught.value)
        assert "hush" not in str(caught.value)
        assert caught.value.status == status
    assert another.requests == []


def test_a_redirection_to_nowhere_is_told_too(server, client):
    for where in ("", "http://[", "/elsewhere"):
        server.scripts = [reply_307(where)]
        with pytest.raises(RedirectedError):
            client.packs()


def every_failure():
    problem = json.dumps({"code": "not_ready", "status": 503}).encode()
    yield "refused", lambda h, _: h.reply(403)
    yield "problem", lambda h, _: h.reply(503, problem, "application/problem+json")
    yield "no answer", lambda h, _: h.hang_up()
    yield "garbage", lambda h, _: h.reply(200, b"<html>")
    yield "cut off", lambda h, _: (h.start_stream(), h.send_chunk(b"{"), h.hang_up())
    yield "elsewhere", lambda h, _: h.reply(307, b"", Location="http://127.0.0.1:9/")
    yield "late", lambda h, _: h.server.done.wait(20)


@pytest.mark.parametrize("failure", [pytest.param(script, id=name) for name, script in every_failure()])
def test_the_token_is_in_no_error_no_log_and_nothing_that_is_printed(server, asking, caplog, failure):
    caplog.set_level(logging.DEBUG)
    server.scripts = [failure]
    client = asking(server.url, TOKEN, timeout=(5, 0.2), most=1)
    for ask in (client.packs, lambda: list(client.diagnose_many([{"family": "x"}]))):
        with pytest.raises(ClientError) as caught:
            ask()
        assert server.requests[-1].headers["Authorization"] == f"Bearer {TOKEN}"
        told = traceback.TracebackException.from_exception(caught.value, capture_locals=True)
        for text in ("".join(told.format()), repr(caught.value), str(vars(caught.value)), repr(client), caplog.text,
                     repr(vars(client)), repr(vars(client._transport))):  # fmt: skip
            assert TOKEN not in text
    assert caplog.text  # there was something to look at


def test_a_retry_is_logged_in_one_line(server, client, caplog):
    caplog.set_level(logging.INFO, "probewright.client")
    server.scripts = [lambda h, _: h.reply(503), lambda h, _: h.reply(200, b"{}")]
    client.packs()
    assert [record.message for record in caplog.records] == ["GET /v1/packs: unavailable; again in 0.25 s (1 of 4)"]


def test_an_own_session_is_closed_and_a_given_one_is_not(server, monkeypatch):
    closed = []

    def close(session):
        closed.append(session)

    monkeypatch.setattr(requests.Session, "close", close)
    server.scripts = [lambda h, _: h.reply(200, b"{}")]
    given = requests.Session()
    given.headers["X-Shop"] = "north"
    seen = []
    given.hooks["response"].append(lambda response, **_: seen.append(response.status_code))
    with Client(server.url, session=given) as client:
        client.packs()
    assert server.requests[0].headers["X-Shop"] == "north"
    assert seen == [200]
    assert closed == []
    with Client(server.url) as client:
        client.packs()
    assert len(closed) == 1


def test_a_proxy_of_the_environment_is_used(server, asking, monkeypatch):
    monkeypatch.setenv("NO_PROXY", "")
    monkeypatch.setenv("HTTP_PROXY", server.url)
    monkeypatch.setenv("http_proxy", server.url)
    server.scripts = [lambda h, _: h.reply(200, b"{}")]
    asking("http://diagnoses.example").packs()
    assert server.requests[0].path == "http://diagnoses.example/v1/packs"


def test_connections_are_kept_for_the_next_request(server, client):
    problem = b'{"code": "invalid_case", "status": 422}'
    server.scripts = [
        lambda h, _: h.reply(200, b"{}"), lambda h, _: h.reply(422, problem, "application/problem+json"),
        lambda h, _: h.reply(200, b"{}"),
    ]  # fmt: skip
    client.packs()
    with pytest.raises(InvalidCaseError):
        client.diagnose({})
    client.packs()
    assert len({request.address for request in server.requests}) == 1


def test_certificates_that_are_not_trusted_are_not_tried_again(server, asking, pauses):
    with pytest.raises(ConnectionFailedError):  # a server without TLS
        asking(server.url.replace("http://", "https://")).packs()
    assert pauses == []


def test_an_answer_that_never_ends_is_not_held(server, asking, monkeypatch):
    monkeypatch.setattr("probewright.client.transport.LONGEST_ANSWER", 200_000)

    def endless(handler, _):
        handler.start_stream()
        while True:
            handler.send_chunk(b" " * 10_000)

    server.scripts = [endless]
    with pytest.raises(ClientError, match="more than 200000 bytes"):
        asking(server.url).packs()


def test_a_problem_that_never_ends_is_left(server, asking):
    def endless(handler, _):
        handler.send_response_only(400)
        handler.send_header("Content-Type", "application/problem+json")
        handler.end_headers()
        while True:
            handler.wfile.write(b" " * 10_000)

    server.scripts = [endless]
    with pytest.raises(BadRequestError):
        asking(server.url).packs()


def test_defaults_are_finite():
    client = Client("https://diagnoses.example")
    assert all(0 < seconds < 600 for seconds in client._transport._timeout)
    assert 0 < Retries().total < 600
    assert repr(client) == "Client('https://diagnoses.example')"


@pytest.mark.parametrize("module", ["probewright.client"])
def test_importing_it_loads_neither_the_engine_nor_what_it_needs(module):
    heavy = ["numpy", "numba", "flask", "werkzeug", "marshmallow", "pint", "pluggy", "gunicorn", "scipy", "rich"]
    code = f"import {module}, sys; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    loaded = set(done.stdout.split())
    assert module in loaded
    assert [name for name in heavy if name in loaded] == []
    ours = {name for name in loaded if name.startswith("probewright")}
    assert {name for name in ours if not name.startswith(module)} == {"probewright", "probewright.errors"}
