"""Asked again where it helps, as long and as often as was said, and not otherwise."""

from __future__ import annotations

import json
import math
import socket

import pytest
import requests
from requests.adapters import HTTPAdapter

from probewright.client import (
    BadAnswerError,
    BadRequestError,
    ClientError,
    ConnectionFailedError,
    CutOffError,
    Retries,
    ServiceError,
    TimedOutError,
    TooManyRequestsError,
    UnavailableError,
)
from probewright.client.retrying import retry_after


def refuse(status, **headers):
    return lambda handler, _: handler.reply(status, b"", "text/plain", **headers)


def answer(handler, _):
    handler.reply(200, b'{"answered": true}')


def hang_up(handler, _):
    handler.hang_up()


def cut_off(handler, _):
    handler.start_stream()
    handler.send_chunk(b'{"answer')
    handler.hang_up()


@pytest.mark.parametrize("failure", [refuse(429), refuse(503), hang_up, cut_off])
def test_what_may_help_is_tried_again_with_growing_pauses(server, client, pauses, failure):
    server.scripts = [failure, failure, failure, answer]
    assert client.diagnose({"family": "x"}) == {"answered": True}
    assert pauses == [0.25, 0.5, 1.0]  # half of 0.5, 1 and 2
    assert {(r.method, r.path, r.body) for r in server.requests} == {("POST", "/v1/diagnoses", b'{"family":"x"}')}


@pytest.mark.parametrize(("failure", "kind"), [
    (refuse(429), TooManyRequestsError), (refuse(503), UnavailableError), (hang_up, ConnectionFailedError),
    (cut_off, CutOffError),
])  # fmt: skip
def test_it_gives_up_after_as_many_as_were_allowed(server, asking, pauses, failure, kind):
    server.scripts = [failure]
    with pytest.raises(kind):
        asking(server.url, most=2).families()
    assert len(server.requests) == 3
    assert pauses == [0.25, 0.5]


@pytest.mark.parametrize("status", [400, 401, 403, 404, 405, 408, 413, 415, 422, 500, 501, 502, 504])
def test_what_would_not_help_is_not_tried_again(server, client, pauses, status):
    server.scripts = [refuse(status, Retry_After="1")]
    with pytest.raises(ClientError):
        client.diagnose({})
    assert len(server.requests) == 1
    assert pauses == []


def test_garbage_is_not_asked_for_twice(server, client):
    server.scripts = [lambda h, _: h.reply(200, b"<html>Sign in</html>", "text/html")]
    with pytest.raises(BadAnswerError, match="not JSON"):
        client.diagnose({})
    server.scripts = [lambda h, _: h.reply(200, b"[1]")]
    with pytest.raises(BadAnswerError, match="no JSON object"):
        client.diagnose({})
    server.scripts = [lambda h, _: h.reply(200, b'{"families": {}}')]
    with pytest.raises(BadAnswerError, match="no families"):
        client.families()
    server.scripts = [lambda h, _: h.reply(200, b"not gzip", Content_Encoding="gzip")]
    with pytest.raises(BadAnswerError, match="unpacked"):
        client.diagnose({})
    assert len(server.requests) == 4


@pytest.mark.parametrize("status", [429, 503])
def test_the_service_is_given_the_time_that_it_asks_for(server, client, pauses, status):
    day = "Fri, 31 Dec 1999 23:59:{:02d} GMT".format
    server.scripts = [
        refuse(status, Retry_After="7"), refuse(status, Retry_After=day(59), Date=day(29)),
        refuse(status, Retry_After="soon"), answer,
    ]  # fmt: skip
    client.diagnose({})
    assert pauses == [7.25, 30.5, 1.0]


def test_a_service_that_asks_for_too_long_is_not_waited_for(server, client, pauses):
    server.scripts = [refuse(503, Retry_After="3600")]
    with pytest.raises(UnavailableError) as caught:
        client.diagnose({})
    assert caught.value.retry_after == 3600.0
    assert (len(server.requests), pauses) == (1, [])


def test_the_time_for_all_attempts_is_bounded(server, asking, pauses):
    server.scripts = [refuse(429, Retry_After="4")]
    with pytest.raises(TooManyRequestsError):
        asking(server.url, most=1000, total=10.0).diagnose({})
    assert sum(pauses) <= 10.0
    assert len(server.requests) == 3  # at 0 s, 4.25 s and 8.75 s


@pytest.mark.parametrize("share", [0.0, 0.999])
def test_pauses_are_a_random_part_of_spans_that_double_up_to_the_longest(share):
    paused = []
    attempts = Retries(most=9, total=1e9, random=lambda: share, sleep=paused.append, clock=lambda: 0.0).begin()
    for _ in range(9):
        attempts.failed(ConnectionFailedError("x"), "x")
    assert paused == pytest.approx([share * span for span in (0.5, 1, 2, 4, 8, 16, 20, 20, 20)])


def test_by_default_pauses_are_random_and_in_their_span():
    paused = []
    for _ in range(50):
        Retries(sleep=paused.append).begin().failed(ConnectionFailedError("x"), "x")
    assert all(0.0 <= pause < 0.5 for pause in paused)
    assert len(set(paused)) > 1


@pytest.mark.parametrize("bound", ["most", "total", "first", "longest", "longest_asked"])
@pytest.mark.parametrize("value", [-1, math.inf, math.nan])
def test_bounds_are_bounds(bound, value):
    with pytest.raises(ValueError, match=bound):
        Retries(**{bound: value})


# RFC 9110, section 10.2.3 (Retry-After) and 5.6.7 (the three forms of a date, all of which must be read).
@pytest.mark.parametrize(("asked", "date", "seconds"), [
    ("120", None, 120.0),
    ("0", None, 0.0),
    ("Fri, 31 Dec 1999 23:59:59 GMT", "Fri, 31 Dec 1999 23:58:59 GMT", 60.0),
    ("Sun, 06 Nov 1994 08:49:37 GMT", "Sunday, 06-Nov-94 08:49:30 GMT", 7.0),
    ("Sunday, 06-Nov-94 08:49:37 GMT", "Sun Nov  6 08:49:36 1994", 1.0),
    ("Sun Nov  6 08:49:37 1994", "Sun, 06 Nov 1994 08:49:37 GMT", 0.0),
    ("Fri, 31 Dec 1999 23:59:59 GMT", None, 0.0),  # long past
    (None, None, None), ("", None, None), ("soon", None, None), ("-5", None, None), ("1.5", None, None),
    ("²", None, None), ("Fri, 99 Dec 1999 23:59:59 GMT", None, None), ("9" * 5000, None, math.inf),
])  # fmt: skip
def test_what_a_service_asks_for_is_read(asked, date, seconds):
    assert retry_after(asked, date) == seconds


def test_a_date_of_the_service_without_its_clock_is_meant_by_ours():
    assert retry_after("Fri, 31 Dec 9999 23:59:59 GMT", "garbage") > 1e9


def test_a_service_that_hangs_is_left_after_the_time_out(server, asking):
    server.scripts = [lambda h, _: server.done.wait(20)]
    with pytest.raises(TimedOutError) as caught:
        asking(server.url, timeout=(5, 0.2)).diagnose({})
    assert len(server.requests) == 1
    assert caught.value.status is None


class Unreached(HTTPAdapter):
    """No connection comes about in time, as often as was said."""

    def __init__(self, times):
        super().__init__()
        self.times = times

    def send(self, *args, **options):
        self.times -= 1
        if self.times >= 0:
            raise requests.ConnectTimeout("late")
        return super().send(*args, **options)


def test_a_service_that_takes_no_connection_in_time_is_tried_again(server, asking, pauses):
    server.scripts = [answer]
    with requests.Session() as session:
        session.mount("http://", Unreached(2))
        assert asking(server.url, session=session).diagnose({}) == {"answered": True}
        assert len(pauses) == 2
        session.mount("http://", Unreached(9))
        with pytest.raises(TimedOutError, match="takes no connection"):
            asking(server.url, session=session, most=3).diagnose({})
    assert len(pauses) == 5


def test_an_answer_that_stops_coming_is_left_after_the_time_out(server, asking):
    def stop_within(handler, _):
        handler.start_stream()
        handler.send_chunk(b'{"an')
        server.done.wait(20)

    server.scripts = [stop_within]
    with pytest.raises(TimedOutError, match="stopped coming"):
        asking(server.url, timeout=(5, 0.2)).diagnose({})
    assert len(server.requests) == 1


def test_nobody_there_is_told_after_trying(asking, pauses):
    with socket.socket() as bound:  # bound, but nobody listens
        bound.bind(("127.0.0.1", 0))
        url = f"http://127.0.0.1:{bound.getsockname()[1]}"
        with pytest.raises(ConnectionFailedError, match="refused"):
            asking(url, most=2).packs()
        assert len(pauses) == 2
        assert asking(url).ready() is False
        assert len(pauses) == 2


def test_a_name_that_is_none_is_not_tried_again(asking, pauses):
    with pytest.raises(ConnectionFailedError):
        asking(f"http://{'a' * 70}.test").packs()
    assert pauses == []


def test_ready_tells_what_the_service_says(server, client, pauses):
    server.scripts = [refuse(503, Retry_After="1")]
    assert client.ready() is False
    server.scripts = [lambda h, _: h.reply(200, b'{"status": "ready"}')]
    assert client.ready() is True
    server.scripts = [refuse(404)]
    with pytest.raises(BadRequestError):
        client.ready()
    server.scripts = [refuse(500)]
    with pytest.raises(ServiceError):
        client.ready()
    assert (len(server.requests), pauses) == (4, [])


def test_a_problem_and_the_time_asked_for_come_together(server, asking):
    problem = json.dumps({"code": "too_many_streams", "status": 503, "detail": "later"}).encode()
    server.scripts = [lambda h, _: h.reply(503, problem, "application/problem+json", Retry_After="2")]
    with pytest.raises(UnavailableError) as caught:
        asking(server.url, most=0).diagnose({})
    assert (caught.value.code, caught.value.retry_after) == ("too_many_streams", 2.0)
