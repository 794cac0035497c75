"""One request over HTTP: what comes back, or a typed error.

Errors are raised after those of ``requests`` were left: their frames hold the headers, and with them the token.
"""

from __future__ import annotations

import socket
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlsplit

import requests
from requests.adapters import HTTPAdapter
from urllib3.connection import HTTPConnection
from urllib3.exceptions import HTTPError, ReadTimeoutError

from probewright.client.address import Bearer
from probewright.client.documents import LONGEST_ANSWER, understood
from probewright.client.errors import (
    BadAnswerError,
    ClientError,
    ConnectionFailedError,
    CutOffError,
    RedirectedError,
    TimedOutError,
    TryLaterError,
    refusal,
)
from probewright.client.retrying import Retries, retry_after

JSON = "application/json"
NDJSON = "application/x-ndjson"
_PROBLEM = "application/problem+json"
#: Bytes that are asked for at once; a stream gives what is there.
_CHUNK = 65_536
#: Bytes of a problem.
_LONGEST_PROBLEM = 2**20
#: Bytes that the system takes to send.  It must take a whole piece of a stream at once: `requests` reads no answer
#: before all is sent, and a service that answers as it goes reads no further while nobody takes its answers.
SEND_BUFFER = 2**19
_SOCKET_OPTIONS = [*HTTPConnection.default_socket_options, (socket.SOL_SOCKET, socket.SO_SNDBUF, SEND_BUFFER)]

_ASIDE = "Location-Not-Followed"
#: `requests` lets some errors of what it is built on through.
_FAILURES = (requests.RequestException, HTTPError)


@dataclass(frozen=True, slots=True)
class Call:
    """What is asked."""

    method: str
    path: str
    body: bytes | None = None
    content_type: str = JSON

    @property
    def headers(self) -> dict[str, str]:
        """A stream must not be held back to be compressed."""
        accept = {"Accept": f"{self.content_type}, {_PROBLEM}", "User-Agent": "probewright-client"}
        stream = {"Accept-Encoding": "identity"} if self.content_type == NDJSON else {}
        return accept | stream | ({} if self.body is None else {"Content-Type": self.content_type})

    def __str__(self) -> str:
        return f"{self.method} {self.path}"


class _Adapter(HTTPAdapter):
    """Connections whose system takes :data:`SEND_BUFFER` bytes at once."""

    def init_poolmanager(self, *args: Any, **options: Any) -> None:
        super().init_poolmanager(*args, **options, socket_options=_SOCKET_OPTIONS)

    def proxy_manager_for(self, proxy: str, **options: Any) -> Any:
        return super().proxy_manager_for(proxy, **options, socket_options=_SOCKET_OPTIONS)


def own_session() -> requests.Session:
    """A session for pieces of streams."""
    session = requests.Session()
    for scheme in ("http://", "https://"):
        session.mount(scheme, _Adapter())
    return session


class Transport:
    """Sends requests to one address."""

    def __init__(
        self, address: str, auth: Bearer | None, timeout: tuple[float, float], retries: Retries,
        session: requests.Session,
    ) -> None:  # fmt: skip
        self.address, self.retries, self._auth, self._timeout, self._session = address, retries, auth, timeout, session

    def ask(self, call: Call, retries: Retries | None = None) -> dict[str, Any]:
        """The document that answers a call."""
        attempts = (retries or self.retries).begin()
        while True:
            try:
                with closing(self.open(call)) as response:
                    return understood(_whole(response, call, LONGEST_ANSWER), str(call))
            except ClientError as error:
                attempts.failed(error, str(call))

    def open(self, call: Call) -> requests.Response:
        """An answer with status 200 whose body was not read yet; the caller closes it."""
        response = self._sent(call)
        if response.status_code == 200:
            return response
        with closing(response):
            raise _refused(response, call)

    def _sent(self, call: Call) -> requests.Response:
        try:
            return self._session.request(
                call.method, self.address + call.path, data=call.body, headers=call.headers, auth=self._auth,
                timeout=self._timeout, allow_redirects=False, stream=True,
                hooks={"response": [*self._session.hooks.get("response", ()), _put_aside]},
            )  # fmt: skip
        except _FAILURES as error:
            failure = _unreached(error, call, self.address)
        raise failure


def _put_aside(response: requests.Response, **_: object) -> None:
    """Keep `requests` from reading all of a redirection, and making a request of it, though it is not to follow."""
    if "Location" in response.headers:
        response.headers[_ASIDE] = response.headers.pop("Location")


def chunks(response: requests.Response, what: object) -> Iterator[bytes]:
    """The bytes of an answer, as they come."""
    parts = response.iter_content(_CHUNK)
    while True:
        try:
            part = next(parts, None)
        except _FAILURES as error:
            failure = _broken(error, what)
        else:
            if part is None:
                return
            yield part
            continue
        raise failure


def _whole(response: requests.Response, call: Call, longest: int) -> bytes:
    body = bytearray()
    for part in chunks(response, call):
        body += part
        if len(body) > longest:
            raise BadAnswerError(f"{call}: the answer has more than {longest} bytes", status=response.status_code)
    return bytes(body)


def _refused(response: requests.Response, call: Call) -> ClientError:
    problem = _problem(response, call)
    error = refusal(response.status_code, problem, str(call))
    if isinstance(error, RedirectedError):
        there = _there(response.headers.get(_ASIDE, ""))
        return RedirectedError(f"{call}: it is at {there}, and is not followed; mend base_url", status=error.status)
    if isinstance(error, TryLaterError):
        error.retry_after = retry_after(response.headers.get("Retry-After"), response.headers.get("Date"))
    return error


def _problem(response: requests.Response, call: Call) -> dict[str, Any] | None:
    if response.headers.get("Content-Type", "").partition(";")[0].strip().lower() != _PROBLEM:
        return None
    try:
        return understood(_whole(response, call, _LONGEST_PROBLEM), str(call))
    except ClientError:
        return None  # the status says enough


def _there(location: str) -> str:
    """Where a redirection leads, without a name, a password or a query."""
    try:
        parts = urlsplit(location)
    except ValueError:
        return "no address that can be read"
    return parts._replace(netloc=parts.netloc.rpartition("@")[2], query="", fragment="").geturl() or "no address"


def _unreached(error: Exception, call: Call, address: str) -> ClientError:
    message = f"{call}: {address} "
    if isinstance(error, requests.ConnectTimeout):
        late = TimedOutError(message + "takes no connection within the time-out")
        late.repeatable = True  # it was not asked yet
        return late
    if _timed_out(error):
        return TimedOutError(message + "sends no answer within the time-out")
    failed = ConnectionFailedError(message + f"cannot be reached: {_reason(error)}")
    # A certificate that is not trusted, or an address that is none, stays so.
    failed.repeatable = type(error) is requests.ConnectionError
    return failed


def _broken(error: Exception, what: object) -> ClientError:
    if isinstance(error, requests.exceptions.ContentDecodingError):
        return BadAnswerError(f"{what}: the answer cannot be unpacked", status=200)
    if _timed_out(error):
        return TimedOutError(f"{what}: the answer stopped coming within the time-out", status=200)
    return CutOffError(f"{what}: the connection broke within the answer: {_reason(error)}", status=200)


def _timed_out(error: Exception) -> bool:
    """`requests` tells some time-outs as connections that failed."""
    inner = error.args[0] if error.args else None
    within = (inner, *getattr(inner, "args", ()))
    return isinstance(error, requests.Timeout) or any(isinstance(e, ReadTimeoutError | TimeoutError) for e in within)


def _reason(error: Exception) -> str:
    inner = error.args[0] if error.args else error
    return str(getattr(inner, "reason", None) or inner)
