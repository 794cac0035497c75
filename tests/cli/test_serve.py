from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
from contextlib import contextmanager
from types import SimpleNamespace

import pytest
import requests

from probewright.cli import serve as serving
from probewright.cli.common import UnusableError
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.web import create_app


@contextmanager
def service(*arguments):
    """The service as a child process on a free port; gives the process and its address."""
    command = [sys.executable, "-m", "probewright.cli", "serve", "--port", "0", *arguments]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
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
        assert serving.serve(host, 0, 3, strict=False) == 0
    os.close(int(ran[0]["bind"].removeprefix("fd://")))  # as gunicorn does
    assert ran[0]["workers"] == 3
    assert ("is not loopback" in caplog.text) == warned


def test_settings_that_gunicorn_does_not_have_are_left_out(registry_app):
    service = serving._Service(registry_app, {"workers": 3, "no_such_setting": 1})
    assert service.cfg.workers == 3
    assert service.load() is registry_app


@pytest.fixture
def registry_app():
    return create_app(load_packs(), Settings())
