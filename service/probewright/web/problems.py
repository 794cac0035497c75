"""Problem details (RFC 9457): the one place where errors become HTTP statuses."""

from __future__ import annotations

import logging
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any
from uuid import uuid4

import orjson
from flask import Flask, current_app
from flask.typing import ResponseReturnValue
from werkzeug.exceptions import HTTPException

from probewright.batch.lines import LineTooLongError
from probewright.errors import Fault, InvalidCase, PackError, RequestError, UnknownFamily
from probewright.intake import MalformedJsonError
from probewright.web.replies import PROBLEM, Reply

log = logging.getLogger(__name__)

TYPE_PREFIX = "/v1/problems/"
#: Streams end when they end; a client that asks again after so many seconds costs little (a choice of ours).
RETRY_AFTER_S = 2

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of problem."""

    code: str
    status: int
    title: str
    remedy: str


KINDS: Mapping[str, Kind] = MappingProxyType({
    kind.code: kind
    for kind in (
        Kind("bad_request", 400, "The request cannot be read", "Send a well-formed HTTP request."),
        Kind("malformed_json", 400, "The body is not JSON", "Mend the body at the line and column given."),
        Kind("not_found", 404, "There is nothing here", "See /openapi.json for what there is."),
        Kind("unknown_family", 404, "No loaded pack has this family", "See GET /v1/families for those there are."),
        Kind("method_not_allowed", 405, "Not with this method", "Use a method that the Allow header lists."),
        Kind("body_too_large", 413, "The body is too large", "Send fewer readings in one case."),
        Kind("line_too_long", 413, "The line is too long", "Send fewer readings in one case."),
        Kind(
            "unsupported_media_type", 415, "The body is not sent as JSON",
            "Send Content-Type: application/json, or application/x-ndjson where a body has one document a line.",
        ),
        Kind(
            "invalid_case", 422, "The case breaks the contract", "Mend every place in errors, and send the case again."
        ),
        Kind("internal_error", 500, "The service failed", "Report it with the instance, which the log has too."),
        Kind("bad_pack", 500, "A model pack failed", "Report it to the pack's author with the log of the instance."),
        Kind("not_ready", 503, "The service cannot diagnose yet", "Ask again later; the log says what is missing."),
        Kind("too_many_streams", 503, "Too many streams run already", "Ask again after the seconds of Retry-After."),
    )
})  # fmt: skip


def problem(kind: Kind, detail: str, *, headers: Mapping[str, str] | None = None) -> Reply:
    """A reply that says why a request was not answered."""
    return _reply(_document(kind, detail), headers)


def not_ready(detail: str) -> Reply:
    """The service has nothing to diagnose with."""
    return problem(KINDS["not_ready"], detail)


def too_many_streams() -> Reply:
    """As many streams as may run at once do so already."""
    kind = KINDS["too_many_streams"]
    return problem(kind, f"{kind.title} in this process.", headers={"Retry-After": str(RETRY_AFTER_S)})


def problem_of(error: Exception) -> Document:
    """The problem of an error that is nothing of HTTP, as a document."""
    if isinstance(error, RequestError):
        return _of_request(error)
    return _of_failure(error)


def on_http_error(error: HTTPException) -> ResponseReturnValue:
    """What Flask and Werkzeug raise themselves."""
    codes = {404: "not_found", 405: "method_not_allowed", 413: "body_too_large", 415: "unsupported_media_type"}
    status = error.code or 500
    if status >= 500:
        return on_failure(error)
    allow = error.get_response().headers.get("Allow")
    kind = KINDS[codes.get(status, "bad_request")]
    detail = error.description or kind.title
    if status == 413:
        detail = f"The body has more than {current_app.config['MAX_CONTENT_LENGTH'] - 1} bytes."
    return problem(kind, detail, headers={"Allow": allow} if allow else None)


def on_request_error(error: RequestError) -> ResponseReturnValue:
    """What the caller can mend."""
    return _reply(_of_request(error))


def on_failure(error: Exception) -> ResponseReturnValue:
    """Our fault, or a pack's."""
    return _reply(_of_failure(error))


def _of_request(error: RequestError) -> Document:
    if isinstance(error, InvalidCase):
        count = len(error.faults)
        return _document(KINDS["invalid_case"], f"{count} fault{'s' * (count != 1)}: {error}", error.faults)
    if isinstance(error, (UnknownFamily, MalformedJsonError, LineTooLongError)):
        return _document(KINDS[error.code], str(error))
    return _document(KINDS["invalid_case"], str(error), [Fault("", str(error), error.code)])


def _of_failure(error: Exception) -> Document:
    """The log has the whole of it, the problem only an id to find it by."""
    instance = uuid4().urn
    log.error("%s failed with %s", instance, type(error).__name__, exc_info=error)
    kind = KINDS["bad_pack" if isinstance(error, PackError) else "internal_error"]
    return _document(kind, f"{kind.title}; the log has it as {instance}") | {"instance": instance}


def _document(kind: Kind, detail: str, faults: Sequence[Fault] = ()) -> Document:
    return {
        "type": TYPE_PREFIX + kind.code,
        "title": kind.title,
        "status": kind.status,
        "detail": detail,
        "code": kind.code,
        "errors": [{"pointer": f.pointer, "message": f.message, "code": f.code} for f in faults],
    }


def _reply(document: Document, headers: Mapping[str, str] | None = None) -> Reply:
    return Reply(orjson.dumps(document), document["status"], headers=headers, content_type=PROBLEM)


def install(app: Flask) -> None:
    """Answer every error with a problem."""
    app.register_error_handler(HTTPException, on_http_error)
    app.register_error_handler(RequestError, on_request_error)
    app.register_error_handler(Exception, on_failure)
