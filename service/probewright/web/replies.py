"""JSON replies, whole or line by line, with the headers that every reply carries."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import orjson
from flask import Response

JSON = "application/json"
PROBLEM = "application/problem+json"
NDJSON = "application/x-ndjson"
#: Other names that lines of JSON are sent under.
LINES = frozenset({NDJSON, "application/ndjson", "application/jsonl"})

_HEADERS = {
    "Cache-Control": "no-store",
    "X-Content-Type-Options": "nosniff",
    "Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'",
}


class Reply(Response):
    """A response that browsers neither store, guess the type of, nor show inside a page."""

    default_mimetype = JSON

    def __init__(
        self,
        body: bytes | Iterator[bytes] = b"",
        status: int = 200,
        headers: Mapping[str, str] | None = None,
        content_type: str | None = None,
    ) -> None:
        super().__init__(body, status, headers={**_HEADERS, **(headers or {})}, content_type=content_type)


def reply(document: object, status: int = 200) -> Reply:
    """Any JSON document."""
    return Reply(orjson.dumps(document), status)


def streamed(lines: Iterator[bytes]) -> Reply:
    """Lines of JSON, sent as they come; a proxy is asked not to hold them back."""
    return Reply(lines, headers={"X-Accel-Buffering": "no"}, content_type=NDJSON)
