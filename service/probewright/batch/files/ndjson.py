"""Stored jobs in NDJSON: one JSON object a line, a stored job or a bare case."""

from __future__ import annotations

import re
from collections.abc import Iterator

import orjson

from probewright.batch.files.items import LONGEST_TEXT, JobLine, Origin
from probewright.batch.files.lines import TooLong, bounded_lines, unreadable
from probewright.batch.files.sources import Source
from probewright.batch.files.streams import OnRead, text_chunks

#: Lines that are stored jobs by their beginning; of others the whole has to be looked at.
_STORED = re.compile(rb'\{\s*(?:"invented"\s*:\s*true\s*,\s*)?"case"\s*:')
_BLANK = b" \t\r"


def read_ndjson(source: Source, before: int, longest: int, on_read: OnRead | None = None) -> Iterator[JobLine]:
    """Stored jobs of one file; ``before`` is how many lines came in before it.

    What is not JSON is handed on as it is: whoever reads the job says what is wrong in it.  Empty lines give an item
    of neither job nor reason, so that the next file's numbers go on behind them; :func:`open_jobs` leaves them out.
    """
    for number, line in enumerate(bounded_lines(text_chunks(source, on_read), longest), start=1):
        origin = Origin(source.name, number, number)
        reason = unreadable(line, longest)
        if reason is not None:
            text = line.begins if isinstance(line, TooLong) else line[:LONGEST_TEXT]
            yield JobLine(before + number, origin, None, reason, text)
        elif not isinstance(line, TooLong):
            written = line.strip(_BLANK)
            yield JobLine(before + number, origin, as_job(written) if written else None)


def as_job(line: bytes) -> bytes:
    """A bare case as a job without an answer; anything else as it is."""
    if _STORED.match(line) or not line.startswith(b"{"):
        return line
    try:
        document = orjson.loads(line)
    except orjson.JSONDecodeError:
        return line
    return b'{"case":' + line + b"}" if "family" in document and "case" not in document else line
