"""What streams hold, wait for and end with: through the application, and over loopback sockets."""

from __future__ import annotations

import io
import json
import socket
import tracemalloc
from contextlib import contextmanager
from threading import Event, Semaphore, Thread
from time import monotonic, sleep

import pytest
from werkzeug.exceptions import BadRequest
from werkzeug.serving import WSGIRequestHandler, make_server
from werkzeug.test import EnvironBuilder, run_wsgi_app

from probewright.batch.lines import MOST_LINES
from probewright.settings import Settings
from probewright.web import create_app
from probewright.web.handlers import Engine
from probewright.web.replies import NDJSON
from probewright.web.streams import INPUT, CutOffError, Streams, arrivals
from probewright_schemas.records import Diagnosis

PATH = "/v1/diagnoses/batch"
LINE = b'{"family":"gas_range"}\n'
#: Seconds after which something that should have happened has not.
TOO_LONG = 60.0


class Counting:
    """An engine that counts how often it was asked; each answer has some 8 kB."""

    def __init__(self, notice="Mind codes. " * 700):
        self.asked, self.notice = 0, notice
        self.may_go_on = None

    def diagnose(self, case, pack, settings):
        if self.may_go_on is not None:
            assert self.may_go_on.acquire(timeout=TOO_LONG)
        self.asked += 1
        return Diagnosis(pack.identity, (), (), 0.25, 0.75, self.notice, case.reference)

    def app(self, registry, **settings):
        return create_app(registry, Settings(**settings), Engine(*[self.diagnose] * 4))


class Body:
    """A body that is made while it is read; ``read1`` gives what has come in."""

    def __init__(self, arrivals):
        self._arrivals = iter(arrivals)

    def read1(self, size):
        return next(self._arrivals, b"")

    readline = read1


def environ(body, **others):
    made = EnvironBuilder(PATH, method="POST", content_type=NDJSON).get_environ()
    return {**made, "wsgi.input": body, "wsgi.input_terminated": True, "CONTENT_LENGTH": "", **others}


def begun(app, given):
    """The status of an answer, and its pieces as they are made."""
    pieces, status, _ = run_wsgi_app(app, given, buffered=False)
    return status, pieces


def test_memory_stays_flat_however_long_the_stream(registry):
    counting = Counting("Mind codes.")
    app = counting.app(registry)
    begun(app, environ(Body([LINE])))  # what is imported and compiled once

    def lines(count):
        return environ(Body(LINE * 10 for _ in range(count // 10)))

    def peak_of(count):
        tracemalloc.start()
        try:
            _, pieces = begun(app, lines(count))
            length = sum(len(piece) for piece in pieces)
            return length, tracemalloc.get_traced_memory()[1]
        finally:
            tracemalloc.stop()

    length, peak = peak_of(20_000)
    assert counting.asked >= 20_000
    assert length > 4_000_000
    assert peak < 1_000_000  # bytes: less than a quarter of what went out


def test_what_has_come_in_is_answered_before_more_is_asked_for(registry):
    """A client may wait for each answer before it sends the next line."""
    counting, sent = Counting(), []

    def one_at_a_time():
        for number in range(3):
            sent.append(number)
            yield LINE

    status, pieces = begun(counting.app(registry), environ(Body(one_at_a_time())))
    assert status == "200 OK"
    assert (next(pieces), sent) == (b"", [])  # the status, before anything has come in
    for number in range(3):
        assert json.loads(next(pieces))["line"] == number + 1
        assert (counting.asked, len(sent)) == (number + 1, number + 1)
    assert "summary" in json.loads(next(pieces))


def test_no_more_is_worked_out_than_what_is_fetched(registry):
    counting = Counting()
    _, pieces = begun(counting.app(registry), environ(Body([LINE * 1000])))
    next(pieces)
    for fetched in range(1, 4):
        assert next(pieces).count(b"\n") == MOST_LINES
        assert counting.asked == fetched * MOST_LINES


def test_an_answer_that_nobody_fetches_any_more_ends_the_work(registry):
    counting = Counting()
    app = counting.app(registry, streams_at_once=1)
    _, pieces = begun(app, environ(Body([LINE * 1000])))
    next(pieces)
    next(pieces)
    assert begun(app, environ(Body([LINE])))[0].startswith("503 ")
    pieces.close()
    assert counting.asked == MOST_LINES
    assert begun(app, environ(Body([LINE])))[0] == "200 OK"


def refused(app):
    response = app.test_client().post(PATH, data=LINE, content_type=NDJSON)
    return response if response.status_code == 503 else None


def test_more_streams_than_may_run_at_once_are_told_to_come_again(registry, valid):
    app = Counting().app(registry, streams_at_once=2)
    running = [begun(app, environ(Body([LINE]))) for _ in range(2)]
    response = refused(app)
    document = valid(response, PATH)
    assert (document["code"], document["status"]) == ("too_many_streams", 503)
    assert int(response.headers["Retry-After"]) > 0
    assert app.test_client().post("/v1/diagnoses", json={"family": "gas_range"}).status_code == 200
    running[0][1].close()
    assert refused(app) is None


def test_requests_that_are_refused_take_no_place(registry):
    app = Counting().app(registry, streams_at_once=1)
    client = app.test_client()
    for _ in range(3):
        assert client.post(PATH, data=LINE, content_type="text/plain").status_code == 415
        assert client.post("/v1/re-evaluations", data=b"[]\n", content_type=NDJSON).status_code == 422
    assert refused(app) is None


def test_a_place_is_given_back_once():
    streams = Streams(1)
    release = streams.admit()
    assert streams.admit() is None
    release()
    release()
    assert streams.admit() is not None
    assert streams.admit() is None


def test_without_a_limit_any_number_runs():
    streams = Streams(0)
    assert all(streams.admit() is not None for _ in range(100))


# Bodies that are not whole


def failing(*arrivals_):
    yield from arrivals_
    raise ConnectionResetError


@pytest.mark.parametrize(
    "given",
    [
        environ(Body(failing(LINE, LINE))),
        environ(io.BytesIO(LINE * 2), CONTENT_LENGTH=str(3 * len(LINE))),
        environ(Body([LINE * 2]), CONTENT_LENGTH=str(3 * len(LINE))),
    ],
    ids=["reset", "short file", "short"],
)
def test_a_body_that_is_cut_off_gets_no_summary(registry, given):
    status, pieces = begun(Counting().app(registry), given)
    lines = b"".join(pieces).splitlines()
    assert status == "200 OK"
    assert [json.loads(line)["line"] for line in lines] == [1, 2]


def test_changes_that_are_cut_off_are_a_bad_request(registry):
    given = environ(Body(failing(b"{")), PATH_INFO="/v1/re-evaluations")
    status, pieces = begun(Counting().app(registry), given)
    assert status == "400 BAD REQUEST"
    assert json.loads(b"".join(pieces))["code"] == "bad_request"
    assert issubclass(CutOffError, BadRequest)


def test_no_more_is_read_than_the_stated_length():
    """Where connections are kept, what follows is another request."""
    given = environ(io.BytesIO(LINE * 2), CONTENT_LENGTH=str(len(LINE)))
    del given["wsgi.input_terminated"]
    assert list(arrivals(given)) == [LINE]


def test_a_body_without_any_end_is_none():
    given = environ(io.BytesIO(LINE))
    del given["wsgi.input_terminated"]
    assert list(arrivals(given)) == []


def test_inputs_that_cannot_say_what_is_there_are_asked_for_lines():
    class Lines:
        def __init__(self):
            self.readline = io.BytesIO(LINE * 2).readline

    assert list(arrivals(environ(Lines()))) == [LINE, LINE]


def test_the_servers_own_input_comes_first():
    given = environ(io.BytesIO(b"other"), **{INPUT: Body([LINE])})
    assert list(arrivals(given)) == [LINE]


# Over sockets


class Quiet(WSGIRequestHandler):
    def log(self, *_):
        """Say nothing."""


@contextmanager
def served(app):
    """The application on a free port of loopback; connections hold few bytes on their way out."""
    server = make_server("127.0.0.1", 0, app, threaded=True, request_handler=Quiet)
    server.daemon_threads = True
    server.socket.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, 16_384)
    thread = Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
    thread.start()
    try:
        yield server.server_address
    finally:
        server.shutdown()
        thread.join(TOO_LONG)
        server.server_close()


@contextmanager
def connected(address, lines):
    """A client that has sent its request in another thread, and reads what it likes."""
    with socket.socket() as client:
        client.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 16_384)
        client.settimeout(TOO_LONG)
        client.connect(address)
        headers = ("Host: x", f"Content-Type: {NDJSON}", f"Content-Length: {len(LINE) * lines}", "", "")
        head = "\r\n".join([f"POST {PATH} HTTP/1.1", *headers])
        done = Event()

        def send():
            try:
                client.sendall(head.encode() + LINE * lines)
            except OSError:
                pass  # the client went away, as one of the tests wants
            finally:
                done.set()

        sender = Thread(target=send, daemon=True)
        sender.start()
        yield client
    assert done.wait(TOO_LONG)


def settled(count):
    """The count once it stays the same for a while."""
    end, last, since = monotonic() + TOO_LONG, count(), monotonic()
    while monotonic() - since < 0.5:
        assert monotonic() < end
        sleep(0.02)
        if count() != last:
            last, since = count(), monotonic()
    return last


def read_all(client):
    received = []
    while data := client.recv(65_536):
        received.append(data)
    return b"".join(received)


def test_a_client_that_does_not_read_stops_the_work_until_it_does(registry):
    """Some 40 MB of answers; what the buffers of two sockets hold is a fraction of that."""
    counting, lines = Counting(), 5000
    with served(counting.app(registry)) as address, connected(address, lines) as client:
        client.recv(1)
        taken = settled(lambda: counting.asked)
        assert MOST_LINES <= taken < 1000
        received = read_all(client)
    assert counting.asked == lines
    assert received.count(b'"line":') == lines
    assert b'{"summary":{"lines":5000,' in received[-500:]


def test_a_client_that_goes_away_ends_the_work(registry):
    counting, lines = Counting(), 5000
    app = counting.app(registry, streams_at_once=1)
    with served(app) as address:
        with connected(address, lines) as client:
            while not client.recv(65_536):
                pass
        end = monotonic() + TOO_LONG
        while refused(app):  # until the place of the stream is free
            assert monotonic() < end
            sleep(0.05)
        taken = counting.asked
        assert taken < lines
        assert settled(lambda: counting.asked) == taken


def test_the_first_answers_come_while_the_later_ones_are_worked_out(registry):
    counting = Counting()
    counting.may_go_on = Semaphore(MOST_LINES)
    with served(counting.app(registry)) as address, connected(address, 3 * MOST_LINES) as client:
        received = b""
        while received.count(b'"line":') < MOST_LINES:
            received += client.recv(65_536)
        assert counting.asked == MOST_LINES
        counting.may_go_on.release(2 * MOST_LINES)
        received += read_all(client)
    assert received.count(b'"line":') == 3 * MOST_LINES
