from __future__ import annotations

import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
from contextlib import contextmanager
from types import SimpleNamespace

import pytest
import requests
from gunicorn.config import Config

from probewright.cli import serve as serving
from probewright.cli.common import UnusableError
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.web import create_app


@contextmanager
def service(*arguments, **settings):
    """The service as a child process on a free port; gives the process and its address."""
    command = [sys.executable, "-m", "probewright.cli", "serve", "--port", "0", *arguments]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
                               env={**os.environ, **settings})  # fmt: skip
    try:
        line = process.stdout.readline()
        match = re.fullmatch(r"Probewright listens on (http://127\.0\.0\.1:\d+)\n", line)
        assert match, (line, process.stderr.read() if process.poll() is not None else "")
        yield process, match[1]
    finally:
        if process.poll() is None:
            process.kill()
        process.communicate()


@pytest.mark.parametrize("stop", [signal.SIGTERM, signal.SIGINT])
def test_it_serves_and_stops(weak, stop):
    with service("--workers", "2") as (process, url):
        assert requests.get(f"{url}/health/ready", timeout=30).json()["status"] == "ready"
        answer = requests.post(f"{url}/v1/diagnoses", json=weak, timeout=30)
        assert answer.json()["faults"][0]["fault"] == "bake_igniter_weak"
        chunked = requests.post(f"{url}/v1/diagnoses", data=iter([b" " * 200_000] * 2), timeout=30,
                                headers={"Content-Type": "application/json"})  # fmt: skip
        assert chunked.json()["code"] == "body_too_large"
        process.send_signal(stop)
        out, err = process.communicate(timeout=60)
    assert (process.returncode, out, err) == (0, "", "")


def test_a_port_in_use_gets_one_line():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        command = [sys.executable, "-m", "probewright.cli", "serve", "--port", str(port)]
        done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 2
    assert done.stderr == f"probewright: cannot listen on 127.0.0.1:{port}: Address already in use\n"
    assert done.stdout == ""


def test_an_address_that_is_not_ours_gets_one_line():
    with pytest.raises(UnusableError, match=r"cannot listen on 192\.0\.2\.1:0: "):  # TEST-NET-1, RFC 5737
        serving._listen("192.0.2.1", 0)


def test_a_name_that_is_none_gets_one_line():
    with pytest.raises(UnusableError, match=r"cannot listen on .*:0: "):
        serving._listen("256.256.256.256", 0)


def test_the_address_is_written_as_a_url():
    with serving._listen("127.0.0.1", 0) as listener:
        assert serving._url(listener) == f"http://127.0.0.1:{listener.getsockname()[1]}"
    six = SimpleNamespace(getsockname=lambda: ("::1", 8080, 0, 0))
    assert serving._url(six) == "http://[::1]:8080"


@pytest.mark.parametrize(("host", "warned"), [("127.0.0.1", False), ("0.0.0.0", True)])
def test_listening_to_the_world_is_warned_of(monkeypatch, caplog, host, warned):
    """Without running it: gunicorn is replaced, the rest is real."""
    ran = []
    monkeypatch.setattr(serving, "_Service", lambda _, given: SimpleNamespace(run=lambda: ran.append(given)))
    with caplog.at_level("WARNING"):
        assert serving.serve(host, 0, 3, 6, strict=False) == 0
    os.close(int(ran[0]["bind"].removeprefix("fd://")))  # as gunicorn does
    assert (ran[0]["workers"], ran[0]["threads"]) == (3, 6)
    assert ("is not loopback" in caplog.text) == warned


def test_settings_that_gunicorn_does_not_have_are_left_out(registry_app):
    service = serving._Service(registry_app, {"workers": 3, "no_such_setting": 1})
    assert service.cfg.workers == 3
    assert service.load() is registry_app


@pytest.mark.parametrize(("most", "threads", "found"), [(0, 2, 1), (0, 5, 2), (3, 4, 3)])
def test_half_of_the_threads_are_for_streams_unless_somebody_says_otherwise(most, threads, found):
    assert serving._with_streams(Settings(streams_at_once=most), threads).streams_at_once == found


def test_streams_may_not_take_all_threads(run, one_line, monkeypatch):
    monkeypatch.setenv("PROBEWRIGHT_STREAMS_AT_ONCE", "4")
    result = run("serve", "--port", "0", "--threads", "4")
    assert result.code == 2
    assert "PROBEWRIGHT_STREAMS_AT_ONCE (4) must be less than --threads (4)" in one_line(result)


BATCH = "/v1/diagnoses/batch"
LINE = b'{"family":"gas_range","effort":"none"}\n'


class Wire:
    """One connection, byte for byte."""

    def __init__(self, url, version="1.1"):
        self.version = version
        self.socket = socket.create_connection(("127.0.0.1", int(url.rpartition(":")[2])), timeout=60)
        self.file = self.socket.makefile("rb")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.file.close()
        self.socket.close()

    def send(self, data):
        self.socket.sendall(data)

    def begin(self, *headers):
        """Send the head of a request, and give the status and the headers of the answer."""
        said = ("Host: x", "Content-Type: application/x-ndjson", *headers, "", "")
        self.send("\r\n".join([f"POST {BATCH} HTTP/{self.version}", *said]).encode())
        return self.head()

    def head(self):
        status = self.file.readline().split()[1]
        return int(status), dict(line.strip().lower().split(b": ") for line in iter(self.file.readline, b"\r\n"))

    def chunk(self):
        """The next chunk of the answer; nothing at its end."""
        length = int(self.file.readline(), 16)
        data = self.file.read(length)
        assert self.file.readline() == b"\r\n"
        return data


def a_chunk(data):
    return b"%x\r\n%s\r\n" % (len(data), data)


@pytest.fixture(scope="module")
def running():
    """One worker that loses its patience after two seconds, for tests that leave it as it was."""
    with service("--workers", "1", PROBEWRIGHT_STREAM_PATIENCE_SECONDS="2") as (process, url):
        yield url
        process.send_signal(signal.SIGTERM)
        out, err = process.communicate(timeout=60)
        assert (process.returncode, out, err) == (0, "", "")


def numbers(data):
    return [json.loads(line).get("line", "summary") for line in data.splitlines()]


@pytest.mark.parametrize(
    ("framing", "frame", "end"),
    [("Transfer-Encoding: chunked", a_chunk, b"0\r\n\r\n"), (f"Content-Length: {3 * len(LINE)}", bytes, b"")],
    ids=["chunked", "stated"],
)
def test_each_line_is_answered_before_the_next_is_sent(running, framing, frame, end):
    with Wire(running) as wire:
        status, headers = wire.begin(framing)
        assert (status, headers[b"content-type"]) == (200, b"application/x-ndjson")
        assert headers[b"transfer-encoding"] == b"chunked"
        for number in range(1, 4):
            wire.send(frame(LINE))
            assert numbers(wire.chunk()) == [number]
        wire.send(end)
        assert numbers(wire.chunk()) == ["summary"]
        assert wire.chunk() == b""
        wire.send(b"GET /health/live HTTP/1.1\r\nHost: x\r\n\r\n")  # the connection is as good as new
        assert wire.head()[0] == 200


def test_the_first_version_of_http_is_answered_until_the_connection_closes(running):
    with Wire(running, "1.0") as wire:
        status, headers = wire.begin(f"Content-Length: {2 * len(LINE)}")
        assert (status, headers.get(b"transfer-encoding")) == (200, None)
        wire.send(LINE)
        assert numbers(wire.file.readline()) == [1]
        wire.send(LINE)
        assert numbers(wire.file.read()) == [2, "summary"]


def test_whoever_asks_whether_to_go_on_is_told_to(running):
    with Wire(running) as wire:
        assert wire.begin("Transfer-Encoding: chunked", "Expect: 100-continue") == (100, {})
        assert wire.head()[0] == 200
        wire.send(a_chunk(LINE) + b"0\r\n\r\n")
        assert numbers(wire.chunk()) == [1]


@pytest.mark.parametrize(
    ("framing", "sent", "answered"),
    [
        (f"Content-Length: {3 * len(LINE)}", LINE * 2, [1, 2]),
        ("Transfer-Encoding: chunked", a_chunk(LINE), [1]),
        ("Transfer-Encoding: chunked", a_chunk(LINE) + b"no length\r\n", [1]),
    ],
    ids=["stated", "chunked", "no chunk"],
)
def test_a_request_that_is_cut_off_gets_no_summary(running, framing, sent, answered):
    with Wire(running) as wire:
        wire.begin(framing)
        wire.send(sent)
        wire.socket.shutdown(socket.SHUT_WR)
        found = []
        while chunk := wire.chunk():
            found += numbers(chunk)
        assert found == answered
        assert wire.file.read() == b""


def test_single_requests_are_answered_while_streams_wait(running, weak):
    with Wire(running) as first, Wire(running) as second:
        for wire in (first, second):
            assert wire.begin("Transfer-Encoding: chunked")[0] == 200
        third = requests.post(running + BATCH, data=LINE, timeout=30, headers={"Content-Type": "application/x-ndjson"})
        assert (third.status_code, third.json()["code"]) == (503, "too_many_streams")
        assert third.headers["Retry-After"]
        assert requests.get(f"{running}/health/ready", timeout=30).status_code == 200
        answer = requests.post(f"{running}/v1/diagnoses", json=weak, timeout=30)
        assert answer.json()["faults"][0]["fault"] == "bake_igniter_weak"
        for wire in (first, second):
            wire.send(a_chunk(LINE) + b"0\r\n\r\n")
            assert numbers(wire.chunk() + wire.chunk()) == [1, "summary"]


def test_a_client_that_sends_nothing_is_dropped(running):
    with Wire(running) as wire:
        wire.begin("Transfer-Encoding: chunked")
        wire.send(a_chunk(LINE))
        assert numbers(wire.chunk()) == [1]
        assert wire.chunk() == b""  # ended without a summary, and without the client's doing
        assert wire.file.read() == b""


def test_a_client_that_does_not_read_is_dropped(running):
    body = LINE * 3000  # some 30 MB of answers, more than any buffer
    with socket.socket() as deaf:
        deaf.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 8192)
        deaf.settimeout(60)
        deaf.connect(("127.0.0.1", int(running.rpartition(":")[2])))
        head = f"POST {BATCH} HTTP/1.1\r\nHost: x\r\nContent-Type: application/x-ndjson\r\nContent-Length: {len(body)}"
        deaf.sendall(head.encode() + b"\r\n\r\n" + body)
        deadline = time.monotonic() + 60
        with pytest.raises(OSError, match=r"reset|[Bb]roken pipe"):  # noqa: PT012  once the service let go
            while time.monotonic() < deadline:
                deaf.send(b"\n")
                time.sleep(0.1)


@pytest.mark.parametrize("stop", [signal.SIGTERM, signal.SIGINT])
def test_a_service_that_stops_ends_its_streams_in_time(stop):
    with service("--workers", "1") as (process, url), Wire(url) as wire:
        wire.begin("Transfer-Encoding: chunked")
        wire.send(a_chunk(LINE))
        assert numbers(wire.chunk()) == [1]
        process.send_signal(stop)
        out, err = process.communicate(timeout=Config().graceful_timeout)
        assert (process.returncode, out, err) == (0, "", "")
        assert wire.file.read() == b""  # cut off: not even the end of the chunks


def test_a_stream_may_end_while_the_service_stops():
    with service("--workers", "1") as (process, url), Wire(url) as wire:
        wire.begin("Transfer-Encoding: chunked")
        process.send_signal(signal.SIGTERM)
        wire.send(a_chunk(LINE))
        assert numbers(wire.chunk()) == [1]
        wire.send(b"0\r\n\r\n")
        assert numbers(wire.chunk()) == ["summary"]
        out, err = process.communicate(timeout=60)
        assert (process.returncode, out, err) == (0, "", "")


@pytest.fixture
def registry_app():
    return create_app(load_packs(), Settings())
