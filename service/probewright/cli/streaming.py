"""What streams need of gunicorn: to know what has come in, to lose patience, and to end when the service stops.

Gunicorn's threads wait for a client as long as it likes, and its request body gives no bytes before it has as many as
it was asked for.  Both would leave streams waiting for each other.
"""

from __future__ import annotations

import logging
import socket
import struct
import sys
from collections.abc import Callable, Iterable
from threading import Lock, Thread
from time import monotonic, sleep
from typing import Any
from weakref import WeakSet

from gunicorn.glogging import Logger  # type: ignore[import-untyped]
from gunicorn.http.errors import ParseException  # type: ignore[import-untyped]

from probewright.web.streams import INPUT

#: Seconds that streams may go on while the service stops: less than gunicorn's 30, after which it kills (a choice).
GRACE_S = 10.0
_TICK_S = 0.25

Environ = dict[str, Any]
Application = Callable[[Environ, Callable[..., Any]], Iterable[bytes]]


def bear(listener: socket.socket, seconds: float) -> None:
    """Let no connection of a listener wait longer than so many seconds for bytes to come or go.

    On Linux what is accepted has the options of what it was accepted from; where that is not so, nothing is lost but
    the bound.
    """
    whole, part = divmod(round(seconds * 1e6), 1_000_000)
    time = struct.pack("ll", whole, part)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_RCVTIMEO, time)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_SNDTIMEO, time)


class PatientLogger(Logger):  # type: ignore[misc]  # gunicorn has no types
    """Gunicorn's log, where a client that was too slow is a line and not a traceback."""

    def exception(self, msg: str, *arguments: object, **options: Any) -> None:
        """Log what is being handled."""
        if isinstance(sys.exc_info()[1], (BlockingIOError, TimeoutError)):
            self.info("a client that neither sent nor read was dropped")
        else:
            super().exception(msg, *arguments, **options)


class Arriving:
    """The body of a request of gunicorn, with what has come in of it.

    Parameters
    ----------
    body : gunicorn.http.body.Body
        Nothing of it may have been read.
    """

    __slots__ = ("__weakref__", "_body", "_running", "socket")

    def __init__(self, body: Any, connection: socket.socket, running: Running) -> None:
        self._body, self.socket, self._running = body, connection, running

    def read1(self, size: int) -> bytes:
        """What is there, at least a byte and at most ``size``; empty at the end.

        Raises
        ------
        ConnectionError
            When the body is cut off, or no body.
        """
        self._running.add(self)
        try:
            return self._first(size)
        except (OSError, ParseException) as error:
            self._body.failed = True  # nobody knows where another request would begin
            raise ConnectionError(f"the body is cut off: {error}") from error

    def _first(self, size: int) -> bytes:
        """One byte, waiting for it, and what else its reader holds by then."""
        reader = self._body.reader
        first: bytes = reader.read(1)
        held = reader.unreader.buf if hasattr(reader, "unreader") else reader.buf
        rest = min(held.tell(), size - 1) if first else 0
        return first + (reader.read(rest) if rest else b"")

    def readline(self, size: int) -> bytes:
        """As of any file; for whoever does not know better."""
        return bytes(self._body.readline(size))


class Running:
    """The streams of one worker, so that they can be ended."""

    def __init__(self) -> None:
        self._streams: WeakSet[Arriving] = WeakSet()
        self._lock = Lock()
        self.hurry = False

    def add(self, stream: Arriving) -> None:
        """Take note of one; it is forgotten when nobody holds it any more."""
        with self._lock:
            self._streams.add(stream)

    def cut(self) -> None:
        """End them all: whoever waits for their clients is told that these are gone."""
        with self._lock:
            streams = list(self._streams)
        for stream in streams:
            try:
                stream.socket.shutdown(socket.SHUT_RDWR)
            except OSError as error:
                logging.getLogger(__name__).debug("a stream is over already: %s", error)

    def around(self, application: Application) -> Application:
        """The application, with an input for streams."""

        def call(environ: Environ, start: Callable[..., Any]) -> Iterable[bytes]:
            body, connection = environ["wsgi.input"], environ.get("gunicorn.socket")
            if connection is not None and hasattr(body, "reader"):
                environ[INPUT] = Arriving(body, connection, self)
            return application(environ, start)

        return call

    def settings(self) -> dict[str, object]:
        """Hooks of gunicorn that end them."""
        return {"post_worker_init": self._watch, "worker_int": self._hurry}

    def _watch(self, worker: Any) -> None:
        Thread(target=self._end_with, args=(worker,), name="end of streams", daemon=True).start()

    def _hurry(self, _: object) -> None:
        self.hurry = True

    def _end_with(self, worker: Any) -> None:
        """Wait until the worker stops, give what runs some time, and end it."""
        while worker.alive:
            sleep(_TICK_S)
        end = monotonic() + GRACE_S
        while monotonic() < end and not self.hurry:
            sleep(_TICK_S)
        while True:  # also what begins, or has not read yet; the thread goes with its process
            self.cut()
            sleep(_TICK_S)
