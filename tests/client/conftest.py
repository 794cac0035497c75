"""A server that does what a test tells it, the real service, and clients that do not wait."""

from __future__ import annotations

import json
import threading
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from types import SimpleNamespace

import pytest
from werkzeug.serving import make_server

from probewright.client import Client, Retries
from probewright.packs.loader import load_packs
from probewright.settings import Settings
from probewright.web import create_app

#: Seconds within which what is awaited happens, on any machine.
SOON = 20.0


class Handler(BaseHTTPRequestHandler):
    """Notes a request, and plays the next script; the last one again and again."""

    protocol_version = "HTTP/1.1"

    def play(self):
        length = int(self.headers.get("Content-Length", 0))
        body = self.rfile.read(length)
        served = self.server
        with served.lock:
            request = SimpleNamespace(method=self.command, path=self.path, headers=self.headers, body=body)
            request.address = self.client_address
            served.requests.append(request)
            script = served.scripts.pop(0) if len(served.scripts) > 1 else served.scripts[0]
        script(self, body)

    do_GET = do_POST = play  # noqa: N815  names of the base class

    def log_message(self, *_):
        """Say nothing."""

    def reply(self, status, body=b"", content_type="application/json", **headers):
        self.send_response_only(status)
        self.send_header("Content-Type", content_type)
        self.send_header("Content-Length", str(len(body)))
        for name, value in headers.items():
            self.send_header(name.replace("_", "-"), value)
        self.end_headers()
        self.wfile.write(body)

    def start_stream(self):
        self.send_response_only(200)
        self.send_header("Content-Type", "application/x-ndjson")
        self.send_header("Transfer-Encoding", "chunked")
        self.end_headers()

    def send_chunk(self, data):
        self.wfile.write(b"%x\r\n%b\r\n" % (len(data), data))

    def send_line(self, document):
        self.send_chunk(json.dumps(document).encode() + b"\n")

    def end_stream(self):
        self.wfile.write(b"0\r\n\r\n")

    def hang_up(self):
        self.close_connection = True


class Server(ThreadingHTTPServer):
    """Told by its ``scripts``; ``requests`` is what came."""

    daemon_threads = True

    def __init__(self):
        super().__init__(("127.0.0.1", 0), Handler)
        self.lock, self.requests, self.scripts = threading.Lock(), [], []
        self.done = threading.Event()  # lets those go that hang
        self.url = f"http://127.0.0.1:{self.server_port}"

    def handle_error(self, *_):
        """A client that went away is no error here."""


@contextmanager
def serving(server):
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        yield server
    finally:
        server.shutdown()
        thread.join(SOON)
        server.server_close()


@pytest.fixture(autouse=True)
def _no_proxy(monkeypatch):
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")


@pytest.fixture
def server():
    """The server that does what it is told."""
    with serving(Server()) as served:
        yield served
        served.done.set()


@pytest.fixture
def another():
    """A second one, for what must not go elsewhere."""
    with serving(Server()) as served:
        yield served


@pytest.fixture(scope="session")
def service():
    """The address of the real service."""
    app = create_app(load_packs(), Settings())
    with serving(make_server("127.0.0.1", 0, app, threaded=True)) as served:
        yield f"http://127.0.0.1:{served.server_port}"


class Pauses(list):
    """Takes the place of sleeping, and of the clock."""

    def __call__(self, seconds):
        self.append(seconds)

    def clock(self):
        return sum(self)


@pytest.fixture
def pauses():
    return Pauses()


@pytest.fixture
def asking(pauses):
    """Makes clients of an address that note their pauses, with half of each span; and closes them."""
    made = []

    def make(url, token=None, timeout=(SOON, SOON), session=None, **bounds):
        retries = Retries(random=lambda: 0.5, sleep=pauses, clock=pauses.clock, **bounds)
        made.append(Client(url, token, timeout, retries, session))
        return made[-1]

    yield make
    for client in made:
        client.close()


@pytest.fixture
def client(server, asking):
    """Asks the server that does what it is told."""
    return asking(server.url)
