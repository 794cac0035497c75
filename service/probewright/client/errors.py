"""Everything the client raises, by what the caller can do about it.

    ClientError
    ├── BadRequestError            mend the request: it was refused
    │   ├── UnsendableError        it is no JSON document, and was not sent
    │   ├── InvalidCaseError       one or more faults in the case, each with a JSON pointer
    │   │   └── UnknownFamilyError the service has no pack for this family
    │   ├── TooLargeError          too many bytes for the service, or for a proxy before it
    │   ├── NotAllowedError        a token is wanted, or another one
    │   └── RedirectedError        the service is elsewhere: mend the address
    ├── TryLaterError              ask again later; ``retry_after`` says when, if the service did
    │   ├── UnavailableError       not now
    │   └── TooManyRequestsError   not as many
    ├── ServiceError               the service failed: report its ``instance``
    ├── UnreachableError           look at the address, the network and the service
    │   ├── ConnectionFailedError  no connection, or one that broke before an answer
    │   └── TimedOutError          no byte came within the time-out
    └── BadAnswerError             what came is no answer of this service: look at what is between
        └── CutOffError            the answer ended before its end

Each has a stable ``code``, the HTTP ``status`` and the ``problem`` (RFC 9457), where there was one.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from probewright.errors import Fault, ProbewrightError

#: Characters of a message that came from elsewhere.
_LONGEST_MESSAGE = 2000

_OF_A_FAULT = (("pointer", ""), ("message", ""), ("code", "invalid"))

Problem = Mapping[str, Any]


class ClientError(ProbewrightError):
    """Base of all that the client raises on purpose.

    Attributes
    ----------
    code : str
        Stable name: the problem's, or that of this kind of error.
    status : int or None
        HTTP status; None where none came.
    problem : mapping or None
        The problem details as they came.
    repeatable : bool
        Whether the same request may well be answered when it is sent again: those are.
    """

    code = "client_error"
    repeatable = False

    def __init__(self, message: str, *, status: int | None = None, problem: Problem | None = None) -> None:
        super().__init__(" ".join(message.split())[:_LONGEST_MESSAGE])
        self.status, self.problem = status, problem
        code = (problem or {}).get("code")
        if isinstance(code, str) and code:
            self.code = code


class BadRequestError(ClientError):
    """Mend the request."""

    code = "bad_request"


class UnsendableError(BadRequestError):
    """It is no JSON document, and was not sent."""

    code = "unsendable"


class InvalidCaseError(BadRequestError):
    """A case, or what else was sent, breaks the contract."""

    code = "invalid_case"

    @property
    def faults(self) -> tuple[Fault, ...]:
        """Every place that must be mended: a JSON pointer, what is wrong, and a stable code."""
        return tuple(_faults(self.problem))


class UnknownFamilyError(InvalidCaseError):
    """The service has no pack for this family; in a case that is a fault beside others, and ``faults`` has them."""

    code = "unknown_family"


class TooLargeError(BadRequestError):
    """Too many bytes for the service, or for a proxy before it."""

    code = "body_too_large"


class NotAllowedError(BadRequestError):
    """A token is wanted, or another one."""

    code = "not_allowed"


class RedirectedError(BadRequestError):
    """The service is elsewhere; the client does not follow, so that nobody is handed its token."""

    code = "redirected"


class TryLaterError(ClientError):
    """Ask again later: in ``retry_after`` seconds, if the service said so."""

    code = "try_later"
    retry_after: float | None = None


class UnavailableError(TryLaterError):
    """The service, or the way to it, does not answer now."""

    code = "unavailable"


class TooManyRequestsError(TryLaterError):
    """More than it takes from one caller."""

    code = "too_many_requests"


class ServiceError(ClientError):
    """The service failed."""

    code = "service_failed"

    @property
    def instance(self) -> str | None:
        """By which the service's log knows it."""
        told = (self.problem or {}).get("instance")
        return told if isinstance(told, str) else None


class UnreachableError(ClientError):
    """No answer came."""

    code = "unreachable"


class ConnectionFailedError(UnreachableError):
    """No connection, or one that broke before an answer."""

    code = "connection_failed"
    repeatable = True


class TimedOutError(UnreachableError):
    """No byte came within the time-out.  Not repeated: a service that is busy is not helped by more work."""

    code = "timed_out"


class BadAnswerError(ClientError):
    """What came is no answer of this service."""

    code = "bad_answer"


class CutOffError(BadAnswerError):
    """The answer ended before its end."""

    code = "cut_off"
    repeatable = True


_BY_CODE: Mapping[str, type[ClientError]] = {kind.code: kind for kind in (InvalidCaseError, UnknownFamilyError)}
_BY_STATUS: Mapping[int, type[ClientError]] = {
    401: NotAllowedError, 403: NotAllowedError, 413: TooLargeError, 429: TooManyRequestsError,
    502: UnavailableError, 503: UnavailableError, 504: UnavailableError,
}  # fmt: skip
#: Those by which a service says so itself; a gateway that gave up (502, 504) is not pressed further.
_REPEATABLE = (429, 503)


def refusal(status: int, problem: Problem | None, what: str) -> ClientError:
    """The error of a status other than 200, or of a line that was refused.

    Parameters
    ----------
    status : int
        HTTP status, or the one that the problem names.
    problem : mapping or None
        Problem details, where there are any.
    what : str
        What was asked, for the message.
    """
    code = str((problem or {}).get("code", ""))
    kind = _BY_CODE.get(code) or _BY_STATUS.get(status) or _by_class(status)
    detail = (problem or {}).get("detail") or (problem or {}).get("title")
    said = f" {code}: {detail}" if problem else " without a problem detail: perhaps not from the service itself"
    if kind is InvalidCaseError and any(f.code == UnknownFamilyError.code for f in _faults(problem)):
        kind = UnknownFamilyError
    error = kind(f"{what}: {status}{said}", status=status, problem=problem)
    error.repeatable = status in _REPEATABLE
    return error


def _faults(problem: Problem | None) -> Iterator[Fault]:
    told = (problem or {}).get("errors")
    for fault in told if isinstance(told, list) else []:
        if isinstance(fault, dict):
            yield Fault(*(str(fault.get(name, other)) for name, other in _OF_A_FAULT))


def _by_class(status: int) -> type[ClientError]:
    if 300 <= status < 400:
        return RedirectedError
    if 400 <= status < 500:
        return BadRequestError
    return ServiceError if status >= 500 else BadAnswerError
