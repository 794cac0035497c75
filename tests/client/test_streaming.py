"""Streams: every document gets its item, in order, whatever happens on the way, and little is held.

The server here speaks the contract; the real one is asked in test_service.py.
"""

from __future__ import annotations

import contextlib
import json
import math
import socket
import threading

import pytest
import requests
from requests.adapters import HTTPAdapter

from probewright.client import (
    BadAnswerError,
    CutOffError,
    InvalidCaseError,
    NotAllowedError,
    ServiceError,
    TimedOutError,
    UnsendableError,
)
from probewright.client.transport import SEND_BUFFER

SOON = 20.0


class Speaking:
    """Speaks the contract of a stream, but for what a test wants otherwise.

    ``cut_after`` lines the connection ends; ``change`` may replace or drop a line that is sent.
    """

    def __init__(self, key="answer", first=1, *, cut_after=None, change=lambda document: document, tail=b""):
        self.key, self.first, self.cut_after, self.change, self.tail = key, first, cut_after, change, tail

    def __call__(self, handler, body):
        handler.start_stream()
        for sent, document in enumerate(self.documents(body)):
            if sent == self.cut_after:
                handler.hang_up()
                return
            changed = self.change(document)
            if changed is not None:
                handler.send_line(changed)
        if self.tail:
            handler.send_chunk(self.tail)
        handler.end_stream()

    def documents(self, body):
        counts = {"answered": 0, "refused": 0}
        for number, line in enumerate(body.split(b"\n"), start=1):
            if number < self.first or not line:
                continue
            case = json.loads(line)
            bad = isinstance(case, dict) and case.get("bad")
            counts["refused" if bad else "answered"] += 1
            yield {"line": number, "problem": problem(bad, number)} if bad else {"line": number, self.key: {"of": case}}
        yield {"summary": {"lines": sum(counts.values()), **counts, "packs": []}}


def problem(code, line):
    status = 500 if code == "internal_error" else 422
    return {"code": code, "status": status, "detail": "so it is", "line": line, "instance": "urn:uuid:0",
            "errors": [{"pointer": "/bad", "message": "is bad", "code": "bad"}]}  # fmt: skip


class Counting:
    """Counts what was taken of many cases."""

    def __init__(self, documents):
        self._documents, self.taken = iter(documents), 0

    def __iter__(self):
        return self

    def __next__(self):
        document = next(self._documents)
        self.taken += 1
        return document


def cases(count):
    return [{"n": number} for number in range(count)]


def answered(documents):
    return [(index, document, {"of": document}) for index, document in enumerate(documents)]


def told(items):
    return [(item.index, item.document, item.answer) for item in items]


def sent(server):
    return [[json.loads(line) for line in request.body.splitlines()] for request in server.requests]


@pytest.mark.parametrize("count", [0, 1, 9, 10, 11, 35])
def test_each_case_gets_its_answer_in_order_a_piece_at_a_time(server, client, count):
    server.scripts = [Speaking()]
    assert told(client.diagnose_many(iter(cases(count)), piece_lines=10)) == answered(cases(count))
    assert [len(piece) for piece in sent(server)] == [10] * (count // 10) + [count % 10] * (count % 10 > 0)
    for request in server.requests:
        assert (request.method, request.path) == ("POST", "/v1/diagnoses/batch")
        assert request.headers["Content-Type"] == "application/x-ndjson"
        assert int(request.headers["Content-Length"]) == len(request.body)


def test_pieces_have_no_more_bytes_than_was_said_but_for_a_long_case(server, client):
    server.scripts = [Speaking()]
    documents = [{"n": "x" * length} for length in (10, 500, 10, 40, 40, 40)]
    assert told(client.diagnose_many(documents, piece_bytes=100)) == answered(documents)
    lengths = [len(request.body) for request in server.requests]
    assert [length for length in lengths if length > 100] == [509]
    assert [len(piece) for piece in sent(server)] == [1, 1, 2, 2]


def test_by_default_a_request_is_bounded(server, client):
    server.scripts = [Speaking()]
    documents = [{"n": "x" * 500}] * 390 + cases(210)
    assert told(client.diagnose_many(documents)) == answered(documents)
    assert all(len(request.body) <= 200_000 for request in server.requests)
    assert all(len(piece) <= 200 for piece in sent(server))


def test_bad_cases_get_their_problem_in_their_place_and_the_rest_go_on(server, client):
    server.scripts = [Speaking()]
    documents = [{"n": 0}, {"n": math.nan}, {"bad": "invalid_case"}, {"n": {1, 2}}, {"n": 4}, {"bad": "internal_error"},
                 {"n": 6}, {"n": math.inf}]  # fmt: skip
    items = list(client.diagnose_many(documents, piece_lines=3))
    assert [item.index for item in items] == list(range(8))
    assert [item.document for item in items] == documents
    kinds = [type(item.problem) for item in items]
    assert kinds == [type(None), UnsendableError, InvalidCaseError, UnsendableError, type(None), ServiceError,
                     type(None), UnsendableError]  # fmt: skip
    assert [item.answer is None for item in items] == [item.problem is not None for item in items]
    assert items[2].problem.faults[0].pointer == "/bad"
    assert "line" not in items[2].problem.problem  # it would count the lines of a request
    assert items[5].problem.instance == "urn:uuid:0"
    items[0].raise_for_problem()
    with pytest.raises(InvalidCaseError):
        items[2].raise_for_problem()
    assert sum(len(piece) for piece in sent(server)) == 5


def test_cases_of_which_none_can_be_sent_are_not_asked_for(server, client):
    items = list(client.diagnose_many([{"n": math.nan}] * 5, piece_lines=2))
    assert [item.index for item in items] == [0, 1, 2, 3, 4]
    assert server.requests == []


def test_the_changes_go_ahead_of_each_piece_of_jobs(server, client):
    server.scripts = [Speaking("result", first=2)]
    changes = {"corrections": [{"meter": "clamp-07"}]}
    jobs = [{"case": {"n": number}} for number in range(5)]
    items = list(client.re_evaluate(changes, jobs, piece_lines=2))
    assert [(item.index, item.document, item.result, item.answer) for item in items] == [
        (index, job, {"of": job}, None) for index, job in enumerate(jobs)
    ]
    assert sent(server) == [[changes, *jobs[:2]], [changes, *jobs[2:4]], [changes, *jobs[4:]]]
    assert {request.path for request in server.requests} == {"/v1/re-evaluations"}


def test_changes_count_to_the_bytes_of_a_request_up_to_half(server, client):
    server.scripts = [Speaking("result", first=2)]
    jobs = [{"n": "x" * 92}] * 30  # 101 bytes a line
    list(client.re_evaluate({"limits": ["x" * 380]}, jobs, piece_bytes=1000))
    assert max(len(request.body) for request in server.requests) <= 1000
    assert len(server.requests) == 6
    list(client.re_evaluate({"limits": ["x" * 5000]}, jobs, piece_bytes=1000))
    assert len(server.requests) == 6 + 8  # four jobs of 500 bytes each, and two left


def test_changes_that_cannot_be_sent_are_refused_at_once(server, client):
    with pytest.raises(UnsendableError, match=r"/limits/0"):
        client.re_evaluate({"limits": [math.nan]}, [])
    assert server.requests == []


@pytest.mark.parametrize("one", [{"family": "gas_range"}, '{"family": "gas_range"}', b"{}"])
def test_one_case_in_the_place_of_many_is_refused_at_once(client, one):
    with pytest.raises(TypeError, match="many documents"):
        client.diagnose_many(one)


@pytest.mark.parametrize("bounds", [{"piece_lines": 0}, {"piece_bytes": 0}])
def test_pieces_that_hold_nothing_are_refused_at_once(client, bounds):
    with pytest.raises(ValueError, match="at least 1"):
        client.diagnose_many([], **bounds)


def test_no_more_than_one_piece_is_taken_ahead(server, client):
    server.scripts = [Speaking()]
    source = Counting({"n": number} for number in range(10**9))
    items = client.diagnose_many(source, piece_lines=10)
    assert source.taken == 0
    for number in range(100):
        assert next(items).index == number
        assert source.taken == (number // 10 + 1) * 10
    items.close()
    assert source.taken == 100
    assert len(server.requests) == 10


def test_with_pieces_bounded_by_bytes_only_the_case_that_did_not_fit_is_held_besides(server, client):
    server.scripts = [Speaking()]
    source = Counting({"n": "x" * 42} for _ in range(10**9))  # 51 bytes a line
    items = client.diagnose_many(source, piece_bytes=520)
    for number in range(100):
        next(items)
        assert source.taken == (number // 10 + 1) * 10 + 1
    items.close()


def test_an_answer_is_given_before_the_next_one_is_there(server, client):
    go_on = threading.Event()

    def slowly(handler, body):
        handler.start_stream()
        for document in Speaking().documents(body):
            handler.send_line(document)
            if document.get("line") == 1:
                assert go_on.wait(SOON)
        handler.end_stream()

    server.scripts = [slowly]
    items = client.diagnose_many(cases(3))
    assert next(items).index == 0
    assert not go_on.is_set()
    go_on.set()
    assert [item.index for item in items] == [1, 2]


def test_closing_it_early_closes_the_connection(server, client):
    gone = threading.Event()

    def until_gone(handler, body):
        handler.start_stream()
        for document in Speaking().documents(body):
            handler.send_line(document)
            if document.get("line") == 2:
                handler.connection.settimeout(SOON)
                try:
                    ended = handler.connection.recv(1) == b""
                except ConnectionError:
                    ended = True
                if ended:
                    gone.set()
                handler.hang_up()
                return

    server.scripts = [until_gone]
    source = Counting(cases(100))
    items = client.diagnose_many(source, piece_lines=10)
    next(items)
    assert not gone.is_set()
    items.close()
    assert gone.wait(SOON)
    assert source.taken == 10
    assert list(items) == []


def test_one_connection_serves_all_pieces(server, client):
    server.scripts = [Speaking()]
    list(client.diagnose_many(cases(50), piece_lines=10))
    assert len(server.requests) == 5
    assert len({request.address for request in server.requests}) == 1


def test_other_requests_can_be_made_while_a_stream_is_read(server, client):
    server.scripts = [Speaking(), lambda h, _: h.reply(200, b'{"single": 1}'), Speaking()]
    items = client.diagnose_many(cases(4), piece_lines=2)
    assert next(items).index == 0
    assert client.diagnose({}) == {"single": 1}
    assert [item.index for item in items] == [1, 2, 3]


@pytest.mark.parametrize("cut_after", [0, 1, 4, 5])
def test_after_a_cut_off_stream_only_what_was_not_answered_is_sent_again(server, client, pauses, cut_after):
    server.scripts = [Speaking(), Speaking(cut_after=cut_after), Speaking()]
    documents = cases(15)
    assert told(client.diagnose_many(documents, piece_lines=5)) == answered(documents)
    # The last answer of a piece counts when the summary came, too.
    again = documents[5 + min(cut_after, 4) : 10]
    assert sent(server) == [documents[:5], documents[5:10], again, documents[10:]]
    assert pauses == [0.25]


def test_bad_cases_keep_their_place_when_a_stream_is_cut_off(server, client):
    documents = [{"n": math.nan}, {"n": 1}, {"n": math.nan}, {"bad": "x"}, {"n": math.nan}, {"n": 5}, {"n": math.nan}]
    server.scripts = [Speaking(cut_after=1), Speaking(cut_after=1), Speaking()]
    items = list(client.diagnose_many(documents))
    assert [item.index for item in items] == list(range(7))
    assert [item.answer is not None for item in items] == [False, True, False, False, False, True, False]
    assert [len(piece) for piece in sent(server)] == [3, 2, 1]


def test_a_re_evaluation_that_was_cut_off_is_sent_again_with_its_changes(server, client):
    server.scripts = [Speaking("result", first=2, cut_after=2), Speaking("result", first=2)]
    jobs = [{"n": number} for number in range(5)]
    assert [item.result["of"] for item in client.re_evaluate({}, jobs)] == jobs
    assert sent(server) == [[{}, *jobs], [{}, *jobs[2:]]]


def test_a_stream_that_is_always_cut_off_is_an_error_after_what_was_answered(server, asking, pauses):
    server.scripts = [Speaking(cut_after=2), Speaking(cut_after=0)]
    items = asking(server.url, most=3).diagnose_many(cases(10))
    assert [next(items).index, next(items).index] == [0, 1]
    with pytest.raises(CutOffError) as caught:
        next(items)
    assert (len(server.requests), len(pauses)) == (4, 3)
    assert caught.value.code == "cut_off"


def test_a_stream_that_ends_well_but_without_its_summary_was_cut_off(server, asking):
    server.scripts = [Speaking(change=lambda document: None if "summary" in document else document)]
    items = asking(server.url, most=0).diagnose_many(cases(3))
    assert [next(items).index, next(items).index] == [0, 1]
    with pytest.raises(CutOffError, match="without its summary"):
        next(items)


def test_a_stream_that_is_too_short_for_its_length_was_cut_off(server, client):
    def short(handler, body):
        line = json.dumps(next(Speaking().documents(body))).encode() + b"\n"
        handler.send_response_only(200)
        handler.send_header("Content-Length", str(len(line) + 10))
        handler.end_headers()
        handler.wfile.write(line)
        handler.hang_up()

    server.scripts = [short, Speaking()]
    assert told(client.diagnose_many(cases(2))) == answered(cases(2))
    assert len(server.requests) == 2


def test_a_line_of_half_a_document_is_no_answer(server, client):
    def half(handler, body):
        handler.start_stream()
        handler.send_line(next(Speaking().documents(body)))
        handler.send_chunk(b'{"line": 2, "answer": {"of"')
        handler.hang_up()

    server.scripts = [half, Speaking()]
    assert told(client.diagnose_many(cases(3))) == answered(cases(3))
    assert [len(piece) for piece in sent(server)] == [3, 2]


def test_an_older_protocol_without_chunks_is_understood(server, client):
    def to_the_end(handler, body):
        handler.send_response_only(200)
        handler.end_headers()
        for document in Speaking().documents(body):
            handler.wfile.write(json.dumps(document).encode() + b"\n")
        handler.hang_up()

    server.scripts = [to_the_end]
    assert told(client.diagnose_many(cases(30), piece_lines=10)) == answered(cases(30))


def test_empty_lines_between_answers_are_no_answers(server, client):
    server.scripts = [Speaking(tail=b"\n \r\n")]
    assert told(client.diagnose_many(cases(3))) == answered(cases(3))


def without(line):
    return lambda document: None if document.get("line") == line else document


def instead(line, other):
    return lambda document: other if document.get("line", "summary") == line else document


@pytest.mark.parametrize(("change", "good"), [
    (without(1), 0), (without(2), 1), (without(3), 2), (instead(2, {"line": 3, "answer": {}}), 1),
    (instead(2, {"line": 1, "answer": {}}), 1), (instead(2, {"line": 2}), 1), (instead(2, {"answer": {}}), 1),
    (instead(2, {"line": 2, "answer": 5}), 1), (instead(2, {"line": 2, "answer": {}, "problem": {}}), 1),
    (instead(2, {"line": 2, "result": {}}), 1), (instead(2, {"summary": {}}), 1), (instead(2, 7), 1),
    (instead(2, {"line": "2", "answer": {}}), 1),
    (instead("summary", {"summary": {"answered": 2, "refused": 0}}), 2),
    (instead("summary", {"summary": {"answered": 2, "refused": 1}}), 2),
    (instead("summary", {"summary": 3}), 2), (instead("summary", {"line": 4, "answer": {}}), 2),
])  # fmt: skip
def test_a_stream_that_is_not_what_was_asked_for_is_refused_and_not_asked_for_again(server, client, change, good):
    server.scripts = [Speaking(change=change)]
    items = client.diagnose_many(cases(3))
    assert [next(items).index for _ in range(good)] == list(range(good))
    with pytest.raises(BadAnswerError) as caught:
        next(items)
    assert not isinstance(caught.value, CutOffError)
    assert len(server.requests) == 1


def test_lines_after_the_summary_are_refused(server, client):
    server.scripts = [Speaking(tail=b'{"line": 4, "answer": {}}\n')]
    items = client.diagnose_many(cases(3))
    assert [next(items).index, next(items).index] == [0, 1]
    with pytest.raises(BadAnswerError, match="after the summary"):
        next(items)


def test_a_connection_that_breaks_after_the_summary_has_done_its_work(server, client):
    def all_but_the_end(handler, body):
        handler.start_stream()
        for document in Speaking().documents(body):
            handler.send_line(document)
        handler.hang_up()

    server.scripts = [all_but_the_end]
    assert told(client.diagnose_many(cases(20), piece_lines=10)) == answered(cases(20))
    assert len(server.requests) == 2


def test_garbage_in_the_place_of_a_stream_is_refused(server, client):
    server.scripts = [lambda h, _: h.reply(200, b"<html>\nSign in\n</html>\n", "text/html")]
    with pytest.raises(BadAnswerError, match="not JSON"):
        next(client.diagnose_many(cases(3)))


def test_a_piece_is_sent_again_when_the_service_is_busy(server, client, pauses):
    server.scripts = [Speaking(), lambda h, _: h.reply(503, Retry_After="2"), lambda h, _: h.reply(429), Speaking()]
    assert told(client.diagnose_many(cases(20), piece_lines=10)) == answered(cases(20))
    assert pauses == [2.25, 0.5]
    assert len(server.requests) == 4


def test_a_piece_that_is_refused_ends_it(server, client):
    server.scripts = [Speaking(), lambda h, _: h.reply(401)]
    items = client.diagnose_many(cases(20), piece_lines=10)
    assert [next(items).index for _ in range(10)] == list(range(10))
    with pytest.raises(NotAllowedError):
        next(items)
    assert list(items) == []


def test_a_problem_that_might_pass_stays_the_problem_of_its_line(server, client):
    busy = {"line": 2, "problem": {"code": "not_ready", "status": 503}}
    count = {"summary": {"answered": 2, "refused": 1}}
    server.scripts = [Speaking(change=lambda document: instead(2, busy)(instead("summary", count)(document)))]
    items = list(client.diagnose_many(cases(3)))
    assert [item.problem and item.problem.code for item in items] == [None, "not_ready", None]
    assert len(server.requests) == 1


def test_a_stream_that_hangs_is_left_after_the_time_out(server, asking):
    def hang(handler, body):
        handler.start_stream()
        handler.send_line(next(Speaking().documents(body)))
        server.done.wait(SOON)

    server.scripts = [hang]
    items = asking(server.url, timeout=(5, 0.2)).diagnose_many(cases(3))
    assert next(items).index == 0
    with pytest.raises(TimedOutError):
        next(items)
    assert len(server.requests) == 1


def test_an_error_of_the_callers_own_iterator_comes_through(server, client):
    def source():
        yield from cases(10)
        raise LookupError("no more")

    server.scripts = [Speaking()]
    items = client.diagnose_many(source(), piece_lines=10)
    assert [next(items).index for _ in range(10)] == list(range(10))
    with pytest.raises(LookupError, match="no more"):
        next(items)


class SmallAdapter(HTTPAdapter):
    """Connections whose system takes little at once, as over a slow network."""

    def init_poolmanager(self, *args, **options):
        small = [(socket.SOL_SOCKET, socket.SO_SNDBUF, 4096)]
        super().init_poolmanager(*args, **options, socket_options=small)


class Answering:
    """A server that answers what it read of a piece in full, before it reads on."""

    def __init__(self):
        self.listener = socket.socket()
        self.listener.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        self.listener.bind(("127.0.0.1", 0))
        self.listener.listen()
        self.url = f"http://127.0.0.1:{self.listener.getsockname()[1]}"
        self.thread = threading.Thread(target=self._serve, daemon=True)

    def __enter__(self):
        self.thread.start()
        return self

    def __exit__(self, *_):
        self.listener.close()
        self.thread.join(SOON)

    def _serve(self):
        connection, _ = self.listener.accept()
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_SNDBUF, 4096)
        connection.settimeout(SOON)
        # A client that waits, too, goes away at some time.
        with connection, connection.makefile("rb", buffering=0) as file, contextlib.suppress(OSError):
            self._answer(connection, file)

    def _answer(self, connection, file):
        head = b""
        while b"\r\n\r\n" not in head:
            head += file.read(1)
        left = int(head.lower().partition(b"content-length:")[2].split()[0])
        connection.sendall(b"HTTP/1.1 200 OK\r\n\r\n")
        line, held = 0, b""
        while left:
            came = file.read(min(left, 4096))
            left -= len(came)
            *whole, held = (held + came).split(b"\n")
            for _ in whole:
                line += 1
                answer = {"line": line, "answer": {"long": "x" * 20_000}}
                connection.sendall(json.dumps(answer).encode() + b"\n")
        connection.sendall(json.dumps({"summary": {"answered": line, "refused": 0}}).encode() + b"\n")


LONG = [{"n": "x" * 980}] * 200


def test_a_whole_piece_is_on_its_way_before_an_answer_is_read(asking):
    """So that a service which reads on only when its answers are taken does not wait for a client that sends."""
    assert len(json.dumps(LONG)) > 0.95 * 200_000
    with Answering() as server:
        items = list(asking(server.url).diagnose_many(LONG))
    assert len(items) == 200
    assert SEND_BUFFER > 2 * 200_000


def test_with_less_room_both_would_wait_for_each_other(asking):
    session = requests.Session()
    session.mount("http://", SmallAdapter())
    with session, Answering() as server, pytest.raises(TimedOutError):
        list(asking(server.url, timeout=(0.5, 0.5), session=session, most=0).diagnose_many(LONG))
