"""What is between gunicorn and a stream, part by part; test_serve.py has the whole."""

from __future__ import annotations

import logging
import socket
from threading import Thread
from time import monotonic
from types import SimpleNamespace

import pytest
from gunicorn.config import Config
from gunicorn.http.body import Body, ChunkedReader, LengthReader
from gunicorn.http.errors import InvalidHeader
from gunicorn.http.unreader import IterUnreader

from probewright.cli import streaming
from probewright.cli.streaming import Arriving, PatientLogger, Running, bear
from probewright.web.streams import INPUT

SIZE = 65_536


def no_headers(*_, **__):
    raise InvalidHeader("no colon")


def chunked(*arrivals):
    unreader = IterUnreader(arrivals)
    request = SimpleNamespace(parse_headers=no_headers, limit_request_field_size=0, max_buffer_headers=0)
    return Body(ChunkedReader(request, unreader))


def stated(length, *arrivals):
    return Body(LengthReader(IterUnreader(arrivals), length))


def reads(body, size=SIZE):
    arriving = Arriving(body, SimpleNamespace(), Running())
    return list(iter(lambda: arriving.read1(size), b""))


def test_what_came_in_is_given_as_it_came():
    assert reads(stated(9, b"abc\n", b"de", b"f\ng")) == [b"abc\n", b"de", b"f\ng"]
    assert reads(chunked(b"4\r\nabc\n\r\n", b"2\r\nde\r\n3\r\nf\ng\r\n", b"0\r\n\r\n")) == [b"abc\n", b"de", b"f\ng"]


def test_no_more_is_given_than_was_asked_for():
    assert reads(stated(9, b"abcdefghi"), 4) == [b"abcd", b"efgh", b"i"]
    assert reads(chunked(b"9\r\nabcdefghi\r\n0\r\n\r\n"), 4) == [b"abcd", b"efgh", b"i"]


def test_another_request_that_follows_is_left_alone():
    assert reads(stated(3, b"abcPOST / HTTP/1.1")) == [b"abc"]
    assert reads(chunked(b"3\r\nabc\r\n0\r\n\r\nPOST / HTTP/1.1")) == [b"abc"]


def test_it_does_not_wait_for_more_than_is_there():
    def arrivals():
        yield b"abc\n"
        raise AssertionError("somebody asked for more")

    assert Arriving(stated(100, *[b"abc\n"]), SimpleNamespace(), Running()).read1(SIZE) == b"abc\n"
    body = Body(LengthReader(IterUnreader(arrivals()), 100))
    assert Arriving(body, SimpleNamespace(), Running()).read1(SIZE) == b"abc\n"


@pytest.mark.parametrize(
    "arrivals",
    [
        [b"4\r\nabc\n\r\n"],
        [b"4\r\nabc\n\r\n", b"zz\r\n"],
        [b"4\r\nabc\n\r\n", b"5\r\nab"],
        [b"4\r\nabc\n", b"oops"],
        [b"4\r\nabc\n\r\n", b"0\r\nno trailer\r\n\r\n"],
    ],
    ids=["no end", "no length", "short", "no end of a chunk", "trailer"],
)
def test_chunks_that_are_none_are_a_lost_connection(arrivals):
    body = chunked(*arrivals)
    arriving = Arriving(body, SimpleNamespace(), Running())
    with pytest.raises(ConnectionError):  # noqa: PT012  some fail in the first read, some later
        while arriving.read1(SIZE):
            pass
    assert body.failed


def test_requests_are_given_the_input_where_gunicorn_serves():
    seen = {}
    application = Running().around(lambda environ, _: seen.update(environ) or [b""])
    application({"wsgi.input": stated(1, b"a"), "gunicorn.socket": object()}, None)
    assert seen[INPUT].read1(SIZE) == b"a"
    seen.clear()
    application({"wsgi.input": object()}, None)
    assert INPUT not in seen


def test_streams_are_ended_through_their_sockets():
    ours, theirs = socket.socketpair()
    with ours, theirs:
        theirs.settimeout(60)
        running = Running()
        arriving = Arriving(stated(10, b"a"), ours, running)
        arriving.read1(SIZE)
        running.cut()
        assert theirs.recv(1) == b""
        with pytest.raises(BrokenPipeError):
            ours.sendall(b"x")
        ours.close()
        running.cut()  # what is over already does not matter
        del arriving
        assert not running._streams


def ended(running, worker):
    """Seconds until the streams of a worker are cut off."""
    ours, theirs = socket.socketpair()
    with ours, theirs:
        theirs.settimeout(60)
        arriving = Arriving(stated(10, b"a"), ours, running)
        arriving.read1(SIZE)
        begin = monotonic()
        Thread(target=running._end_with, args=(worker,), daemon=True).start()
        assert theirs.recv(1) == b""
        return monotonic() - begin


def test_a_worker_that_stops_leaves_its_streams_some_time(monkeypatch):
    monkeypatch.setattr(streaming, "GRACE_S", 1.0)
    assert ended(Running(), SimpleNamespace(alive=False)) >= 1.0


def test_a_worker_that_is_in_a_hurry_leaves_them_none():
    running = Running()
    running.settings()["worker_int"](None)
    assert ended(running, SimpleNamespace(alive=False)) < streaming.GRACE_S


def test_grace_ends_before_gunicorn_kills():
    assert Config().graceful_timeout >= streaming.GRACE_S + 10


@pytest.mark.parametrize("seconds", [0.25, 1.0])
def test_what_is_accepted_is_as_patient_as_the_listener(seconds):
    with socket.create_server(("127.0.0.1", 0)) as listener:
        bear(listener, seconds)
        with socket.create_connection(listener.getsockname()), listener.accept()[0] as accepted:
            begin = monotonic()
            with pytest.raises(BlockingIOError):
                accepted.recv(1)
            assert monotonic() - begin >= seconds * 0.9  # the kernel counts in ticks
            with pytest.raises(BlockingIOError):
                accepted.sendall(b"x" * 100_000_000)


@pytest.mark.parametrize(
    ("error", "told"), [(BlockingIOError(), "INFO"), (TimeoutError(), "INFO"), (OSError(), "ERROR")]
)
def test_a_slow_client_is_no_failure(caplog, error, told):
    log = PatientLogger(Config())
    log.error_log = logging.getLogger("of.test")
    with caplog.at_level("INFO"):
        try:
            raise error
        except OSError:
            log.exception("Socket error processing request.")
    (record,) = caplog.records
    assert (record.levelname, record.exc_info is None) == (told, told == "INFO")
